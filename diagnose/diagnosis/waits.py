"""What the decision on the coolant waits for: readings nobody took, and readings that can't be relied on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from diagnose.diagnosis.evidence import better_than, trusted
from diagnose.diagnosis.model import LISTED, Suspect
from diagnose.findings.by_family import band_by_family, hangs_on_family
from diagnose.findings.model import Finding
from diagnose.firings.model import Firing, Firings
from diagnose.rulebook.formula import inputs
from diagnose.rulebook.model import FAMILY, Book, Quantity, Test

KEEP = "keep"
DOUBT = 0.25
"""An instrument that is fooled with this probability is checked, whatever hangs on it."""
LEAST_DOUBT = 0.05
"""With less than this it is not checked even where the decision stands on it."""


def deciding(firings: Firings, book: Book) -> tuple[Firing, ...]:
    """The rules that decide for the highest-ranking service, sure ones first; those of lower rank have no say."""
    rank = {name: number for number, name in enumerate(book.services)}
    found = firings.deciding()
    if not found:
        return ()
    best = min(rank[firing.rule.decides] for firing in found)
    group = [firing for firing in found if rank[firing.rule.decides] == best]
    return tuple(sorted(group, key=lambda firing: firing.state != "fires"))


def undecided(firings: Firings, book: Book) -> tuple[Quantity, ...]:
    """The measured quantities that a rule for keeping the coolant asks for and that nobody has measured."""
    asked = dict.fromkeys(book.decided_on.get(KEEP, ()))
    found = firings.findings.found
    known = [book.quantities[name] for name in asked if name in book.quantities]
    return tuple(q for q in known if q.role == "reading" and (q.id not in found or found[q.id].status != "known"))


def doubted(suspects: Sequence[Suspect], firings: Firings, book: Book) -> Mapping[str, frozenset[str]]:
    """The quantities whose readings may be fooled, where no better instrument has read them; for each the methods that
    can be set right and taken anew.

    A doubt counts from DOUBT on; where the decision stands on the reading, as soon as checking costs less than
    believing it wrongly.
    """
    fools = {s.cause.id: s for s in suspects if s.state in LISTED and s.cause.kind == "misread"}
    fools = {name: s for name, s in fools.items() if s.probability >= LEAST_DOUBT}
    if not fools:
        return {}
    decides = {c.quantity for firing in deciding(firings, book) for c in firing.on}
    decides |= {term for name in decides for term in _terms(name, book)}
    found = {}
    for name, finding in firings.findings.found.items():
        if finding.status != "known" or not finding.quantity.methods:
            continue
        best = [finding.quantity.method(method) for method in trusted(finding)]
        by = [[fools[f] for f in m.fooled_by if f in fools] for m in best if m is not None]
        if by and all(any(_counts(suspect, name in decides) for suspect in each) for each in by):
            # taken anew with the same tool it counts only where a case can tell that the tool was set right
            found[name] = frozenset(m.id for m in best if m is not None and m.settles)
    return found


def _counts(suspect: Suspect, decides: bool) -> bool:
    cause = suspect.cause
    if suspect.probability >= DOUBT:
        return True
    return decides and suspect.probability * cause.comes_back.minutes > cause.repair.minutes


def waits_for(
    suspects: Sequence[Suspect], firings: Firings, book: Book, tests: Iterable[Test]
) -> Mapping[str, tuple[str, ...]]:
    """For each quantity that the decision waits for (or the family), the tests that would settle it."""
    tests = tuple(tests)
    group = deciding(firings, book)
    found: dict[str, tuple[str, ...]] = {}
    if not group:
        for quantity in undecided(firings, book):
            if quantity.id not in firings.findings.found or firings.findings.found[quantity.id].status == "not_done":
                found[quantity.id] = tuple(t.id for t in tests if any(y.quantity == quantity.id for y in t.yields))
    names = {c.quantity for firing in group if group[0].state != "fires" for c in firing.on}
    names |= {term for name in names for term in _terms(name, book)}
    several = len(firings.findings.families) > 1
    by_family = FAMILY in names and several
    for name, finding in firings.findings.found.items():
        if finding.status != "known" or not (finding.disagree or (finding.straddles and name in names)):
            continue
        if finding.straddles and several and hangs_on_family(finding.quantity, book):
            by_family = True
            if not finding.disagree and band_by_family(finding, firings.findings):
                continue  # each family has a band for it: no instrument settles which of them is in the car
        found[name] = _reading(finding.quantity, _better(finding), tests)
    if by_family:
        found = {FAMILY: tuple(test.id for test in tests if test.finds_family), **found}
    for name in doubted(suspects, firings, book):
        found[name] = tuple(test.id for test in tests if any(y.quantity == name for y in test.yields))
    return {name: those for name, those in found.items() if those}


def _terms(name: str, book: Book) -> tuple[str, ...]:
    quantity = book.quantities.get(name)
    return tuple(inputs(quantity.formula)) if quantity is not None and quantity.formula is not None else ()


def _better(finding: Finding) -> set[str]:
    """Methods to be trusted over those used; where instruments disagree and none is better, any other one."""
    used = {reading.method for reading in finding.readings}
    better = {m for reading in finding.readings for m in better_than(finding.quantity, reading.method)} - used
    if not better and finding.disagree:
        better = {method.id for method in finding.quantity.methods} - used
    return better


def _reading(quantity: Quantity, methods: set[str], tests: Iterable[Test]) -> tuple[str, ...]:
    return tuple(
        test.id for test in tests if any(y.quantity == quantity.id and y.method in methods for y in test.yields)
    )
