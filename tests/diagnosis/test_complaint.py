"""What brought the car in is answered: what is looked at for it, in which order, and when the program may stop.

What a technician looks at for each complaint is common practice, no source; that combustion gas, pressure and level are
looked at after a head gasket is what the repair itself names as its proof.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from diagnose.case.from_yaml import case_from_text
from diagnose.pipeline import Bench
from diagnose.plan.model import Plan
from diagnose.rulebook.model import Book, Yield
from diagnose.yamlfile import InputError

TOP = Path(__file__).parents[2]
GOOD = {"ph": "8.0", "mixture": "50 %"}
TELLS = {"fill_age": "3 years", "distance_since_fill": "30000 km"}
"""What is told of a sound car where a word of the book does not say it."""
MOST = 20


@dataclass
class Car:
    """A car that is tested as the program proposes; what nobody says is sound."""

    complaint: str
    shows: Mapping[str, str] = field(default_factory=dict)
    readings: dict[str, str] = field(default_factory=lambda: dict(GOOD))
    told: dict[str, str] = field(default_factory=dict)
    engine: str = "cold"
    done: list[str] = field(default_factory=list)
    by: dict[str, str] = field(default_factory=lambda: {"ph": "meter", "mixture": "refractometer"})

    def text(self, book: Book) -> str:
        lines = ["id: car", "date: 2026-11-25", "title: a car", "family: organic_acid"]
        lines += [f"complaint: {self.complaint}"] if self.complaint else []
        lines += [f"state: {{engine: {self.engine}}}"]
        for section in ("car", "system", "history"):
            names = [name for name in self.told if book.quantities[name].under == section]
            lines += [f"{section}:", *(f'  {name}: "{self.told[name]}"' for name in names)] if names else []
        lines.append("readings:")
        for name, value in self.readings.items():
            method = f", method: {self.by[name]}" if self.by.get(name) and value != "unknown" else ""
            lines.append(f'  - {{quantity: {name}, value: "{value}"{method}}}')
        return "\n".join(lines) + "\n"

    def work_up(self, bench: Bench) -> Plan:
        return bench.work_up(case_from_text(self.text(bench.book), "car"))

    def go_on(self, bench: Bench) -> Plan:
        """Do what is proposed first, one test after the other, until nothing is."""
        for _ in range(MOST):
            plan = self.work_up(bench)
            if not plan.diagnosis.next_tests:
                return plan
            test = plan.diagnosis.next_tests[0].test
            assert test.id not in self.done, f"{test.id} is asked twice: {self.done}"
            self.done.append(test.id)
            self.engine = test.leaves.get("engine", test.needs.get("engine", self.engine))
            for each in test.yields:
                self._answer(each, bench.book)
        raise AssertionError(f"it does not end: {self.done}")

    def _answer(self, asked: Yield, book: Book) -> None:
        name, quantity = asked.quantity, book.quantities[asked.quantity]
        if quantity.role == "reading" and name not in self.readings:
            sound = quantity.normal if quantity.in_words else "unknown"
            self.by[name] = asked.method
            self.readings[name] = self.shows.get(name, TELLS.get(name, sound))
        elif quantity.role == "given" and name != "complaint" and name not in self.told:
            words = {band: word.value for band, word in quantity.how_often.items()} if quantity.in_words else {}
            usual = max(words, key=lambda band: words[band]) if words else "unknown"
            self.told[name] = self.shows.get(name, TELLS.get(name, usual))


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(TOP / "rulebooks" / "passenger-car", engine="plain")


LOOKS = {
    # common practice, no source: what is looked at before the car is handed back, and what is looked at first
    "loses_coolant": ("level", {"level", "pressure_hold", "cap_pressure", "combustion_gas"}),
    "overheats": ("overheating", {"overheating", "level", "airflow", "thermostat", "fan", "circulation"}),
    "heater_cold": ("level", {"level", "heater", "thermostat"}),
    "looks_bad": ("look", {"look", "film"}),
    "smoke": ("level", {"level", "engine_oil", "consumption", "combustion_gas"}),
    "frozen": ("level", {"level", "pressure_hold", "engine_oil"}),
}


@pytest.mark.parametrize("complaint", LOOKS)
def test_good_ph_and_mixture_do_not_answer_a_complaint(bench: Bench, complaint: str) -> None:
    car = Car(complaint, {"overheating": "at_speed"} if complaint == "overheats" else {})
    first, wanted = LOOKS[complaint]
    before = car.work_up(bench)
    assert first in {each.quantity for each in before.diagnosis.next_tests[0].test.yields}
    assert before.decision.service.id == "fault_first"
    assert any("not explained yet" in line for line in before.tell_customer)
    plan = car.go_on(bench)
    assert wanted <= car.readings.keys()
    assert plan.diagnosis.complaint is not None
    assert not plan.diagnosis.complaint.open
    if not plan.diagnosis.complaint.by:  # all of it was sound: that is no explanation either
        assert plan.decision.service.id != "keep"
        assert any("not explained" in reason for reason in plan.decision.because)


@pytest.mark.parametrize("complaint", [*LOOKS, "routine"])
def test_no_engine_is_run_warm_before_the_level_was_looked_at(bench: Bench, complaint: str) -> None:
    car = Car(complaint, {"overheating": "at_speed"} if complaint == "overheats" else {})
    car.go_on(bench)
    warm = [n for n, name in enumerate(car.done) if bench.book.tests[name].leaves.get("engine") == "warm"]
    level = [n for n, name in enumerate(car.done) if any(y.quantity == "level" for y in bench.book.tests[name].yields)]
    assert not warm or (level and level[0] < warm[0]), car.done


def test_every_test_that_leaves_the_engine_warm_waits_for_the_level(bench: Bench) -> None:
    """But the one that fills and bleeds it, and the one that has the car in the bay for days."""
    warm = {test.id for test in bench.book.tests.values() if test.leaves.get("engine") == "warm"}
    assert {t for t in warm if "level" not in bench.book.tests[t].first} == {"bleed_and_watch", "cooler_isolation"}


@pytest.mark.parametrize(
    "shows", [{"level": "low"}, {"level": "at_mark", "combustion_gas": "found", "cold_pressure_rise": "fast"}]
)
def test_no_hot_run_is_offered_with_a_low_level_or_with_gas_proven(bench: Bench, shows: dict[str, str]) -> None:
    car = Car("overheats", readings={**GOOD, "overheating": "at_speed", **shows})
    plan = car.work_up(bench)
    flows = {"thermostat_check", "fan_check", "circulation_check", "radiator_face", "heater_check", "watch_bottle"}
    assert flows.isdisjoint(choice.test.id for choice in plan.diagnosis.next_tests)


@pytest.mark.parametrize(("when", "offered"), [("at_speed", True), ("at_idle", False), ("everywhere", False)])
def test_the_cap_stays_on_where_the_caution_says_so(bench: Bench, when: str, offered: bool) -> None:
    """The book's own rule GAT-05: a car that runs hot at speed only stands a gas test that is begun cold."""
    looked = {"level": "at_mark", "airflow": "free", "thermostat": "opens_right", "fan": "runs"}
    looked |= {
        "circulation": "goes_round",
        "radiator_face": "even",
        "cap_pressure": "at_rating",
        "ignition": "in_order",
    }
    car = Car("overheats", readings={**GOOD, "overheating": when, **looked})
    car.go_on(bench)
    cap_off = {"gas_colour", "gas_analyser", "bleed_and_watch", "voltage_series"}
    assert bool(cap_off & set(car.done)) == offered


