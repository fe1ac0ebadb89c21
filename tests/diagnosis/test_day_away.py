"""Answers for which nobody stands by: their days count at a stated rate, and no longer as if the technician waited."""

from __future__ import annotations

from pathlib import Path

import by_hand
import pytest

from diagnose.case.from_yaml import read_case
from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.choice import problem_of
from diagnose.diagnosis.from_firings import diagnose
from diagnose.diagnosis.model import Diagnosis
from diagnose.diagnosis.posterior import weigh
from diagnose.diagnosis.shop import EVERY_TOOL, Shop
from diagnose.diagnosis.situation import Situation
from diagnose.diagnosis.suspects import suspects_of
from diagnose.diagnosis.value import Step
from diagnose.firings.model import Firings
from diagnose.graph.road import Answer, Road, start_state
from diagnose.pipeline import Bench

TOP = Path(__file__).parent.parent.parent
DAYS = 3 * 1440.0


def told(day_away: float | None, shop: Shop = EVERY_TOOL) -> Diagnosis:
    """One cause, repaired in 240 minutes or back for 900, and one sample that is away for three days."""
    measured = [
        by_hand.quantity("ph", {"acid": 0.01, "good": 0}),
        by_hand.quantity("report", {"sulfate": 0.01, "clean": 0}, normal="clean"),
    ]
    causes = [by_hand.cause("gas_leak", 0.05, repair=240, comes_back=900)]
    rules = [
        by_hand.rule("PH", {"ph": "acid"}, {"gas_leak": 0.15}, next_tests=["sample"]),
        by_hand.rule("LAB", {"report": "sulfate"}, {"gas_leak": 0.92}),
    ]
    sample = by_hand.a_test("sample", {"report": "eye"}, minutes=15, wait=DAYS)
    book = by_hand.book(measured, causes, rules, [sample._replace(day_away=day_away)])
    seen = {"ph": [("eye", {"acid": 1.0})]}
    return diagnose(by_hand.firings(book, seen, fired=["PH"]), Belief(book), shop)


def test_days_that_the_technician_stands_by_never_pay() -> None:
    found = told(None)
    assert not found.next_tests
    assert [(test.id, why) for test, why in found.later] == [("sample", "it takes 3 days")]


def test_days_that_count_as_little_pay_and_the_work_is_what_the_hands_do() -> None:
    found = told(10)
    (choice,) = found.next_tests
    assert (choice.minutes, choice.away, choice.counted) == (15, DAYS, 45)
    assert choice.saves > choice.counted
    assert choice.why.endswith("; the answer takes 3 days, in which nobody stands by and which count as 30 min of work")
    assert not found.later


@pytest.mark.parametrize(("day_away", "pays"), [(0, True), (20, True), (60, False), (1440, False)])
def test_it_pays_as_long_as_it_spares_more_than_hands_and_days_count(day_away: float, pays: bool) -> None:
    """Reckoned by hand: gas leak, nothing wrong, and a cause not in the book (half baseline, half flat).

    Now min(240, 900 P) is 240 minutes, and so it is after a report of sulfate; after a clean one it is 900 P.
    """
    weights = {"gas": 0.98 * 0.05 * 0.15, "sound": 0.98 * 0.95 * 0.01, "unknown": 0.02 * 0.255}
    gas, sound, unknown = (share / sum(weights.values()) for share in weights.values())
    sulfate = 0.92 * gas + 0.01 * sound + 0.255 * unknown
    saves = 240 - 240 * sulfate - 900 * 0.08 * gas
    assert (saves > 15 + 3 * day_away) == pays
    found = told(day_away)
    if pays:
        assert found.next_tests[0].saves == pytest.approx(saves, abs=0.5)
    assert bool(found.next_tests) == pays
    assert [test.id for test, _ in found.later] == ([] if pays else ["sample"])


def test_a_shops_own_rate_stands_in_place_of_the_books() -> None:
    assert told(10).next_tests
    assert not told(10, shop=Shop(day_away=100)).next_tests
    assert not told(None, shop=Shop(day_away=0)).next_tests  # where the technician stands by, the rate says nothing


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(TOP / "rulebooks" / "passenger-car", "plain")


def laboratory(bench: Bench, firings: Firings) -> Step:
    """What the laboratory saves and costs in this case."""
    posterior = weigh(bench.belief, firings)
    problem = problem_of(at := Situation(posterior, suspects_of(posterior), EVERY_TOOL))
    return next(s for s in problem.steps(at.mass, 0) if problem.options[s.option].name == "laboratory")


def test_on_one_car_the_laboratory_pays_and_on_another_it_does_not(bench: Bench) -> None:
    """Combustion gas was found, and nothing else is known; and a voltage that hangs on the lamps."""
    lab = bench.book.tests["laboratory"]
    assert lab.day_away is not None
    road = Road(bench.book, bench.rules, bench.belief)
    gas = laboratory(bench, road.firings((Answer("combustion_gas", "found", "colour"),), start_state(bench.book)))
    lamps = laboratory(bench, bench.firings(read_case(TOP / "cases" / "voltage-with-the-lamps.yaml")))
    assert gas.pays
    assert not lamps.pays
    assert lamps.saves > lab.minutes  # for the work of hands alone it would
    assert lamps.saves < lamps.costs


def test_in_a_case_the_days_are_no_work_of_hands(bench: Bench) -> None:
    """A shop with nothing but a bottle, in which a day away costs next to nothing."""
    case = read_case(TOP / "cases" / "voltage-with-the-lamps.yaml")
    lab = bench.book.tests["laboratory"]
    shop = Shop("a bottle and a label", frozenset(lab.tools), day_away=1, labour_rate=60, currency="EUR")
    found = Bench(bench.book, "plain", shop=shop).diagnosis(case)
    choice = next(c for c in found.next_tests if c.test.id == "laboratory")
    assert choice.minutes == lab.minutes + 2  # and the cap has to be opened first
    assert shop.costs(choice.minutes) == "17 EUR"
