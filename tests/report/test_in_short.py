"""The four lines at the head of a work-up say nothing that does not stand below, and nothing else than that."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.case.from_yaml import case_from_text, read_case
from diagnose.pipeline import Bench
from diagnose.plan.wording import first_upper
from diagnose.report.text.in_short import in_short
from diagnose.report.words import percent
from diagnose.rulebook.find import find_book


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(find_book("passenger-car"), engine="plain")


def told(bench: Bench, text: str) -> dict[str, str]:
    """The lines, by what they begin with."""
    lines = in_short(bench.work_up(case_from_text(text, "case")), 200)
    return dict((part.strip() for part in line.split(":", 1)) for line in lines)


def case(readings: str, more: str = "") -> str:
    head = "id: x\ndate: 2026-03-05\ntitle: x\nfamily: organic_acid\nhistory: {fill_age: 1 year}\n"
    return f"{head}{more}readings: [{readings}]\n"


def test_they_agree_with_the_work_up_of_every_case(bench: Bench, top: Path) -> None:
    for file in sorted((top / "cases").glob("*.yaml")):
        whole = read_case(file, file.name)
        plan = bench.work_up(bench.visit(whole))
        lines = in_short(plan, 300)
        assert [line.split(":")[0].strip() for line in lines] == ["Cause", "Next", "Coolant", "Driving"], file.name
        roots = [suspect for suspect in plan.diagnosis.listed() if suspect.root]
        if roots:
            first = roots[0]
            assert first.cause.short.lower() in lines[0].lower(), file.name
            sure = "(proven)" if first.state == "proven" else f"{percent(first.probability)})"
            assert sure in lines[0], file.name
        else:
            assert "None found" in lines[0], file.name
        for choice in plan.diagnosis.next_tests[:1]:
            assert first_upper(choice.test.label) in lines[1], file.name
        assert first_upper(plan.decision.service.label) in lines[2], file.name
        assert ("after" in lines[2]) == bool(plan.decision.after), file.name


def test_a_sound_car(bench: Bench) -> None:
    good = (
        "{quantity: ph, value: 8.2, method: meter}, {quantity: mixture, value: 50 %, method: refractometer}, "
        "{quantity: look, value: clear, method: eye}, {quantity: level, value: at_mark, method: eye}"
    )
    found = told(bench, case(good, "complaint: {complaint: routine}\n"))
    assert found["Cause"] == "None found in what was read"
    assert found["Coolant"] == "Keep the coolant"
    assert found["Driving"] == "May be driven"


def test_what_is_only_possible_is_not_told_as_found(bench: Bench) -> None:
    found = told(bench, case("{quantity: level, value: low, method: eye}", "complaint: {complaint: loses_coolant}\n"))
    assert found["Cause"].startswith("Not known yet; possible, among others: ")
    assert "probable" not in found["Cause"]