def test_a_sound_car_seldom_loses_coolant(bench: Bench) -> None:
    """Nothing wrong at all: 4 in 10 before. How seldom is the book's word."""
    with_it, without = Car("loses_coolant").work_up(bench), Car("routine").work_up(bench)
    assert with_it.diagnosis.nothing_wrong < 0.15 < 0.4 < without.diagnosis.nothing_wrong
    listed = [suspect.cause.id for suspect in with_it.diagnosis.listed()]
    assert listed[0] == "leak_hose_or_clip"
    assert {"leak_radiator", "leak_pump_seal"} <= set(listed)


def test_the_word_for_a_groundless_complaint_means_what_it_says(bench: Bench) -> None:
    """Odds of no explaining cause, with the complaint against without the word: exactly the word."""
    belief = bench.belief
    history = belief.history(bench.findings(case_from_text(Car("loses_coolant").text(bench.book), "car")))
    (band,) = history.complaints
    assert band.groundless is not None
    told = belief.prior(history)
    plain = belief.prior(type(history)(history.own, history.moved, history.impossible))
    without = belief.groundless(band, ()) < 1
    odds = [float(p.weights[without].sum() / p.weights[~without].sum()) for p in (told, plain)]
    assert odds[0] / odds[1] == pytest.approx(band.groundless.value)
    assert belief.sets.held[belief.index["leak_radiator"]][without].sum() == 0


