"""A work-up against what its case expects, and against what proved to be true. Plain sentences of what differs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from diagnose.case.model import Case, Expect, Held, Named, Outcome
from diagnose.diagnosis.model import Diagnosis, Suspect
from diagnose.plan.model import Plan
from diagnose.plan.moved import Moved
from diagnose.rulebook.model import Book
from diagnose.yamlfile import Problem, Problems

NONE = "none"
"""`first: none` expects that no cause is listed."""

TURNED_OUT: dict[Held, str] = {
    "held": "it held",
    "came back": "it did not hold",
    "not known": "it is not known whether it held",
}


def check_names(case: Case, book: Book) -> tuple[Problem, ...]:
    """Names in `expect` and `outcome` that the book does not know."""
    problems = Problems()
    expect, outcome = case.expect, case.outcome
    if expect is not None:
        first = [expect.first] if expect.first is not None and expect.first.name != NONE else []
        repairs = [named for each in expect.of_repairs().values() for named in each]
        causes = (*first, *expect.followers, *expect.includes, *expect.excludes, *expect.impossible, *repairs)
        _check("cause", causes, book.causes, book, problems)
        _check("service", [expect.decision] if expect.decision else [], book.services, book, problems)
        _check("test", expect.next, book.tests, book, problems)
    if outcome is not None:
        _check("cause", outcome.causes, book.causes, book, problems)
    return tuple(sorted(problems))


def differences(plan: Plan, expect: Expect, moved: Moved | None = None) -> tuple[str, ...]:
    """One sentence for every part of `expect` that the work-up does not meet; only what is stated is checked.

    `moved` compares with the visit before, None at the first one. Names must be known to the book (see check_names).
    """
    diagnosis = plan.diagnosis
    listed = {suspect.cause.id for suspect in diagnosis.listed()}
    offered = [test.test.id for test in diagnosis.next_tests]
    found = [*_first(diagnosis, expect.first), *_followers(diagnosis, expect)]
    for name in _names(expect.includes):
        if name not in listed:
            found.append(f"{name} should be listed, but is {_said(diagnosis.suspect(name))}")
    for name in _names(expect.excludes):
        if name in listed:
            found.append(f"{name} should not be listed, but is {_said(diagnosis.suspect(name))}")
    for name in _names(expect.impossible):
        if diagnosis.suspect(name).state != "impossible":
            found.append(f"{name} should be impossible, but is {_said(diagnosis.suspect(name))}")
    if expect.decision is not None and plan.decision.service.id != expect.decision.name:
        found.append(f"the decision should be {expect.decision.name}, but is {plan.decision.service.id}")
    for name in _names(expect.next):
        if name not in offered:
            found.append(f"{name} should be among the next tests, which are {', '.join(offered) or NONE}")
    return (*found, *_repairs(expect, moved))


def first_root(diagnosis: Diagnosis) -> Suspect | None:
    """The first listed cause that stands as a root of its own."""
    return next((suspect for suspect in diagnosis.listed() if suspect.root), None)


def names_the_outcome(plan: Plan, outcome: Outcome) -> bool:
    """Whether the first suspect is one of the causes that proved to be true."""
    first = first_root(plan.diagnosis)
    return (first.cause.id if first is not None else NONE) in (_names(outcome.causes) or (NONE,))


def _first(diagnosis: Diagnosis, expected: Named | None) -> list[str]:
    if expected is None:
        return []
    first = first_root(diagnosis)
    name = first.cause.id if first is not None else NONE
    if name == expected.name:
        return []
    is_first = f"{name} is ({_percent(first.as_root)} as root)" if first is not None else "no cause is listed"
    if expected.name == NONE:
        return [f"no cause should be listed, but {name} is {_said(diagnosis.suspect(name))}"]
    return [f"{expected.name} should come first, but {is_first}; it is {_said(diagnosis.suspect(expected.name))}"]


def _followers(diagnosis: Diagnosis, expect: Expect) -> list[str]:
    first = first_root(diagnosis)
    if first is None:
        return [f"{name} should follow, but no cause is listed" for name in _names(expect.followers)]
    return [
        f"{name} should follow from {first.cause.id}, but its story is {', '.join(first.story) or NONE}"
        for name in _names(expect.followers)
        if name not in first.story
    ]


def _repairs(expect: Expect, moved: Moved | None) -> list[str]:
    says: dict[str, Held] = {each.cause: each.verdict for each in moved.repairs} if moved is not None else {}
    found = []
    for verdict, named in expect.of_repairs().items():
        for name in _names(named):
            if name not in says:
                found.append(f"the repair of {name}: '{TURNED_OUT[verdict]}' is expected, but none is recorded before")
            elif says[name] != verdict:
                found.append(f"the repair of {name}: '{TURNED_OUT[verdict]}' is expected, but {TURNED_OUT[says[name]]}")
    return found


def _said(suspect: Suspect) -> str:
    return f"{suspect.state} ({_percent(suspect.probability)})"


def _percent(share: float) -> str:
    return f"{share:.0%}" if share >= 0.01 else "under 1%"


def _names(named: Iterable[Named]) -> tuple[str, ...]:
    return tuple(each.name for each in named)


def _check(kind: str, named: Iterable[Named], known: Mapping[str, object], book: Book, problems: Problems) -> None:
    for each in named:
        if each.name not in known:
            problems.unknown_name(each.place, kind, each.name, known, f"the rulebook '{book.id}'")
