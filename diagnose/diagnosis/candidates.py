"""The tests that can be done in this case, in this shop, with what each of them still has to tell."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass
from functools import cached_property

from diagnose.diagnosis.posterior import Posterior
from diagnose.diagnosis.reach import Way
from diagnose.diagnosis.shop import Shop
from diagnose.diagnosis.yields import Yielded, yielded
from diagnose.findings.model import Findings
from diagnose.firings.model import Firings
from diagnose.rulebook.model import Quantity, Test


@dataclass(frozen=True)  # no slots: its job is asked for many times
class Candidate:
    """`left` is what is still to learn, `way` what it takes to get there, `asked_by` the rules that nominated it,
    `lacks` the tools that are not on hand, `barred` what forbids it on this car ('' where nothing does)."""

    test: Test
    left: Yielded
    way: Way
    asked_by: tuple[str, ...]
    readings: tuple[tuple[Quantity, str], ...]
    lacks: tuple[str, ...] = ()
    barred: str = ""

    @property
    def minutes(self) -> float:
        """Hands on, waiting and access from where the car stands."""
        return self.test.minutes + self.way.minutes

    @property
    def why_not(self) -> str:
        """What keeps it from being done here today; '' where nothing does."""
        if self.barred:
            return self.barred
        return f"this shop has no {' and no '.join(self.lacks)}" if self.lacks else self.way.why

    @property
    def able(self) -> bool:
        return not self.lacks and not self.barred

    @cached_property
    def job(self) -> frozenset[str]:
        """What it reads or asks: two tests that share it are one job."""
        read = frozenset(told.quantity.id for told in self.left.evidence)
        return read | {given.id for given in (*self.left.givens, *self.left.facts)}


def candidates(posterior: Posterior, shop: Shop, doubted: Mapping[str, Set[str]]) -> dict[str, Candidate]:
    """Every test of the book that has something left to tell, those too for which this shop lacks a tool, and those
    that are not done on this car."""
    book, state = posterior.belief.book, posterior.firings.findings.state
    asked_by: dict[str, tuple[str, ...]] = {}
    for firing in posterior.firings.fired:
        for name in firing.rule.next:
            asked_by[name] = (*asked_by.get(name, ()), firing.rule.id)
    found = {}
    for name, test in book.tests.items():
        left = yielded(test, posterior, doubted)
        if left:
            here = shop.here(test)
            told = {each.quantity.id for each in left.evidence}
            reads = posterior.belief.reads[name].each
            readings = tuple((read.quantity, read.method) for read in reads if read.quantity.id in told)
            way, lacks = posterior.belief.way_to(here, state), shop.lacks(test)
            barred = _barred(test, posterior.firings.findings) or forbidden(test, posterior.firings)
            found[name] = Candidate(here, left, way, asked_by.get(name, ()), readings, lacks, barred)
    return found


def _barred(test: Test, findings: Findings) -> str:
    """What is known of this car that forbids the test, in words."""
    for conditions in test.not_on:
        told = [findings.get(condition.quantity) for condition in conditions]
        if all(findings.surely(condition) for condition in conditions):
            says = [f"{f.quantity.label}: {' or '.join(b.says for b in f.bands)}" for f in told if f is not None]
            return f"not on this car as it stands; {' and '.join(says)}"
    return ""


def forbidden(test: Test, firings: Firings) -> str:
    """The rule that forbids the test on this car, in words; '' where none does."""
    states = {*test.needs.items(), *test.leaves.items()}
    for rule, ban in firings.bans():
        if ban.everything or test.id in ban.tests or not states.isdisjoint(ban.states):
            return f"forbidden on this car by {rule.id}; {rule.title}"
    return ""


def bears_on(candidate: Candidate, causes: Set[str], posterior: Posterior) -> bool:
    """Whether it reads or asks something that one of these causes shows in, or is moved by."""
    belief = posterior.belief
    if any(link.cause in causes for told in candidate.left.evidence for link in belief.links[told.quantity.id]):
        return True
    return any(not causes.isdisjoint(belief.moves.get(given.id, ())) for given in candidate.left.givens)
