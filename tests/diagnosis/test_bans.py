"""What a car must not go through: no test that starts its engine, or none at all. Common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from sessions import TODAY, begun, told

from diagnose.case.from_yaml import case_from_text
from diagnose.pipeline import Bench
from diagnose.plan.model import Plan
from diagnose.session.session import Session

TOP = Path(__file__).parent.parent.parent
HEAD = "id: a\ndate: 2026-01-20\ntitle: a\nfamily: organic_acid\n"
READ = "  - {quantity: ph, value: 8.1, method: meter}\n  - {quantity: overheating, value: at_speed}\n"

# common practice, no source: an engine that is not started, whatever a run would tell
NOT_STARTED = {
    "glycol in the oil": ("overheats", {"oil_glycol": "found"}),
    "milky oil, not tested yet": ("overheats", {"engine_oil": "milky"}),
    "coolant in the gearbox": ("overheats", {"transmission_fluid": "pink_milky"}),
    "smells of fuel": ("overheats", {"smell": "fuel"}),
    "urea": ("overheats", {"wrong_bottle": "urea"}),
    "fuel from a can": ("overheats", {"wrong_bottle": "fuel"}),
    "frozen": ("frozen", {"heater": "cold_or_gurgles"}),
    "a washed cylinder": ("overheats", {"plug_or_borescope": "one_washed_cylinder"}),
    "steam and a falling level": ("smoke", {"consumption": "white_vapour", "level": "low"}),
}
SETTLED = {
    "milky oil, no glycol": ("overheats", {"engine_oil": "milky", "oil_glycol": "none", "level": "at_mark"}),
    "thawed, and the sump is clean": (
        "frozen",
        {"heater": "cold_or_gurgles", "oil_glycol": "none", "level": "at_mark"},
    ),
}


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(TOP / "rulebooks" / "passenger-car", engine="plain")


def work_up(bench: Bench, complaint: str, found: Mapping[str, str]) -> Plan:
    given = {name: value for name, value in found.items() if bench.book.quantities[name].role == "given"}
    history = "".join(f"history: {{{name}: {value}}}\n" for name, value in given.items())
    readings = "".join(f"  - {{quantity: {n}, value: {value}}}\n" for n, value in found.items() if n not in given)
    return bench.work_up(case_from_text(f"{HEAD}complaint: {complaint}\n{history}readings:\n{READ}{readings}", "a"))


def runs(plan: Plan) -> set[str]:
    tests = [choice.test for choice in plan.diagnosis.next_tests]
    return {test.id for test in tests if "warm" in (test.needs.get("engine"), test.leaves.get("engine"))}


@pytest.mark.parametrize(("complaint", "found"), NOT_STARTED.values(), ids=NOT_STARTED)
def test_no_test_starts_an_engine_that_must_not_be_started(
    bench: Bench, complaint: str, found: Mapping[str, str]
) -> None:
    for more in ({}, {"level": "at_mark"}, {"mixture": "50 %"}):
        plan = work_up(bench, complaint, {**more, **found})
        assert not runs(plan)
        assert plan.diagnosis.repair_first is None  # the second look is a drive
        assert plan.may_drive == "no"


@pytest.mark.parametrize(("complaint", "found"), SETTLED.values(), ids=SETTLED)
def test_once_it_is_settled_the_engine_may_be_started(bench: Bench, complaint: str, found: Mapping[str, str]) -> None:
    plan = work_up(bench, complaint, found)
    reasons = [reason for _, reason in plan.diagnosis.later]
    assert not any("forbidden" in reason for reason in reasons)


def test_what_a_rule_forbids_is_told_with_the_rule(bench: Bench) -> None:
    plan = work_up(bench, "overheats", {"oil_glycol": "found", "level": "at_mark"})
    told_ = [reason for test, reason in plan.diagnosis.later if test.leaves.get("engine") == "warm"]
    assert told_
    assert all("DRV-03" in reason for reason in told_)


def test_on_the_high_voltage_loop_nothing_is_tested_or_mended(bench: Bench) -> None:
    text = "car: {hybrid: high_voltage_loop}\ncomplaint: loses_coolant\nreadings:\n  - {quantity: level, value: low}\n"
    plan = bench.work_up(case_from_text(HEAD + text, "a"))
    assert plan.decision.service.id == "hand_over"
    assert (plan.diagnosis.next_tests, plan.diagnosis.later, plan.diagnosis.listed()) == ((), (), ())
    assert {step.kind for step in plan.steps} <= {"service", "verify", "next_check"}
    assert plan.may_drive == "no"
    assert not any(step.kind == "safety" for step in plan.steps)  # nothing is opened, so no word on how


def test_at_the_car_a_forbidden_test_is_refused_with_the_rule(bench: Bench) -> None:
    session = begun(Session(bench, "", "estate", TODAY), complaint="routine")
    session.answer("other oil_check")
    while session.question().quantity != "oil_glycol":
        session.answer("unknown")
    session.answer("found")
    before = session.text
    assert "DRV-03" in told(session, "other gas_colour")
    assert session.text == before


def test_at_the_car_the_high_voltage_loop_ends_the_questions(bench: Bench) -> None:
    session = Session(bench, "", "estate", TODAY)
    for typed in ("blue estate", "loses_coolant"):
        session.answer(typed)
    assert session.question().quantity == "hybrid"  # before a hand goes near the hose
    assert "Nothing is tested on this car" in told(session, "high voltage loop")
    assert session.question().kind == "test"
    assert "forbidden" in told(session, "other ph_pad")
    session.answer("stop")
    assert session.over


def test_a_decision_gives_way_once_it_is_beside_the_point(bench: Bench) -> None:
    """Low by no more than the cold takes: look again sooner, unless a leak is seen or it came in for a loss
    (common practice, no source)."""
    head = (
        HEAD.replace("2026-01-20", "2026-02-01") + "car: {hybrid: 'no'}\nsystem: {capacity: 8 L}\ncomplaint: routine\n"
    )
    low = "readings:\n  - {quantity: ph, value: 8.1, method: meter}\n  - {quantity: mixture, value: 50 %}\n"
    low += "  - {quantity: level, value: low}\n  - {quantity: litres_missing, value: 0.2 L}\n"
    alone = bench.work_up(case_from_text(head + low, "a"))
    assert alone.decision.service.id == "keep_look_sooner"
    assert alone.may_drive == "yes"
    lost = bench.work_up(case_from_text((head + low).replace("complaint: routine", "complaint: loses_coolant"), "a"))
    assert lost.decision.service.id == "fault_first"
    seen = bench.work_up(case_from_text(head + low + "  - {quantity: leak_place, value: pump_seal}\n", "a"))
    assert seen.decision.service.id == "fault_first"


def test_a_gauge_that_lies_accounts_for_the_heat_and_lifts_what_the_heat_forbids(bench: Bench) -> None:
    found = {"overheating": "everywhere", "gauge_check": "gauge_off", "level": "at_mark"}
    readings = "".join(f"  - {{quantity: {name}, value: {value}}}\n" for name, value in found.items())
    plan = bench.work_up(case_from_text(f"{HEAD}complaint: overheats\nreadings:\n{readings}", "a"))
    assert plan.diagnosis.listed()[0].cause.id == "gauge_lies"
    assert plan.diagnosis.complaint is not None
    assert plan.diagnosis.complaint.by == ("gauge_lies",)
    assert plan.may_drive != "no"


def test_what_would_lift_a_ban_is_offered_where_nothing_else_can_be_done(bench: Bench) -> None:
    """The pressure fell inside: nobody starts it before the cylinders were seen (common practice, no source)."""
    head = (
        "id: a\ndate: 2026-01-20\ntitle: a\nfamily: silicated\ncomplaint: loses_coolant\n"
        "car: {fuel: petrol, hybrid: 'no', vehicle_age: 9 years}\n"
        "system: {capacity: 8 L, pressurised: tank, oil_cooler: none, egr_cooler: none, intake_manifold: dry, "
        "transmission_cooler: none, coldest_expected: -10 degC}\n"
        "history: {fill_age: 2 years, factory_fill: 'no', top_up: none, last_opened: long_ago, wrong_bottle: 'no', "
        "electrics_fitted: 'no', head_gasket_renewed: 'no', additive_added: none, cleaner_used: none}\nreadings:\n"
    )
    found = {
        "mixture": "50 %", "level": "low", "overheating": "no", "pressure_hold": "falls_nothing_seen",
        "leak_place": "none", "cap_pressure": "at_rating", "look": "clear", "smell": "none", "engine_oil": "clean",
    }  # fmt: skip
    lines = "  - {quantity: ph, value: 8.2, method: meter}\n  - {quantity: reserve_alkalinity, value: 3.8 mL}\n"
    lines += "".join(f"  - {{quantity: {name}, value: {value}}}\n" for name, value in found.items())
    plan = bench.work_up(case_from_text(head + lines, "a"))
    assert plan.may_drive == "no"
    assert not runs(plan)
    assert [(choice.test.id, choice.reason) for choice in plan.diagnosis.next_tests][:1] == [("borescope", "first")]
    dry = bench.work_up(case_from_text(f"{head}{lines}  - {{quantity: plug_or_borescope, value: dry}}\n", "a"))
    assert "borescope" not in [choice.test.id for choice in dry.diagnosis.next_tests]
    assert not dry.diagnosis.firings.bans()