def test_a_found_cause_answers_the_complaint(bench: Bench) -> None:
    plan = Car("loses_coolant", readings={**GOOD, "level": "low", "leak_place": "hose_or_clip"}).work_up(bench)
    assert plan.diagnosis.complaint is not None
    assert plan.diagnosis.complaint.by == ("leak_hose_or_clip",)
    assert not plan.diagnosis.complaint.wanting
    assert not any(choice.reason == "complaint" for choice in plan.diagnosis.next_tests)


def test_a_probe_waits_for_the_question_whether_it_is_a_hybrid(bench: Bench) -> None:
    volts = {"volts_all_off": "30 mV", "volts_loads_on": "350 mV", "level": "at_mark"}
    car = Car("routine", readings={**GOOD, **volts})
    offered = [choice.test.id for choice in car.work_up(bench).diagnosis.next_tests]
    assert "ask_hybrid" in offered
    assert {"voltage_series", "jumper_ground", "ground_drop", "engine_ground_drop"}.isdisjoint(offered)
    car.told["hybrid"] = "no"
    assert "ask_hybrid" not in [choice.test.id for choice in car.work_up(bench).diagnosis.next_tests]
    car.told["hybrid"] = "high_voltage_loop"
    offered = [choice.test.id for choice in car.work_up(bench).diagnosis.next_tests]
    assert {"voltage_series", "jumper_ground", "voltage_battery_off"}.isdisjoint(offered)


def test_the_radiator_is_not_compared_with_a_bottle_that_holds_the_cap(bench: Bench) -> None:
    test = bench.book.tests["radiator_against_bottle"]
    assert test.first == ("pressurised",)
    car = Car("loses_coolant", {"pressurised": "tank"}, told={"pressurised": "tank"})
    car.go_on(bench)
    assert "radiator_against_bottle" not in car.done


def test_keep_waits_for_the_age_of_the_fill(bench: Bench) -> None:
    car = Car("routine", {"fill_age": "3 years", "level": "at_mark", "capacity": "6 L", "coldest_expected": "-10 degC"})
    asked = ["ask_age", "read_level", "ask_for_the_fill"]
    assert [choice.test.id for choice in car.work_up(bench).diagnosis.next_tests] == asked
    assert car.go_on(bench).decision.service.id == "keep"
    assert car.done == asked
    old = Car("routine", {"fill_age": "9 years"})
    assert old.go_on(bench).decision.service.id == "replace"
    unknown = Car("routine", {"fill_age": "unknown", "distance_since_fill": "unknown"})
    assert unknown.go_on(bench).decision.service.id == "keep"
    assert unknown.done[:1] == ["ask_age"]


SECOND = """
id: again
date: 2026-05-12
title: Hot on the hill, a new head gasket, hot again
family: organic_acid
car: {fuel: petrol, hybrid: "no"}
system: {egr_cooler: none, pressurised: tank}
history: {fill_age: 3 years}
complaint: overheats
readings:
  - {quantity: overheating, value: at_speed}
  - {quantity: level, value: low}
  - {quantity: ph, value: 7.2}
  - {quantity: mixture, value: 46 %}
  - {quantity: combustion_gas, value: found, method: colour}
  - {quantity: cold_pressure_rise, value: fast}
work: {service: replace, repaired: head_gasket_gas, mixture: 50 %}
visits:
  - date: 2026-10-20
    history: {fill_age: 5 months}
    complaint: overheats
    readings:
      - {quantity: overheating, value: at_speed}
      - {quantity: ph, value: 8.2}
      - {quantity: mixture, value: 49 %}
"""


def second_visit(bench: Bench, *more: str) -> tuple[Plan, str]:
    whole = case_from_text(SECOND + "".join(f"      - {line}\n" for line in more), "again")
    plan = bench.work_up(bench.visit(whole))
    moved = bench.moved(whole, 1, plan)
    assert moved is not None
    return plan, moved.repairs[0].verdict


