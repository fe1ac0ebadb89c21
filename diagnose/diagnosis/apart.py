"""Which tests could confirm a cause by another physical principle, and which could part it from its rival."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from diagnose.diagnosis.answers import Foresight
from diagnose.diagnosis.arrays import DIGITS, Flags, Floats, steady
from diagnose.diagnosis.candidates import Candidate
from diagnose.diagnosis.confirm import CLEAR, SPEAKS, USUAL, spoken_for
from diagnose.diagnosis.focus import Focus

MAY_COME = 0.02
"""An answer less probable than this, under both, parts nothing."""


def confirming(
    candidates: Iterable[Candidate], cause: str, told: frozenset[str], foresight: Foresight, focus: Focus
) -> list[tuple[Candidate, str]]:
    """Tests of which an answer would be a clear sign of a cause by a principle that is not among `told`.

    Each with its principle; what tells most in a minute first. What people tell is no second principle.
    """
    posterior = foresight.posterior
    known = posterior.belief.book.quantities
    found: list[tuple[float, Candidate, str]] = []
    held = np.append(focus.held(posterior.belief.index[cause]), False)
    book = np.append(np.ones(len(focus.places), dtype=np.bool_), False)
    for candidate in candidates:
        if any(known[each.quantity].role == "given" for each in candidate.test.yields):
            continue
        for quantity, method in candidate.readings:
            principle = quantity.method(method)
            if principle is None or not principle.principle or principle.principle in told:
                continue
            rest = book & ~held & ~np.append(spoken_for(quantity, cause, posterior).take(focus.places), False)
            for each in candidate.left.evidence:
                if each.quantity is not quantity or cause not in foresight.linked(quantity):
                    continue
                given = foresight.given_the_set(foresight.block_of(quantity), [each])
                with_it, without = _shares(given, foresight.mass, held, rest)
                raised = (with_it >= MAY_COME) & (np.round(with_it - CLEAR * without, DIGITS) >= 0)
                if steady(float(with_it[raised].sum())) >= USUAL:
                    rate = _bits(given, foresight.mass, held, rest) / max(candidate.minutes, 1.0)
                    found.append((rate, candidate, principle.principle))
    found.sort(key=lambda one: -steady(one[0]))
    return [(candidate, principle) for _, candidate, principle in found]


def parting(
    candidates: Iterable[Candidate], cause: int, rival: int, foresight: Foresight, focus: Focus
) -> list[Candidate]:
    """Tests that usually tell one of the two from the other; what tells most in a minute first."""
    first, second = np.append(focus.held(cause), False), np.append(focus.held(rival), False)
    one, other = first & ~second, second & ~first
    found: list[tuple[float, Candidate]] = []
    for candidate in candidates:
        best = 0.0
        for each in candidate.left.evidence:
            given = foresight.given_the_set(foresight.block_of(each.quantity), [each])
            if _speaks(given, foresight.mass, one, other):
                best = max(best, _bits(given, foresight.mass, one, other))
        if best > 0:
            found.append((best / max(candidate.minutes, 1.0), candidate))
    found.sort(key=lambda pair: -steady(pair[0]))
    return [candidate for _, candidate in found]


def _speaks(given: Floats, mass: Floats, one: Flags, other: Flags) -> bool:
    a, b = _shares(given, mass, one, other)
    return _usually(a, SPEAKS * b) or _usually(b, SPEAKS * a)


def _usually(shares: Floats, bounds: Floats) -> bool:
    """Whether an answer comes more often than not whose share reaches its bound."""
    return steady(float(shares[np.round(shares - bounds, DIGITS) >= 0].sum())) >= USUAL


def _shares(given: Floats, mass: Floats, one: Flags, other: Flags) -> tuple[Floats, Floats]:
    """P(answer) under each of two sorts of hypotheses."""
    found = []
    for rows in (one, other):
        weights = mass[rows]
        total = float(weights.sum())
        found.append(weights @ given[rows] / total if total > 0 else np.zeros(given.shape[1]))
    return found[0], found[1]


def _bits(given: Floats, mass: Floats, one: Flags, other: Flags) -> float:
    """What the answer tells of which of the two sorts it is, both taken for equally likely."""
    a, b = _shares(given, mass, one, other)
    both = (a + b) / 2
    return float(_entropy(both) - (_entropy(a) + _entropy(b)) / 2)


def _entropy(shares: Floats) -> float:
    kept = shares[shares > 0]
    return float(-(kept * np.log2(kept)).sum())


def together(candidates: Sequence[Candidate]) -> frozenset[str]:
    """The quantities that these tests read."""
    return frozenset(name for candidate in candidates for name in candidate.job)
