"""What is known of the car and its history: how common each cause is, and which can't be."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cached_property
from typing import NamedTuple

from diagnose.findings.model import Findings
from diagnose.rulebook.model import FAMILY, Band, Book, Cause, Condition, PriorWhen


class History(NamedTuple):
    """`own` is each cause's own prior (0 to 1), apart from what other causes bring about.

    `moved` tells which entry of `prior_when` set it; `impossible` names, for each cause that
    can't be on this car, the given (or 'family') that rules it out. `complaints` are the bands of complaints that
    a car without any fault hardly comes in with, and `before` each cause's own prior as if nobody had complained.
    """

    own: Mapping[str, float]
    moved: Mapping[str, PriorWhen]
    impossible: Mapping[str, str]
    complaints: tuple[Band, ...] = ()
    before: Mapping[str, float] | None = None


def history_of(book: Book, findings: Findings) -> History:
    """The history in `findings`."""
    facts = Facts(findings)
    own: dict[str, float] = {}
    moved: dict[str, PriorWhen] = {}
    impossible: dict[str, str] = {}
    for cause in book.causes.values():
        entry = facts.prior_when(cause)
        own[cause.id] = _own(cause, entry)
        if entry is not None:
            moved[cause.id] = entry
        against = facts.against(cause.only_when)
        if against:
            impossible[cause.id] = against
    told = list(_complaints(findings))
    if not told:
        return History(own, moved, impossible)
    names = {name for name, _ in told}
    silent = Facts(replace(findings, givens={n: f for n, f in findings.givens.items() if n not in names}))
    before = {cause.id: _own(cause, silent.prior_when(cause)) for cause in book.causes.values()}
    return History(own, moved, impossible, tuple(band for _, band in told), before)


def _own(cause: Cause, entry: PriorWhen | None) -> float:
    return cause.how_common.value if entry is None else entry.how_common.value


def _complaints(findings: Findings) -> Iterator[tuple[str, Band]]:
    """What surely brought the car in, where a car without a fault hardly comes in with it."""
    for name, finding in findings.givens.items():
        if finding.status == "known" and not finding.straddles:
            bands = [finding.quantity.band(each) for each in finding.possible]
            yield from ((name, band) for band in bands if band is not None and band.groundless is not None)


class Facts:
    """Judges conditions on the car; `said` maps givens to the band they would have if somebody were asked."""

    def __init__(self, findings: Findings, said: Mapping[str, str] | None = None) -> None:
        self._findings = findings
        self._said = said or {}
        self._known: dict[str, frozenset[str]] = {}
        self._families = tuple(name for name, share in findings.families.items() if share > 0)

    def prior_when(self, cause: Cause) -> PriorWhen | None:
        """The first entry that holds; of several complaints, the one that makes the cause most common."""
        if self._each is None:
            return next((entry for entry in cause.prior_when if self._surely(entry.when)), None)
        entries = [facts.prior_when(cause) for facts in self._each]
        return max(entries, key=lambda entry: (cause.how_common if entry is None else entry.how_common).value)

    @cached_property
    def _each(self) -> tuple[Facts, ...] | None:
        """Where several things brought the car in: the facts as if each were the only one."""
        givens = self._findings.givens.items()
        several = [(n, f.possible) for n, f in givens if f.status == "known" and f.together and n not in self._said]
        if not several:
            return None
        name, bands = several[0]
        return tuple(Facts(self._findings, {**self._said, name: band}) for band in bands)

    def _surely(self, conditions: Iterable[Condition]) -> bool:
        for condition in conditions:
            bands = self._bands(condition.quantity)
            if not bands or not bands.issubset(condition.bands):
                return False
        return True

    def against(self, conditions: Iterable[Condition]) -> str:
        """The quantity of the first condition that surely does not hold; '' where all may."""
        for condition in conditions:
            bands = self._bands(condition.quantity)
            if bands and bands.isdisjoint(condition.bands):
                return condition.quantity
        return ""

    def _bands(self, name: str) -> frozenset[str]:
        """The bands in which it may be; nothing where it is not known."""
        found = self._known.get(name)
        if found is None:
            found = self._known[name] = frozenset(self._find(name))
        return found

    def _find(self, name: str) -> tuple[str, ...]:
        if name == FAMILY:
            return self._families
        if name in self._said:
            return (self._said[name],)
        finding = self._findings.get(name)
        return finding.possible if finding is not None and finding.status == "known" else ()
