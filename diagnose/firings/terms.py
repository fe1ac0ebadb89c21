"""Conditions as terms: which of them surely hold, and which may."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from math import prod

from diagnose.findings.model import Finding, Findings
from diagnose.rulebook.model import FAMILY, Book, Condition

Term = str


def term(condition: Condition) -> Term:
    """One name for the same condition, wherever it is written and in whatever order its bands stand."""
    return f"{condition.quantity}: {' or '.join(sorted(condition.bands))}"


class Terms:
    """Every condition of a book's rules, by the quantity it looks at."""

    def __init__(self, book: Book) -> None:
        about: defaultdict[str, dict[Term, frozenset[str]]] = defaultdict(dict)
        for rule in book.rules.values():
            for condition in rule.when:
                about[condition.quantity][term(condition)] = frozenset(condition.bands)
        self._about = {name: tuple(conditions.items()) for name, conditions in about.items()}

    def of(self, findings: Findings) -> tuple[set[Term], set[Term]]:
        """The terms that surely hold, and those that may (the sure ones among them)."""
        sure: set[Term] = set()
        may: set[Term] = set()
        self._add(FAMILY, possible_families(findings), sure, may)
        for group in (findings.found, findings.givens):
            for name, finding in group.items():
                if finding.status == "known":
                    self._add(name, finding.possible, sure, may)
        return sure, may

    def add(self, finding: Finding, sure: set[Term], may: set[Term]) -> None:
        """Add the terms of one known finding."""
        self._add(finding.quantity.id, finding.possible, sure, may)

    def _add(self, name: str, possible: Iterable[str], sure: set[Term], may: set[Term]) -> None:
        truths = frozenset(possible)
        if not truths:
            return
        for each, bands in self._about.get(name, ()):
            if truths <= bands:
                sure.add(each)
            if truths & bands:
                may.add(each)


def possible_families(findings: Findings) -> tuple[str, ...]:
    return tuple(family for family, share in findings.families.items() if share > 0)


def chance(conditions: Iterable[Condition], findings: Findings) -> float:
    """How much of what the readings allow meets every condition, from 0 to 1.

    Each condition is taken by itself; a reading that straddles meets it with the share of its
    interval that lies in the condition's bands.
    """
    return prod(_share(condition, findings) for condition in conditions)


def _share(condition: Condition, findings: Findings) -> float:
    if condition.quantity == FAMILY:
        shares: Mapping[str, float] = findings.families
    else:
        finding = findings.get(condition.quantity)
        if finding is None or finding.status != "known":
            return 0.0
        shares = _shares(finding)
    total = sum(shares.values())
    return sum(shares.get(band, 0.0) for band in condition.bands) / total if total else 0.0


def _shares(finding: Finding) -> Mapping[str, float]:
    """The possible bands, each weighted by all readings together; equal where the readings exclude each other."""
    weights = {}
    for number, band in enumerate(finding.quantity.bands):
        if band.id in finding.possible:
            weights[band.id] = prod(reading.shares[number] for reading in finding.readings)
    return weights if sum(weights.values()) > 0 else dict.fromkeys(finding.possible, 1.0)
