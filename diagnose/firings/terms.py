"""Conditions as terms: which of them surely hold, and which may."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

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
        for name in (FAMILY, *findings.found, *findings.givens):
            finding = findings.get(name) if name != FAMILY else None
            self._add(name, possible(name, findings), sure, may, finding is not None and finding.together)
        return sure, may

    def add(self, finding: Finding, sure: set[Term], may: set[Term]) -> None:
        """Add the terms of one known finding."""
        self._add(finding.quantity.id, finding.possible, sure, may, finding.together)

    def _add(self, name: str, bands: Iterable[str], sure: set[Term], may: set[Term], together: bool) -> None:
        truths = frozenset(bands)
        if not truths:
            return
        for each, wanted in self._about.get(name, ()):
            if truths & wanted:
                may.add(each)
                if together or truths <= wanted:
                    sure.add(each)


def possible(name: str, findings: Findings) -> tuple[str, ...]:
    """The bands a quantity may be in (or the families the coolant may be of); none where nothing is known."""
    if name == FAMILY:
        return tuple(family for family, share in findings.families.items() if share > 0)
    finding = findings.get(name)
    return finding.possible if finding is not None and finding.status == "known" else ()
