"""A book tried: do its examples hold, and do cases come out as they expect and as they turned out?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diagnose.case.model import Case
from diagnose.case.visits import count, work_at
from diagnose.findings.from_case import find
from diagnose.firings.from_findings import RuleEngine
from diagnose.firings.model import Firings
from diagnose.firings.terms import possible
from diagnose.pipeline import Bench
from diagnose.plan.model import Plan
from diagnose.plan.moved import Moved, moved
from diagnose.rulebook.model import Book, Example, Rule
from diagnose.vet.examples import case_of, written
from diagnose.vet.expect import NONE, check_names, differences, first_root, names_the_outcome
from diagnose.yamlfile import InputError, Problem

EXAMPLE = "example-fails"
EXPECTATION = "expectation-fails"
Kind = Literal["fires", "silent"]


@dataclass(frozen=True, slots=True)
class ExampleTrial:
    """`fired` holds the rules that fired on the example for sure; `problems` is empty where it holds."""

    rule: str
    kind: Kind
    fired: frozenset[str]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class CaseTrial:
    """One visit of a case. `problems` are expectations that are not met. `first` is the first suspect, `outcome` what
    proved to be true.

    `as_expected` is None where the case expects nothing, `named` None where its outcome is not known.
    """

    case: Case
    fired: frozenset[str]
    problems: tuple[Problem, ...]
    as_expected: bool | None
    first: str
    outcome: tuple[str, ...]
    named: bool | None


@dataclass(frozen=True, slots=True)
class Trial:
    """`elsewhere` counts cases for other books, which are left alone."""

    book: Book
    examples: tuple[ExampleTrial, ...]
    cases: tuple[CaseTrial, ...]
    elsewhere: int = 0

    @property
    def problems(self) -> tuple[Problem, ...]:
        found = [*(each.problems for each in self.examples), *(each.problems for each in self.cases)]
        return tuple(sorted(problem for problems in found for problem in problems))

    @property
    def in_no_case(self) -> tuple[str, ...]:
        """Rules that fired in no case."""
        fired = frozenset[str]().union(*(each.fired for each in self.cases))
        return tuple(name for name in self.book.rules if name not in fired)

    @property
    def never_fired(self) -> tuple[str, ...]:
        """Rules that fired in no case and in no example."""
        fired = frozenset[str]().union(*(each.fired for each in self.examples))
        return tuple(name for name in self.in_no_case if name not in fired)


def try_examples(book: Book, engine: RuleEngine) -> tuple[ExampleTrial, ...]:
    """Every example of every rule. A silent one must not leave it open either whether the rule fires."""
    kinds: tuple[Kind, ...] = ("fires", "silent")
    return tuple(
        _try_example(rule, kind, example, book, engine)
        for rule in book.rules.values()
        for kind in kinds
        for example in (rule.fires if kind == "fires" else rule.silent)
    )


def _try_example(rule: Rule, kind: Kind, example: Example, book: Book, engine: RuleEngine) -> ExampleTrial:
    try:
        firings = engine.run(find(case_of(example, book, rule.id), book))
    except InputError as error:
        return ExampleTrial(rule.id, kind, frozenset(), error.problems)
    state = next((firing.state for firing in firings.fired if firing.rule.id == rule.id), "silent")
    on, says, hint = written(example), "", ""
    if kind == "fires" and state != "fires":
        says = f"'{rule.id}' should fire on {on}, but {_unmet(rule, firings)}"
        hint = "record what 'when' asks for, or change 'when'"
    elif kind == "silent" and state == "fires":
        says, hint = f"'{rule.id}' should be silent on {on}, but fires", "change one reading so that it is"
    elif kind == "silent" and state == "may_fire":
        says = f"'{rule.id}' should be silent on {on}, but may fire: {_unmet(rule, firings)}"
        hint = "move the reading away from the limit, or name a method that reads closer"
    problems = (Problem(example.place, EXAMPLE, says, hint),) if says else ()
    return ExampleTrial(rule.id, kind, _sure(firings), problems)


def _unmet(rule: Rule, firings: Firings) -> str:
    """The conditions that do not surely hold, against what was found."""
    parts = []
    for condition in rule.when:
        bands = possible(condition.quantity, firings.findings)
        if not bands or not set(bands) <= set(condition.bands):
            found = f"{' or '.join(bands)}, not" if bands else "not known, and should be"
            parts.append(f"{condition.quantity} is {found} {' or '.join(condition.bands)}")
    return "; ".join(parts) or "something else is in its way"


def try_case(whole: Case, bench: Bench) -> tuple[CaseTrial, ...]:
    """Each visit of a case, worked up and held against its own `expect` and `outcome`.

    Raises InputError where one can't be worked up, or names what the book does not know.
    """
    visits = [bench.visit(whole, number) for number in range(count(whole))]
    unknown = [problem for visit in visits for problem in check_names(visit, bench.book)]
    if unknown:
        raise InputError(unknown)
    trials: list[CaseTrial] = []
    before: Plan | None = None
    for number, visit in enumerate(visits):
        now = bench.work_up(visit)
        since = moved(before, now, work_at(whole, number - 1), bench.book) if before is not None else None
        trials.append(_try_visit(visit, now, since))
        before = now
    return tuple(trials)


def _try_visit(case: Case, plan: Plan, since: Moved | None) -> CaseTrial:
    differs = differences(plan, case.expect, since) if case.expect is not None else ()
    first = first_root(plan.diagnosis)
    place = case.expect.place if case.expect is not None else case.place
    return CaseTrial(
        case=case,
        fired=_sure(plan.diagnosis.firings),
        problems=tuple(Problem(place, EXPECTATION, says) for says in differs),
        as_expected=not differs if case.expect is not None else None,
        first=first.cause.id if first is not None else NONE,
        outcome=tuple(named.name for named in case.outcome.causes) if case.outcome is not None else (),
        named=names_the_outcome(plan, case.outcome) if case.outcome is not None else None,
    )


def _sure(firings: Firings) -> frozenset[str]:
    return frozenset(firing.rule.id for firing in firings.sure())
