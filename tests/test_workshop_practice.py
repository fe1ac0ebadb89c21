"""The workshop's practices, run down the whole road on the shipped book.

Every expectation here is common practice of the workshop, no source, unless its line names one.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from diagnose.case.from_yaml import case_from_text
from diagnose.pipeline import Bench
from diagnose.plan.model import Plan
from diagnose.report.text import render

TOP = Path(__file__).parent.parent
HEAD = "id: practice\ndate: 2026-03-12\ntitle: a car of the practice\n"


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(TOP / "rulebooks" / "passenger-car")


def work_up(bench: Bench, family: str, readings: str, more: str = "") -> Plan:
    entries = "".join(f"  - {{{line.strip()}}}\n" for line in readings.splitlines() if line.strip())
    return bench.work_up(case_from_text(f"{HEAD}family: {family}\n{more}readings:\n{entries}", "practice.yaml"))


def bands(plan: Plan, quantity: str) -> tuple[str, ...]:
    finding = plan.diagnosis.firings.findings.get(quantity)
    assert finding is not None
    return finding.possible


BETWEEN_PADS = "quantity: ph, value: 9..11, method: pad\nquantity: mixture, value: 44 %, method: refractometer"


class TestTheWorkedReading:
    """Extended-life coolant, a pad between 9 and 11, mixture 44 %."""

    def test_it_is_too_alkaline_for_the_family(self, bench: Bench) -> None:
        assert bands(work_up(bench, "organic_acid", BETWEEN_PADS), "ph") == ("high",)

    def test_the_same_pad_is_right_for_conventional_coolant(self, bench: Bench) -> None:
        assert bands(work_up(bench, "conventional", BETWEEN_PADS), "ph") == ("good",)

    def test_it_is_replaced_once_the_cause_is_found(self, bench: Bench) -> None:
        decision = work_up(bench, "organic_acid", BETWEEN_PADS).decision
        assert decision.service.id == "replace"
        assert "cause" in decision.after

    def test_the_history_is_asked_first(self, bench: Bench) -> None:
        plan = work_up(bench, "organic_acid", BETWEEN_PADS)
        assert "ask_history" in [choice.test.id for choice in plan.diagnosis.next_tests]

    def test_forty_four_percent_alone_is_acceptable(self, bench: Bench) -> None:
        plan = work_up(bench, "organic_acid", BETWEEN_PADS)
        assert bands(plan, "mixture") == ("good",)

    def test_mixed_families_lead_and_alkaline_residue_follows(self, bench: Bench) -> None:
        """Order and rough size of the trial table; the weights are judgement."""
        plan = work_up(bench, "organic_acid", BETWEEN_PADS)
        roots = [suspect.cause.id for suspect in plan.diagnosis.listed() if suspect.root]
        assert roots[:2] == ["families_mixed", "alkaline_cleaner_left"]
        assert "pad_spoiled" in roots


class TestServiceDecisions:
    @pytest.mark.parametrize("family", ["organic_acid", "hybrid", "silicated", "phosphated"])
    @pytest.mark.parametrize("value", ["6.8", "9.2"])
    def test_ph_outside_7_to_9_replaces_extended_life_at_any_age_and_mixture(
        self, bench: Bench, family: str, value: str
    ) -> None:
        more = "history: {fill_age: 3 months}\n"
        readings = f"quantity: ph, value: {value}, method: meter\nquantity: mixture, value: 50 %"
        assert work_up(bench, family, readings, more).decision.service.id == "replace"

    @pytest.mark.parametrize("value", ["8.3", "11.3"])
    def test_ph_outside_8_5_to_11_replaces_conventional(self, bench: Bench, value: str) -> None:
        readings = f"quantity: ph, value: {value}, method: meter\nquantity: mixture, value: 50 %"
        assert work_up(bench, "conventional", readings).decision.service.id == "replace"

    @pytest.mark.parametrize("mixture", ["33 %", "66 %"])
    def test_good_ph_and_a_mixture_out_is_corrected_without_a_flush(self, bench: Bench, mixture: str) -> None:
        readings = f"quantity: ph, value: 8.0, method: meter\nquantity: mixture, value: {mixture}\n"
        plan = work_up(bench, "organic_acid", readings + "quantity: level, value: at mark")
        assert plan.decision.service.id == "correct"
        service = next(step for step in plan.steps if step.kind == "service")
        assert not any("cycle" in line for line in service.lines)

    def test_all_good_is_kept_and_looked_at_within_a_year(self, bench: Bench) -> None:
        readings = (
            "quantity: ph, value: 8.0, method: meter\nquantity: mixture, value: 50 %\nquantity: level, value: at mark"
        )
        plan = work_up(bench, "organic_acid", readings, "history: {fill_age: 1 years}\n")
        assert plan.decision.service.id == "keep"
        assert plan.next_check is not None
        assert plan.next_check <= date(2027, 3, 12)

    def test_inside_the_range_but_short_of_the_frost_margin_is_not_acceptable(self, bench: Bench) -> None:
        """44 vol % EG freezes near -29.5 degC (ASHRAE pairs) and fails a 5 K margin where -28 degC is expected."""
        readings = (
            "quantity: ph, value: 8.0, method: meter\nquantity: mixture, value: 44 %\nquantity: level, value: at mark"
        )
        plan = work_up(bench, "organic_acid", readings, "system: {coldest_expected: -28 degC}\n")
        assert bands(plan, "mixture") == ("good",)
        assert plan.decision.service.id == "correct"

    def test_spent_reserve_replaces_at_a_good_ph(self, bench: Bench) -> None:
        readings = (
            "quantity: ph, value: 8.0, method: meter\nquantity: mixture, value: 50 %\n"
            "quantity: reserve_alkalinity, value: 0.3 mL, method: titration"
        )
        assert work_up(bench, "organic_acid", readings).decision.service.id == "replace"

    def test_an_interval_exceeded_replaces_at_a_good_ph(self, bench: Bench) -> None:
        readings = (
            "quantity: ph, value: 8.0, method: meter\nquantity: mixture, value: 50 %\nquantity: level, value: at mark"
        )
        plan = work_up(bench, "organic_acid", readings, "history: {fill_age: 9 years}\n")
        assert plan.decision.service.id == "replace"

    def test_a_reading_on_the_limit_is_measured_again_with_the_better_instrument(self, bench: Bench) -> None:
        readings = (
            "quantity: ph, value: 9.0, method: pad\nquantity: mixture, value: 50 %\nquantity: level, value: at mark"
        )
        plan = work_up(bench, "organic_acid", readings)
        assert plan.decision.service.id == "measure_again"
        assert any("meter" in reason for reason in plan.decision.because)
        assert "ph_meter" in [choice.test.id for choice in plan.diagnosis.next_tests]


class TestWhatMayNotBeConcluded:
    GAS = ("head_gasket_gas", "egr_cooler_gas", "cracked_casting_gas")

    def gas(self, plan: Plan) -> float:
        return sum(plan.diagnosis.suspect(name).probability for name in self.GAS)

    def test_blue_lowers_the_suspicion_of_gas_and_never_excludes_it(self, bench: Bench) -> None:
        acid = work_up(bench, "organic_acid", "quantity: ph, value: 6.5, method: meter")
        blue = work_up(
            bench,
            "organic_acid",
            "quantity: ph, value: 6.5, method: meter\nquantity: combustion_gas, value: not found, method: colour",
        )
        assert 0.02 < self.gas(blue) < self.gas(acid)

    def test_a_colour_test_never_proves(self, bench: Bench) -> None:
        plan = work_up(bench, "organic_acid", "quantity: combustion_gas, value: found, method: colour")
        assert all(plan.diagnosis.suspect(name).state != "proven" for name in self.GAS)
        assert self.gas(plan) > 0.5

    def test_a_clean_dipstick_is_nearly_no_evidence_against_a_gasket(self, bench: Bench) -> None:
        """A columnist meets oil and coolant mixed in about 2 % of head gasket failures (trade-press, 2002)."""
        without = work_up(bench, "organic_acid", "quantity: combustion_gas, value: found, method: colour")
        with_oil = work_up(
            bench,
            "organic_acid",
            "quantity: combustion_gas, value: found, method: colour\nquantity: engine_oil, value: clean, method: eye",
        )
        assert self.gas(with_oil) == pytest.approx(self.gas(without), abs=0.05)

    def test_a_steady_voltage_yields_no_electrical_repair(self, bench: Bench) -> None:
        readings = "".join(
            f"quantity: {name}, value: 0.31 V\n" for name in ("volts_battery_off", "volts_all_off", "volts_loads_on")
        )
        plan = work_up(bench, "organic_acid", readings)
        repaired = {step.ref for step in plan.steps if step.kind == "repair"}
        assert repaired.isdisjoint({"stray_current", "engine_ground_strap"})
        assert plan.diagnosis.suspect("self_made_voltage").probability > 0.9


class TestSafety:
    def test_nothing_opens_the_system_before_the_gate(self, bench: Bench) -> None:
        plan = work_up(bench, "organic_acid", BETWEEN_PADS)
        opening = [
            number
            for number, step in enumerate(plan.steps)
            if step.kind in ("repair", "service") or (step.kind == "test" and bench.book.tests[step.ref].opens)
        ]
        gate = next(number for number, step in enumerate(plan.steps) if step.kind == "safety")
        assert gate < min(opening)

    def test_the_gate_asks_for_hose_and_temperature(self, bench: Bench) -> None:
        plan = work_up(bench, "organic_acid", BETWEEN_PADS)
        said = " ".join(next(step for step in plan.steps if step.kind == "safety").lines).lower()
        assert "hose" in said
        assert "thermometer" in said

    def test_no_head_comes_off_on_one_physical_principle(self, bench: Bench) -> None:
        plan = work_up(bench, "organic_acid", "quantity: combustion_gas, value: found, method: colour")
        repairs = [step for step in plan.steps if step.kind == "repair"]
        assert all(not step.title.lower().startswith("take the head off") for step in repairs)

    @pytest.mark.parametrize("word", ["poison", "child", "pet", "drain"])
    def test_cautions_name_the_usual_dangers(self, bench: Bench, word: str) -> None:
        plan = work_up(bench, "organic_acid", BETWEEN_PADS)
        assert any(word in caution.text.lower() for caution in plan.cautions)

    @pytest.mark.parametrize("word", ["service information", "local codes", "licensed practice"])
    def test_the_last_word_is_left_to_others_on_every_work_up(self, bench: Bench, word: str) -> None:
        plan = work_up(bench, "organic_acid", BETWEEN_PADS)
        assert word in " ".join(render(plan, bench.book).split())
