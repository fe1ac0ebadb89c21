"""What people would answer about the car and its history, which changes how common the causes are."""

from __future__ import annotations

import numpy as np

from diagnose.diagnosis.arrays import Floats
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.history import Facts
from diagnose.diagnosis.posterior import Posterior
from diagnose.diagnosis.prior import MOST
from diagnose.rulebook.model import Quantity

_TINY = 1e-12


def ask(quantity: Quantity, posterior: Posterior, focus: Focus, mass: Floats) -> Floats:
    """P(hypothesis and answer) for a given: a row for each hypothesis of the focus and one for a cause not in the
    book, a column for each band.

    Each answer is as common as the book says (`how_often`), and moves the priors as `prior_when`
    and `only_when` say. Rules that an answer would put into force are not looked at.
    """
    joint = np.zeros((len(mass), len(quantity.bands)))
    for column, band in enumerate(quantity.bands):
        often = quantity.how_often.get(band.id)
        if often is not None and often.value > 0:
            facts = Facts(posterior.firings.findings, {quantity.id: band.id})
            joint[:-1, column] = often.value * _moved(posterior, focus, facts, quantity.id)
            joint[-1, column] = often.value
    joint *= mass[:, None]
    total = float(joint.sum())
    return joint / total if total > 0 else joint


def _moved(posterior: Posterior, focus: Focus, facts: Facts, given: str) -> Floats:
    """How many times as probable each hypothesis would have been before anything was measured."""
    belief, now = posterior.belief, posterior.history
    found = np.ones(len(focus.places))
    for name in belief.moves[given]:
        cause = belief.book.causes[name]
        if name in now.impossible or name in posterior.proven:
            continue
        entry = facts.prior_when(cause)
        own = cause.how_common.value if entry is None else entry.how_common.value
        gone = bool(facts.against(cause.only_when))
        if own == now.own[name] and not gone:
            continue
        spared = _spared(posterior, focus, name)
        was = (1 - min(now.own[name], MOST)) * spared
        then = np.ones_like(was) if gone else (1 - min(own, MOST)) * spared
        found *= np.where(focus.held(belief.index[name]), (1 - then) / np.maximum(1 - was, _TINY), then / was)
    return found


def _spared(posterior: Posterior, focus: Focus, name: str) -> Floats:
    """P(none of the present parents brought the cause about), for each hypothesis."""
    belief = posterior.belief
    spared = np.ones(len(focus.places))
    for arc in belief.chains.parents.get(belief.index[name], ()):
        spared *= np.where(focus.held(arc.parent), 1 - min(arc.how_often, MOST), 1.0)
    return spared
