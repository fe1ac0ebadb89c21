"""What a test would show under each hypothesis, all that it yields together: the likelihood that a choice needs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diagnose.diagnosis.answers import Foresight
from diagnose.diagnosis.arrays import DIGITS, Floats, steady
from diagnose.diagnosis.asking import ask
from diagnose.diagnosis.blocks import Block
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.posterior import Posterior
from diagnose.diagnosis.yields import Told, Yielded

WIDEST = 32
"""So many combinations of answers are told apart at most; what tells least about the causes gives way."""


def given_hypotheses(of: Yielded, foresight: Foresight, posterior: Posterior, focus: Focus, mass: Floats) -> Floats:
    """P(answers | hypothesis): a row for each hypothesis of the focus and one more for a cause not in the book."""
    sides = [_block(members, foresight, block) for block, members in _by_block(of, posterior).items()]
    for quantity in of.givens:
        joint = ask(quantity, posterior, focus, mass)
        total = joint.sum(axis=1, keepdims=True)
        sides.append(joint / np.where(total > 0, total, 1.0))
    sides = [_without_empty(side, mass) for side in sides]
    sides.sort(key=lambda side: -steady(_moves(side, mass)))
    found = sides[0] if sides else np.ones((len(mass), 1))
    for side in sides[1:]:
        if found.shape[1] * side.shape[1] <= WIDEST:
            found = (found[:, :, None] * side[:, None, :]).reshape(len(side), -1)
    return found


def _by_block(of: Yielded, posterior: Posterior) -> dict[Block, list[Told]]:
    found: dict[Block, list[Told]] = {}
    for told in of.evidence:
        found.setdefault(posterior.belief.block_of[told.quantity.id], []).append(told)
    return found


def _block(members: Sequence[Told], foresight: Foresight, block: Block) -> Floats:
    """A group of quantities: as many of them together as can be told apart."""
    kept: list[Told] = []
    wide = 1
    for told in members:
        if not kept or wide * len(told.quantity.bands) <= 2 * WIDEST:
            kept.append(told)
            wide *= len(told.quantity.bands)
    return foresight.given_the_set(block, kept)


def _without_empty(side: Floats, mass: Floats) -> Floats:
    """Without answers that hardly ever come; the most common one takes their share."""
    chance = np.round(mass @ side, DIGITS)
    kept = chance > RARE
    if kept.all():
        return side
    kept[int(np.argmax(chance))] = True
    found = side[:, kept]
    found[:, int(np.argmax(chance[kept]))] += side[:, ~kept].sum(axis=1)
    return found


RARE = 1e-3


def _moves(side: Floats, mass: Floats) -> float:
    """How far the answers move the hypotheses, on average."""
    return float(mass @ np.abs(side - mass @ side).sum(axis=1))