def test_a_second_visit_asks_first_what_shows_whether_the_repair_held(bench: Bench) -> None:
    plan, verdict = second_visit(bench)
    assert plan.diagnosis.next_tests[0].test.id == "read_level"  # no gas test before the level is known
    assert verdict == "not known"  # overheating has many reasons
    assert any("not shown yet whether the last repair held" in reason for reason in plan.decision.because)
    plan, verdict = second_visit(bench, "{quantity: level, value: at_mark}")
    assert plan.diagnosis.next_tests[0].reason == "held"
    assert plan.diagnosis.next_tests[0].test.id in ("gas_colour", "gas_analyser")
    assert verdict == "not known"
    assert plan.decision.service.id == "fault_first"


def test_the_repair_is_blamed_only_for_what_proves_it(bench: Bench) -> None:
    level = "{quantity: level, value: at_mark}"
    gas = "{quantity: combustion_gas, value: found, method: colour}"
    assert second_visit(bench, level, gas)[1] == "came back"


def test_with_nothing_recorded_it_says_so_and_what_to_begin_with(bench: Bench) -> None:
    plan = bench.work_up(case_from_text("id: x\ndate: 2026-11-25\ntitle: A car\n", "x"))
    assert plan.decision.service.id == "measure_first"
    (because,) = plan.decision.because
    assert because.startswith("Nothing was recorded yet. Begin with this: ask what the driver has noticed")
    assert plan.may_drive == "not known"
    assert not any("One reading" in line for line in plan.tell_customer)


def came_in_with(bench: Bench, complaint: str, *readings: str) -> Plan:
    lines = "".join(f"  - {line}\n" for line in ("{quantity: ph, value: 8.1, method: meter}", *readings))
    head = "id: a\ndate: 2026-06-01\ntitle: a\nfamily: organic_acid\n"
    return bench.work_up(case_from_text(f"{head}complaint: {complaint}\nreadings:\n{lines}", "a"))


@pytest.mark.parametrize("typed", ["loses coolant and overheats", "overheats, loses coolant"])
def test_what_brought_the_car_in_may_be_two_things_at_once(bench: Bench, typed: str) -> None:
    """Common practice, no source: both are explained before the car goes back, and each makes its causes likelier."""
    both = came_in_with(bench, typed)
    alone = {name: came_in_with(bench, name) for name in ("overheats", "loses_coolant")}
    complaint = both.diagnosis.complaint
    assert complaint is not None
    assert complaint.says == "it overheats and it loses coolant"
    for plan in alone.values():
        assert plan.diagnosis.complaint is not None
        assert set(plan.diagnosis.complaint.open) <= set(complaint.open)
        fired = {firing.rule.id for firing in plan.diagnosis.firings.sure()}
        assert fired <= {firing.rule.id for firing in both.diagnosis.firings.sure()}
    leak, hot = "leak_hose_or_clip", "thermostat_faulty"
    assert both.diagnosis.suspect(leak).probability > alone["overheats"].diagnosis.suspect(leak).probability
    assert both.diagnosis.suspect(hot).probability > alone["loses_coolant"].diagnosis.suspect(hot).probability


def test_of_two_complaints_a_cause_of_one_leaves_the_other_open(bench: Bench) -> None:
    seen = ("{quantity: overheating, value: at_idle}", "{quantity: fan, value: does_not_run}")
    seen = (*seen, "{quantity: level, value: at_mark}", "{quantity: pressure_hold, value: holds}")
    alone = came_in_with(bench, "overheats", *seen).diagnosis.complaint
    both = came_in_with(bench, "overheats and smoke", *seen).diagnosis.complaint
    assert alone is not None
    assert both is not None
    assert "fan_faulty" in alone.by
    assert both.wanting


def test_or_is_still_a_doubt_and_routine_stands_alone(bench: Bench) -> None:
    doubtful = came_in_with(bench, "overheats or loses coolant")
    assert not {"DRV-20", "DRV-21"} & {firing.rule.id for firing in doubtful.diagnosis.firings.sure()}
    with pytest.raises(InputError, match="can't stand beside something else"):
        came_in_with(bench, "routine and overheats")
