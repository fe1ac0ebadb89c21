"""What a case expects, against work-ups made by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from diagnose.case.from_yaml import case_from_text
from diagnose.case.model import Case
from diagnose.diagnosis.model import CauseState, Diagnosis, NextTest, Suspect
from diagnose.findings.from_case import find
from diagnose.firings.model import Firings
from diagnose.plan.model import Decision, Plan
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Book
from diagnose.vet.expect import check_names, differences, names_the_outcome

HEAD = "id: c\ndate: 2026-03-12\ntitle: t\n"
PlanOf = Callable[..., Plan]


def case(text: str) -> Case:
    return case_from_text(HEAD + text, "c.yaml")


@pytest.fixture(scope="module")
def book() -> Book:
    return read_book(Path(__file__).parent.parent / "books" / "small")


@pytest.fixture
def plan(book: Book) -> Plan:
    """leak 60 % and diluted 55 % as its follower, gas 0.4 %, the rest impossible; correct; look_at_level next."""
    states: dict[str, tuple[float, CauseState, bool, tuple[str, ...]]] = {
        "leak": (0.6, "probable", True, ("diluted",)),
        "diluted": (0.55, "probable", False, ()),
        "gas": (0.004, "unlikely", False, ()),
        "worn": (0.0, "impossible", False, ()),
    }
    suspects = tuple(
        Suspect(book.causes[name], p, p, 0.1, state, root, (), story, (), (), "")
        for name, (p, state, root, story) in states.items()
    )
    firings = Firings("plain", find(case(""), book), (), frozenset(), {})
    test = NextTest(book.tests["look_at_level"], 1, 0.5, (), (), (), "")
    diagnosis = Diagnosis(firings, suspects, 0.1, 0.02, (test,), ())
    decision = Decision(book.services["correct"], (), (), True, "")
    return Plan(diagnosis, decision, (), (), "yes", "", (), None, "", ())


def differ(plan: Plan, expect: str) -> tuple[str, ...]:
    found = case(f"expect: {{{expect}}}\n").expect
    assert found is not None
    return differences(plan, found)


def test_all_met(plan: Plan) -> None:
    expect = "first: leak, followers: diluted, includes: [leak, diluted], excludes: gas, impossible: worn"
    assert differ(plan, f"{expect}, decision: correct, next: look_at_level") == ()


@pytest.mark.parametrize(
    ("expect", "says"),
    [
        ("first: diluted", "diluted should come first, but leak is (60% as root); it is probable (55%)"),
        ("first: none", "no cause should be listed, but leak is probable (60%)"),
        ("followers: gas", "gas should follow from leak, but its story is diluted"),
        ("includes: gas", "gas should be listed, but is unlikely (under 1%)"),
        ("excludes: diluted", "diluted should not be listed, but is probable (55%)"),
        ("impossible: gas", "gas should be impossible, but is unlikely (under 1%)"),
        ("decision: replace", "the decision should be replace, but is correct"),
        ("next: ph_meter", "ph_meter should be among the next tests, which are look_at_level"),
    ],
)
def test_one_sentence_for_what_differs(plan: Plan, expect: str, says: str) -> None:
    assert differ(plan, expect) == (says,)


def test_nothing_listed(plan: Plan) -> None:
    empty = replace(plan, diagnosis=replace(plan.diagnosis, suspects=plan.diagnosis.suspects[2:], next_tests=()))
    assert differ(empty, "first: none") == ()
    assert differ(empty, "first: gas, followers: worn, next: ph_meter") == (
        "gas should come first, but no cause is listed; it is unlikely (under 1%)",
        "worn should follow, but no cause is listed",
        "ph_meter should be among the next tests, which are none",
    )


def test_outcome(plan: Plan) -> None:
    for causes, named in (("[leak]", True), ("[gas, leak]", True), ("[diluted]", False)):
        outcome = case(f"outcome: {{causes: {causes}, known_by: seen}}\n").outcome
        assert outcome is not None
        assert names_the_outcome(plan, outcome) is named


def test_names_the_book_does_not_know(book: Book) -> None:
    text = "expect: {first: leek, includes: [leak], decision: replac, next: ph_metre}\n"
    text += "outcome: {causes: [wron], known_by: x}\n"
    assert [str(problem) for problem in check_names(case(text), book)] == [
        "c.yaml:4:17: unknown-name: no cause is called 'leek'\n"
        "    hint: did you mean 'leak'? the names stand in the rulebook 'small'",
        "c.yaml:4:51: unknown-name: no service is called 'replac'\n"
        "    hint: did you mean 'replace'? the names stand in the rulebook 'small'",
        "c.yaml:4:65: unknown-name: no test is called 'ph_metre'\n"
        "    hint: did you mean 'ph_meter'? the names stand in the rulebook 'small'",
        "c.yaml:5:20: unknown-name: no cause is called 'wron'\n"
        "    hint: did you mean 'worn'? the names stand in the rulebook 'small'",
    ]
    assert check_names(case("expect: {first: none}\n"), book) == ()
