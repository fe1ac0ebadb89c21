"""What people would answer about the car and its history, which changes how common the causes are."""

from __future__ import annotations

import numpy as np

from diagnose.diagnosis.arrays import Floats
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.history import Facts
from diagnose.diagnosis.posterior import Posterior
from diagnose.diagnosis.prior import MOST
from diagnose.rulebook.model import Cause, Quantity

_TINY = 1e-12


def ask(quantity: Quantity, posterior: Posterior, focus: Focus, mass: Floats) -> Floats:
    """P(hypothesis and answer) for a given.

    A row for each hypothesis of the focus and one for a cause not in the book, a column for each band.

    Each answer is as common as the book says (`how_often`), and moves the priors as `prior_when`
    and `only_when` say. Rules that an answer would put into force are not looked at.
    """
    belief, now = posterior.belief, posterior.history
    often = [quantity.how_often[b.id].value if b.id in quantity.how_often else 0.0 for b in quantity.bands]
    joint: Floats = mass[:, None] * np.array(often)
    facts = [Facts(posterior.firings.findings, {quantity.id: band.id}) for band in quantity.bands]
    for column, band in enumerate(quantity.bands):
        if band.groundless is not None:
            joint[:-1, column] *= belief.groundless(band, tuple(posterior.proven), focus.places)
    for name in belief.moves.get(quantity.id, ()):
        if name in now.impossible or name in posterior.proven:
            continue
        then = [_absent_by_itself(each, belief.book.causes[name]) for each in facts]
        was = 1 - min(now.own[name], MOST)
        changed = [column for column, absent in enumerate(then) if absent != was and often[column] > 0]
        if not changed:
            continue
        spared = _spared(posterior, focus, name)
        held, before = focus.held(belief.index[name]), was * spared
        for column in changed:
            by_itself = then[column]
            after = np.ones_like(spared) if by_itself is None else by_itself * spared
            joint[:-1, column] *= np.where(held, (1 - after) / np.maximum(1 - before, _TINY), after / before)
    total = float(joint.sum())
    return joint / total if total > 0 else joint


def _absent_by_itself(facts: Facts, cause: Cause) -> float | None:
    """1 - the cause's own prior; None where it would be impossible."""
    if facts.against(cause.only_when):
        return None
    entry = facts.prior_when(cause)
    return 1 - min(cause.how_common.value if entry is None else entry.how_common.value, MOST)


def _spared(posterior: Posterior, focus: Focus, name: str) -> Floats:
    """P(none of the present parents brought the cause about), for each hypothesis."""
    belief = posterior.belief
    spared = np.ones(len(focus.places))
    for arc in belief.chains.parents.get(belief.index[name], ()):
        spared *= np.where(focus.held(arc.parent), 1 - min(arc.how_often, MOST), 1.0)
    return spared
