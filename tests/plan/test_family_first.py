"""What is poured in has to be of the family that is in the car. Common practice, no source."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.case.from_yaml import case_from_text
from diagnose.pipeline import Bench
from diagnose.plan.model import Plan

TOP = Path(__file__).parent.parent.parent
THIN = """id: a
date: 2026-06-01
title: a
family: {}
car: {{hybrid: "no"}}
system: {{capacity: 8 L}}
complaint: routine
readings:
  - {{quantity: level, value: at_mark}}
  - {{quantity: ph, value: 8.2, method: meter}}
  - {{quantity: mixture, value: 34 %}}
  - {{quantity: look, value: clear}}
"""


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(TOP / "rulebooks" / "passenger-car", engine="plain")


def work_up(bench: Bench, family: str) -> Plan:
    return bench.work_up(case_from_text(THIN.format(family), "a"))


def poured(plan: Plan) -> str:
    return " ".join(line for step in plan.steps if step.kind == "service" for line in step.lines)


def test_where_the_family_is_one_of_two_it_is_found_before_anything_is_added(bench: Bench) -> None:
    plan = work_up(bench, "[organic_acid, hybrid]")
    assert plan.decision.service.id == "correct"
    assert plan.diagnosis.next_tests[0].test.finds_family
    assert "what is added" in plan.diagnosis.next_tests[0].why
    assert "not known yet: organic acid" in poured(plan)


def test_where_it_is_known_nothing_of_it_is_said(bench: Bench) -> None:
    plan = work_up(bench, "organic_acid")
    assert plan.decision.service.id == "correct"
    assert not any(choice.test.finds_family for choice in plan.diagnosis.next_tests)
    assert "not known yet" not in poured(plan)
