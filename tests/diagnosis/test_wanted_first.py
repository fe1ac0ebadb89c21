"""What a decision wants to know first, and what a test can still show."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from diagnose.case.from_yaml import case_from_text
from diagnose.diagnosis.excluded import can_come, concluded_of, still_open
from diagnose.pipeline import Bench
from diagnose.plan.model import Plan

TOP = Path(__file__).parent.parent.parent
HEAD = "id: a\ndate: 2026-01-20\ntitle: a\nfamily: organic_acid\ncar: {hybrid: no}\nreadings:\n"
SOUND = "  - {quantity: ph, value: 8.0, method: meter}\n  - {quantity: mixture, value: 50 %}\n"


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(TOP / "rulebooks" / "passenger-car", engine="plain")


def work_up(bench: Bench, **volts: float) -> Plan:
    lines = "".join(f"  - {{quantity: volts_{name}, value: {value} V}}\n" for name, value in volts.items())
    return bench.work_up(case_from_text(HEAD + SOUND + lines, "a"))


def test_a_decision_waits_for_what_its_rule_wants_first(bench: Bench) -> None:
    """Coolant good, a voltage found: it is kept once the battery was off (common practice, no source)."""
    plan = work_up(bench, all_off=0.2)
    first = plan.diagnosis.next_tests[0]
    assert (plan.decision.service.id, first.test.id, first.reason) == (
        "keep_look_sooner",
        "voltage_battery_off",
        "decides",
    )
    done = work_up(bench, all_off=0.2, battery_off=0.2)
    assert "voltage_battery_off" not in {choice.test.id for choice in done.diagnosis.next_tests}
    assert done.diagnosis.suspect("self_made_voltage").probability > 0.95


def test_a_voltage_that_goes_with_the_battery_is_no_battery_of_metals(bench: Bench) -> None:
    """Common practice, no source: unchanged without the battery it is the coolant's own, gone it is the wiring's."""
    plan = work_up(bench, all_off=0.2, battery_off=0.01)
    gone = plan.diagnosis
    stays = work_up(bench, all_off=0.2, battery_off=0.2).diagnosis
    assert gone.suspect("stray_current").probability > 2 * gone.suspect("self_made_voltage").probability
    assert stays.suspect("stray_current").probability < 0.05
    assert plan.decision.service.id == "fault_first"


def test_a_pattern_that_the_readings_exclude_is_not_foretold(bench: Bench) -> None:
    """0.2 V at rest: no answer to the battery's lead is 'there is none'."""
    outlook = next(c for c in work_up(bench, all_off=0.2).diagnosis.next_tests if c.test.id == "voltage_battery_off")
    assert {each.quantity for each in outlook.outlook} == {"voltage_at_rest"}
    assert not [each for each in outlook.outlook if each.band == "none"]


def test_a_further_state_can_raise_the_highest_voltage_and_not_lower_it(bench: Bench) -> None:
    """Quiet so far may become anything; raised stays raised or becomes high, whatever is measured next."""
    book = bench.book
    pattern = book.quantities["voltage_pattern"]
    concluded = concluded_of(pattern, book)
    quiet = [band.id for band in pattern.bands].index("quiet")
    new = {"volts_loads_on", "volts_battery_off"}
    for volts, left in ((0.04, True), (0.2, False)):
        findings = work_up(bench, all_off=volts).diagnosis.firings.findings
        assert bool(still_open(concluded, findings, new, book)[quiet]) is left


def test_combinations_that_no_rule_makes_do_not_come(bench: Bench) -> None:
    """Common sense: where nothing stands at rest nothing can stay, and where something does it stays or goes."""
    book = bench.book
    at_rest, lead = book.quantities["volts_at_rest"], book.quantities["voltage_at_rest"]
    found = can_come([at_rest, lead], [(), concluded_of(lead, book)]).reshape(2, 3)
    assert np.array_equal(found, [[1, 0, 0], [0, 1, 1]])


def test_level_and_mixture_are_read_before_the_coolant_goes(bench: Bench) -> None:
    """Measure before you mend (common practice, no source): once it is out nobody can read them any more."""
    head = "id: a\ndate: 2026-01-20\ntitle: a\nfamily: organic_acid\ncar: {hybrid: no}\ncomplaint: routine\n"
    acid = "  - {quantity: ph, value: 5.9, method: meter}\n  - {quantity: reserve_alkalinity, value: 0.4 mL}\n"
    history = "history: {cleaner_used: acid, top_up: none, fill_age: 3 weeks, factory_fill: no}\n"
    read = {"level": "  - {quantity: level, value: at_mark}\n", "mixture": "  - {quantity: mixture, value: 50 %}\n"}
    for known in ((), ("level",), ("level", "mixture")):
        lines = "".join(read[name] for name in known)
        plan = bench.work_up(case_from_text(f"{head}{history}readings:\n{acid}{lines}", "a"))
        before = {c.test.id for c in plan.diagnosis.next_tests if c.reason == "before"}
        wanted = {"level": "read_level", "mixture": "refractometer"}
        assert plan.decision.service.id == "replace"
        assert before == {wanted[name] for name in wanted if name not in known}
        assert all("nobody can read it any more" in c.why for c in plan.diagnosis.next_tests if c.reason == "before")
