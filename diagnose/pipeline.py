"""The whole road on one screen."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from diagnose.case.model import Case
from diagnose.case.visits import work_at
from diagnose.diagnosis.ahead import look_ahead
from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.from_firings import diagnose
from diagnose.diagnosis.model import Diagnosis, Firmness
from diagnose.diagnosis.shake import SEED, TIMES, shaken
from diagnose.diagnosis.shop import EVERY_TOOL, Shop
from diagnose.findings.earlier import visit_of
from diagnose.findings.from_case import find
from diagnose.findings.model import Findings
from diagnose.firings.from_findings import RuleEngine
from diagnose.firings.model import Firings
from diagnose.plan.from_diagnosis import plan
from diagnose.plan.model import Plan
from diagnose.plan.moved import Moved, moved
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Book
from diagnose.yamlfile import InputError


@dataclass(frozen=True, slots=True)
class Wishes:
    """What a work-up holds besides: `rollout` follows each of the best tests to the end before one is chosen;
    `shake` is the factor by which the judgement is shaken; `ahead` the number of steps looked ahead.
    """

    rollout: bool = False
    shake: float | None = None
    ahead: int = 0


PLAIN = Wishes()


class Bench:
    """One rulebook, compiled once, on which cases are worked up one after the other."""

    def __init__(
        self,
        book: Book | Path,
        engine: str = "auto",
        shown_as: str | None = None,
        shop: Shop = EVERY_TOOL,
        belief: Belief | None = None,
    ) -> None:
        """`belief` is that of the book, where it is compiled already."""
        self.book = read_book(book, shown_as) if isinstance(book, Path) else book
        self.shop = shop
        self.rules = RuleEngine(self.book, engine)
        self.belief = belief or Belief(self.book)
        self._shaken: dict[float, tuple[tuple[Book, Belief], ...]] = {}

    def visit(self, whole: Case, number: int | None = None) -> Case:
        """The case at one of its visits, from 0 up; the latest where none is named."""
        return visit_of(whole, len(whole.visits) if number is None else number, self.book)

    def findings(self, case: Case) -> Findings:
        return find(case, self.book)

    def firings(self, case: Case) -> Firings:
        return self.rules.run(self.findings(case))

    def diagnosis(self, case: Case, rollout: bool = False) -> Diagnosis:
        return diagnose(self.firings(case), self.belief, self.shop, rollout)

    def work_up(self, case: Case, wishes: Wishes = PLAIN) -> Plan:
        """The whole road. Raises InputError where the case can't be used."""
        diagnosis = self.diagnosis(case, wishes.rollout)
        if wishes.ahead:
            again = partial(self.diagnosis, rollout=wishes.rollout)
            diagnosis = replace(diagnosis, ahead=look_ahead(case, diagnosis, wishes.ahead, again, self.book))
        made = plan(diagnosis, self.book)
        if wishes.shake is None:
            return made
        return replace(made, diagnosis=replace(diagnosis, firmness=self._firmness(made, wishes.shake)))

    def moved(self, whole: Case, number: int, now: Plan) -> Moved | None:
        """What moved since the visit before `number`, whose work-up is `now`; None at the first visit."""
        if number == 0:
            return None
        before = self.work_up(self.visit(whole, number - 1))
        return moved(before, now, work_at(whole, number - 1), self.book)

    def _firmness(self, made: Plan, factor: float) -> Firmness:
        """How often the same comes first when the book is shaken. Which rules fired does not hang on the judgement."""
        firings = made.diagnosis.firings
        wanted = _first(made)
        same = [0, 0, 0]
        for book, belief in self._books(factor):
            try:
                found = _first(plan(diagnose(firings, belief, self.shop), book))
            except InputError:
                continue  # nothing in this book explains the case: nothing comes first
            for number, (one, other) in enumerate(zip(wanted, found, strict=True)):
                same[number] += one == other
        root, test, decision = (count / TIMES for count in same)
        return Firmness(TIMES, factor, root if wanted[0] else None, test if wanted[1] else None, decision)

    def _books(self, factor: float) -> tuple[tuple[Book, Belief], ...]:
        if factor not in self._shaken:
            from random import Random  # only where a book is shaken

            random = Random(SEED)
            books = [shaken(self.book, factor, random) for _ in range(TIMES)]
            self._shaken[factor] = tuple((book, Belief(book, like=self.belief)) for book in books)
        return self._shaken[factor]


def _first(made: Plan) -> tuple[str, str, str]:
    """Root, test and service that come first."""
    root = next((suspect.cause.id for suspect in made.diagnosis.listed() if suspect.root), "")
    test = next((choice.test.id for choice in made.diagnosis.next_tests), "")
    return root, test, made.decision.service.id
