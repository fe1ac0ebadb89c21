"""What moved between two visits, and what an earlier visit tells the present one."""

from __future__ import annotations

from datetime import date
from math import log
from pathlib import Path

import pytest

from diagnose.case.from_yaml import case_from_text
from diagnose.case.model import Case
from diagnose.case.visits import at_visit, work_at
from diagnose.pipeline import Bench
from diagnose.plan.moved import Moved, moved
from diagnose.yamlfile import InputError

TOP = Path(__file__).parent.parent.parent
CASE = """\
id: two
date: 2026-01-19
title: a blue estate
family: organic_acid
car: {fuel: diesel}
system: {capacity: 8 L}
history: {top_up: water}
complaint: loses_coolant
readings:
  - {quantity: ph, value: 8.2, method: meter}
  - {quantity: mixture, value: 50 %}
  - {quantity: level, value: low}
  - {quantity: pressure_hold, value: falls_seen_outside}
work: {service: SERVICE, repaired: leak_hose_or_clip}
visits:
  - date: 2026-07-20
    complaint: routine
    readings:
      - {quantity: ph, value: 7.6, method: meter}
      - {quantity: mixture, value: MIXTURE}
      - {quantity: level, value: LEVEL}
      - {quantity: pressure_hold, value: holds}
"""


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(TOP / "rulebooks" / "passenger-car", "plain")


def case(mixture: str = "49 %", level: str = "at_mark", service: str = "nothing", pressure: str = "holds") -> Case:
    text = CASE.replace("MIXTURE", mixture).replace("LEVEL", level).replace("SERVICE", service)
    text = text.replace("value: holds", f"value: {pressure}")
    return case_from_text(text, "two")


def compare(bench: Bench, whole: Case) -> Moved:
    before, now = (bench.work_up(bench.visit(whole, number)) for number in (0, 1))
    return moved(before, now, work_at(whole, 0), bench.book)


def test_what_the_car_is_holds_and_its_history_is_told_anew() -> None:
    second = at_visit(case(), 1)
    assert second.date == date(2026, 7, 20)
    assert {entry.name for entry in second.givens} == {"fuel", "capacity", "complaint"}
    assert [entry.text for entry in second.readings] == ["7.6", "49 %", "at_mark", "holds"]
    assert next(entry.text for entry in at_visit(case(), 0).readings) == "8.2"


def test_the_loss_lies_between_all_at_once_and_little_by_little(bench: Bench) -> None:
    """V (1 - c2/c1) and V ln(c1/c2): mass balance of the glycol, worked by hand for 8 L, 50 and 38 %."""
    loss = bench.work_up(bench.visit(case("38 %"))).numbers
    assert loss is not None
    assert loss.loss is not None
    assert loss.loss.lost.value == pytest.approx((8 * (1 - 38 / 50) + 8 * log(50 / 38)) / 2, abs=0.01)
    assert loss.loss.each_month is not None
    assert loss.loss.each_month.value == pytest.approx(loss.loss.lost.value / 6.0, rel=0.02)  # 182 days


def test_ph_per_year(bench: Bench) -> None:
    found = compare(bench, case())
    ph = next(move for move in found.moves if move.now.quantity.id == "ph")
    assert ph.beyond_doubt
    assert ph.each_year == pytest.approx(-0.6 / (182 / 365.25), rel=1e-3)


def test_readings_that_may_be_the_same_have_not_moved(bench: Bench) -> None:
    mixture = next(move for move in compare(bench, case()).moves if move.now.quantity.id == "mixture")
    assert not mixture.beyond_doubt


def test_a_repair_that_held(bench: Bench) -> None:
    (repair,) = compare(bench, case()).repairs
    assert repair.verdict == "held"
    assert len(repair.gone) == 2


def test_a_level_that_is_low_again_while_the_pressure_holds_does_not_blame_the_repair(bench: Bench) -> None:
    (repair,) = compare(bench, case(level="low")).repairs
    assert repair.verdict == "not known"
    assert repair.again


def test_a_repair_that_did_not_hold(bench: Bench) -> None:
    """What proves a hose cured is the pressure that holds; it falls again."""
    (repair,) = compare(bench, case(level="low", pressure="falls_seen_outside")).repairs
    assert repair.verdict == "came back"


def test_what_was_not_looked_at_proves_nothing(bench: Bench) -> None:
    (repair,) = compare(bench, case(level="unknown")).repairs
    assert repair.verdict == "not known"


def test_a_mixture_that_got_thinner_leaves_open_whether_the_leak_is_cured(bench: Bench) -> None:
    (repair,) = compare(bench, case("36 %")).repairs
    assert repair.verdict == "not known"
    assert repair.fresh


def test_nothing_is_told_per_year_where_the_coolant_was_renewed(bench: Bench) -> None:
    found = compare(bench, case("38 %", service="replace"))
    assert found.renewed
    assert all(move.each_year is None for move in found.moves)
    assert found.loss == ""


def test_visits_out_of_order_are_refused_with_their_place() -> None:
    text = CASE.replace("2026-07-20", "2025-07-20").replace("MIXTURE", "49 %").replace("LEVEL", "low")
    with pytest.raises(InputError, match="two:16:5: bad-date"):
        case_from_text(text, "two")
