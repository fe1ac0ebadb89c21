"""One number for one thing: what changed, the list, why and the work-up say the same of a suspect."""

from __future__ import annotations

import re
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from diagnose.case.from_yaml import case_from_text
from diagnose.pipeline import Bench
from diagnose.plan.model import Plan
from diagnose.report.text import render
from diagnose.report.words import chance, percent
from diagnose.session import telling
from diagnose.session.session import Session

TOP = Path(__file__).parent.parent.parent
CASES = sorted((TOP / "cases").glob("*.yaml"))


@cache
def bench() -> Bench:
    return Bench(TOP / "rulebooks" / "passenger-car", "plain")


def plans(path: Path) -> list[Plan]:
    whole = case_from_text(path.read_text(encoding="utf-8"), path.name)
    return [bench().work_up(bench().visit(whole, number)) for number in range(len(whole.visits) + 1)]


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_what_is_said_of_a_suspect_is_the_same_everywhere(path: Path) -> None:
    for plan in plans(path):
        stands = {s.cause.short: percent(s.probability).removesuffix(" %") for s in plan.diagnosis.suspects}
        text = " ".join(render(plan, bench().book, 10_000).split())
        listed = " ".join(line.text for line in telling.known(plan, bench().book))
        left = " ".join(line.text for line in telling.unproven(plan))
        for s in [s for s in plan.diagnosis.listed() if s.root][:3]:
            if s.state == "proven":
                continue
            said = chance(s.probability)
            label = s.cause.label[:1].upper() + s.cause.label[1:]
            assert f"{label}: {s.state}, {said} ({percent(s.probability)}" in text
            assert f"{label}: {s.state}, {said} ({percent(s.probability)})." in left
            assert f"{s.cause.short}, {said} ({percent(s.probability)})" in listed
        for choice in plan.diagnosis.next_tests:
            quantity = bench().book.quantities.get(choice.outlook[0].quantity) if choice.outlook else None
            told = " ".join(line.text for line in telling.why(quantity, choice, plan.diagnosis, bench().book))
            for name, first in stands.items():
                for found in re.findall(rf"{re.escape(name)} (?:rises|falls) from (under 1|over 99|\d+) to", told):
                    assert found == first
                for found in re.findall(rf"{re.escape(name)} \((under 1|over 99|\d+) % to", told):
                    assert found == first


def test_the_tables_are_not_empty() -> None:
    """The search above finds something: most cases propose a test that moves a suspect."""
    whys = [choice.why for path in CASES for plan in plans(path) for choice in plan.diagnosis.next_tests]
    assert sum("rises from" in why or "falls from" in why for why in whys) > 10


@pytest.mark.parametrize(
    "answers", [("at_speed", "other look_and_smell", "brown", "oil"), ("no", "other ph_pad", "6.4")]
)
def test_what_changed_is_what_the_list_says_then(answers: tuple[str, ...]) -> None:
    session = Session(bench(), "", "estate", date(2026, 3, 1))
    for typed in ("blue estate", "overheats", "no", "safe", "organic_acid", *answers[:-1]):
        session.answer(typed)
    changed = " ".join(line.text for line in session.answer(answers[-1]).lines)
    assert session.standing is not None
    moved = re.findall(r"(?:Changed: |, )([^,;]+?) (?:rises|falls) from [^,;]+? to ((?:under |over )?\d+ %)", changed)
    assert moved
    shown = {s.cause.short: percent(s.probability) for s in session.standing.plan.diagnosis.suspects}
    assert all(shown[name] == share for name, share in moved)


def test_a_sure_answer_is_foretold_as_it_then_comes() -> None:
    """Of a test with one question in words, what 'why' foretells is what the answer makes of it, within 2 %."""
    session = Session(bench(), "", "estate", date(2026, 3, 1))
    for typed in ("blue estate", "overheats", "no", "safe", "organic_acid", "at_speed"):
        session.answer(typed)
    checked = 0
    for _ in range(6):
        question = session.question()
        choice = session.choice(session.test(question))
        assert session.standing is not None
        quantity = session.book.quantities.get(question.quantity)
        if choice is None or quantity is None or not quantity.in_words or not choice.outlook:
            session.answer("unknown")
            continue
        likely = max(choice.outlook, key=lambda each: each.probability)
        if likely.quantity == quantity.id and len(choice.test.yields) == 1:
            session.answer(likely.band)
            after = {s.cause.id: s.probability for s in session.standing.plan.diagnosis.suspects}
            for name, share in likely.after.items():
                assert after[name] == pytest.approx(share, abs=0.02)
            checked += 1
        else:
            session.answer("unknown")
    assert checked
