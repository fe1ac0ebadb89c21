"""How much coolant got out between two readings, as a finding; and a low level against what cooling takes off."""

from __future__ import annotations

from collections.abc import Callable
from math import log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.case.from_yaml import case_from_text
from diagnose.findings.from_case import find
from diagnose.findings.model import Findings
from diagnose.rulebook.find import shipped_folder
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Book

Readings = Callable[..., Findings]


@pytest.fixture(scope="module")
def shipped() -> Book:
    return read_book(shipped_folder() / "passenger-car")


@pytest.fixture(scope="module")
def read(shipped: Book) -> Readings:
    """read(now='40 %', before='50 %') and what else a case tells."""

    def make(now: str, before: str, more: str = "") -> Findings:
        text = f"id: c\ndate: 2026-03-12\ntitle: t\nhistory: {{earlier_mixture: {before}}}\n{more}"
        return find(case_from_text(f"{text}readings: [{{quantity: mixture, value: {now}}}]\n", "case.yaml"), shipped)

    return make


def test_the_mass_balance_lies_inside(read: Readings) -> None:
    """50 to 40 vol %: a fifth if it went at once (1 - 40/50), ln(50/40) = 22.3 % if it went drop by drop."""
    found = read("40 %", "50 %").found["water_gained"]
    assert found.interval is not None
    assert found.interval.low < 20.0
    assert found.interval.high > 100 * log(50 / 40)
    assert found.possible == ("losing",)
    assert found.derived


def test_two_readings_that_may_be_the_same_show_no_loss(read: Readings) -> None:
    found = read("49 %", "50 %").found["water_gained"]
    assert found.possible == ("steady",)
    assert found.interval is not None
    assert found.interval.low == 0.0


def test_down_to_water_there_is_no_upper_end(read: Readings) -> None:
    found = read("1 %", "50 %").found["water_gained"]
    assert found.interval is not None
    assert found.interval.low == pytest.approx(100 * (1 - 2.5 / 48.5))
    assert found.interval.high == 1000
    assert found.possible == ("losing",)


def test_a_mixture_that_got_stronger_gained_no_water(read: Readings) -> None:
    assert "water_gained" not in read("50 %", "40 %").found


def test_an_earlier_reading_in_degrees_counts_the_same(read: Readings) -> None:
    """ASHRAE: 50 vol % ethylene glycol freezes at -37.2 degC."""
    percent, degrees = (read("40 %", before).found["water_gained"].interval for before in ("50 %", "-37.2 degC"))
    assert percent is not None
    assert degrees is not None
    assert degrees.low == pytest.approx(percent.low, abs=0.3)


@settings(max_examples=100, deadline=None)
@given(
    before=st.floats(20, 60),
    gulps=st.lists(st.floats(0.001, 0.3), max_size=5),
    off=st.tuples(st.floats(-1.5, 1.5), st.floats(-1.5, 1.5)),
)
def test_the_truth_lies_inside(read: Readings, before: float, gulps: list[float], off: tuple[float, float]) -> None:
    """A system of 1 that loses `gulps`, each made up with water, read twice with the instrument's doubt."""
    now = before
    for gulp in gulps:
        now *= 1 - gulp
    if now < 4:
        return
    found = read(f"{now + off[1]:.6f} %", f"{before + off[0]:.6f} %").found.get("water_gained")
    if found is None:
        return
    assert found.interval is not None
    assert found.interval.low - 1e-4 <= 100 * sum(gulps) <= found.interval.high + 1e-4


@pytest.mark.parametrize(("missing", "band"), [("0.2 L", "as_cooling"), ("1.2 L", "beyond_cooling")])
def test_what_is_missing_against_what_cooling_takes(read: Readings, missing: str, band: str, shipped: Book) -> None:
    """50 vol % ethylene glycol grows by 4.5 % from 20 to 95 degC (ASHRAE's densities): 0.36 L in 8 L."""
    text = "id: c\ndate: 2026-03-12\ntitle: t\nsystem: {capacity: 8 L}\nreadings:\n"
    text += f"  - {{quantity: level, value: low}}\n  - {{quantity: litres_missing, value: {missing}}}\n"
    assert find(case_from_text(text, "case.yaml"), shipped).found["missing_share"].possible == (band,)
