"""What straddling readings leave open, weighed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from itertools import product
from math import prod
from typing import NamedTuple

from diagnose.findings.model import Finding, Findings
from diagnose.firings.terms import Term, possible, term
from diagnose.rulebook.model import FAMILY, Condition

MOST_WAYS = 4096


class Way(NamedTuple):
    """One way things may be: the terms that then hold, and how much of what the readings allow it is (0 to 1)."""

    holding: frozenset[Term]
    weight: float


def ways(conditions: Iterable[Condition], findings: Findings) -> tuple[Way, ...]:
    """Every way things may be, as far as these conditions can tell; the weights sum to 1.

    A reading that straddles is in each band with the share of its interval that lies there, and
    quantities are taken to vary independently. What is not known makes no condition hold.
    Beyond MOST_WAYS nothing is told ().
    """
    about: defaultdict[str, list[Condition]] = defaultdict(list)
    for condition in conditions:
        about[condition.quantity].append(condition)
    each = [_ways_of(name, conditions, findings) for name, conditions in about.items()]
    if prod(map(len, each)) > MOST_WAYS:
        return ()
    return tuple(
        Way(frozenset().union(*(holding for holding, _ in one)), prod(weight for _, weight in one))
        for one in product(*each)
    )


def _ways_of(name: str, conditions: list[Condition], findings: Findings) -> list[tuple[frozenset[Term], float]]:
    """Bands of one quantity that meet the same conditions, taken together."""
    shares = _shares(name, findings)
    total = sum(shares.values())
    together: defaultdict[frozenset[Term], float] = defaultdict(float)
    for band, share in shares.items():
        together[frozenset(term(each) for each in conditions if band in each.bands)] += share / total
    return list(together.items()) or [(frozenset(), 1.0)]


def _shares(name: str, findings: Findings) -> Mapping[str, float]:
    """Each possible band, weighted by all readings together; equal where they exclude each other."""
    bands = possible(name, findings)
    if name == FAMILY:
        return {family: findings.families[family] for family in bands}
    finding = findings.get(name)
    weights = {band: _likelihood(finding, band) for band in bands} if finding is not None else {}
    return weights if sum(weights.values()) > 0 else dict.fromkeys(bands, 1.0)


def _likelihood(finding: Finding, band: str) -> float:
    number = next(number for number, each in enumerate(finding.quantity.bands) if each.id == band)
    return prod(reading.shares[number] for reading in finding.readings)
