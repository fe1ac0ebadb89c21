"""What a test may show in one case, all that it yields together: each answer with its probability."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import NamedTuple

import numpy as np

from diagnose.diagnosis.answers import Foresight
from diagnose.diagnosis.asking import ask
from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.blocks import Block
from diagnose.diagnosis.evidence import spoiled_by
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.information import Question
from diagnose.diagnosis.posterior import Posterior, weigh
from diagnose.diagnosis.yields import Told, yielded
from diagnose.firings.model import Firings
from diagnose.rulebook.model import Test

CUT = 1e-5
"""Hypotheses below this have no say in what is foretold."""
CUT = 1e-7
"""Hypotheses below this have no say in what an answer is."""
MOST_ANSWERS = 600
"""Of answers that come together, at most this many combinations are looked at; later quantities are left out."""


class Foretold(NamedTuple):
    """One answer: a band for each of the quantities it is told of."""

    bands: tuple[str, ...]
    probability: float


class Foresaid(NamedTuple):
    """`quantities` are what is read; `answers` hold every combination of their bands that can come, most probable
    first; their probabilities add up to 1."""

    quantities: tuple[str, ...]
    answers: tuple[Foretold, ...]


def foretell_test(belief: Belief, firings: Firings, test: Test, asks: str = "") -> Foresaid:
    """All that a test would tell anew in this case; where `asks` names a given, the answers to this one question."""
    posterior = weigh(belief, firings)
    left = yielded(test, posterior)
    if asks and any(given.id == asks for given in left.givens):
        return _asked(posterior, asks)
    return _read(posterior, left.evidence)


def foretell_readings(belief: Belief, firings: Firings, names: Sequence[str]) -> Foresaid:
    """What these quantities (evidence, by their first method) or this one given would show together."""
    posterior = weigh(belief, firings)
    quantities = [belief.book.quantities[name] for name in names]
    if len(quantities) == 1 and quantities[0].role == "given":
        return _asked(posterior, names[0])
    told = [Told(q, spoiled_by(q, q.methods[0].id) if q.methods else ()) for q in quantities if q.id in belief.links]
    return _read(posterior, told)


def _focus(posterior: Posterior) -> tuple[Focus, Question]:
    focus = Focus.above(posterior, CUT)
    return focus, Question(focus, [])


def _asked(posterior: Posterior, name: str) -> Foresaid:
    focus, question = _focus(posterior)
    quantity = posterior.belief.book.quantities[name]
    chance = ask(quantity, posterior, focus, question.mass).sum(axis=0).tolist()
    pairs = zip(quantity.bands, chance, strict=True)
    return _sorted((name,), [((band.id,), share) for band, share in pairs if share > 0])


def _read(posterior: Posterior, told: Sequence[Told]) -> Foresaid:
    focus, question = _focus(posterior)
    foresight = Foresight(posterior, focus, question)
    blocks: dict[Block, list[Told]] = {}
    room = MOST_ANSWERS
    for one in told:
        if room >= len(one.quantity.bands):
            room //= len(one.quantity.bands)
            blocks.setdefault(posterior.belief.block_of[one.quantity.id], []).append(one)
    joint = question.mass[:, None]
    for block, members in blocks.items():
        side = foresight.given_the_set(block, members)
        joint = (joint[:, :, None] * side[:, None, :]).reshape(len(side), -1)
    order = [one.quantity for members in blocks.values() for one in members]
    chance = np.asarray(joint.sum(axis=0)).tolist()
    combinations = product(*([band.id for band in quantity.bands] for quantity in order))
    found = [(bands, share) for bands, share in zip(combinations, chance, strict=True) if share > 0]
    return _sorted(tuple(quantity.id for quantity in order), found)


def _sorted(quantities: tuple[str, ...], found: list[tuple[tuple[str, ...], float]]) -> Foresaid:
    total = sum(share for _, share in found)
    answers = [Foretold(bands, share / total) for bands, share in found]
    return Foresaid(quantities, tuple(sorted(answers, key=lambda each: (-round(each.probability, 9), each.bands))))
