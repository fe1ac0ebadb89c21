"""The tests that can be done in this case, in this shop, with what each of them still has to tell."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass
from functools import cached_property

from diagnose.diagnosis.posterior import Posterior
from diagnose.diagnosis.reach import Way
from diagnose.diagnosis.shop import Shop
from diagnose.diagnosis.yields import Yielded, yielded
from diagnose.rulebook.model import Quantity, Test


@dataclass(frozen=True)  # no slots: its job is asked for many times
class Candidate:
    """`left` is what is still to learn, `way` what it takes to get there, `asked_by` the rules that nominated it,
    `lacks` the tools that are not on hand."""

    test: Test
    left: Yielded
    way: Way
    asked_by: tuple[str, ...]
    readings: tuple[tuple[Quantity, str], ...]
    lacks: tuple[str, ...] = ()

    @property
    def minutes(self) -> float:
        """Hands on, waiting and access from where the car stands."""
        return self.test.minutes + self.way.minutes

    @property
    def why_not(self) -> str:
        """What keeps it from being done here today; '' where nothing does."""
        return f"this shop has no {' and no '.join(self.lacks)}" if self.lacks else self.way.why

    @cached_property
    def job(self) -> frozenset[str]:
        """What it reads or asks: two tests that share it are one job."""
        return frozenset(told.quantity.id for told in self.left.evidence) | {given.id for given in self.left.givens}


def candidates(posterior: Posterior, shop: Shop, doubted: Mapping[str, Set[str]]) -> dict[str, Candidate]:
    """Every test of the book that has something left to tell, those too for which this shop lacks a tool."""
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
            found[name] = Candidate(here, left, way, asked_by.get(name, ()), readings, lacks)
    return found


def bears_on(candidate: Candidate, causes: Set[str], posterior: Posterior) -> bool:
    """Whether it reads or asks something that one of these causes shows in, or is moved by."""
    belief = posterior.belief
    if any(link.cause in causes for told in candidate.left.evidence for link in belief.links[told.quantity.id]):
        return True
    return any(not causes.isdisjoint(belief.moves[given.id]) for given in candidate.left.givens)
