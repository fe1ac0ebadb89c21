"""Flushing and filling: what stays inside, and a simulated system that is really drained and filled."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.fluid.fluids import pure
from diagnose.fluid.flushing import accepted, cycles, premix_over_water, residual, through_flow
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, exactly
from diagnose.fluid.refill import FillPlan
from diagnose.fluid.replacement import Replacement, replace


def share(value: float) -> Measure:
    return exactly(value, "")


def plain(retained: Measure, want: float = 50, most_old: float = 0.05, old: float = 40) -> Replacement:
    return replace(10, "L", retained, old, want, "ethylene", most_old, pure(100), pure(50))


@pytest.mark.parametrize(
    ("retained", "left"),
    [
        (0.5, (50, 25, 12.5, 6.25, 3.1)),
        (0.35, (35, 12.3, 4.3, 1.5)),
        (0.2, (20, 4, 0.8)),
    ],
)
def test_residue(retained: float, left: tuple[float, ...]) -> None:
    """Powers of the retained share (exact)."""
    found = [100 * residual(retained, n) for n in range(1, len(left) + 1)]
    assert found == pytest.approx(left, abs=0.051)


@pytest.mark.parametrize(
    ("retained", "expected"),
    [(0.5, (4, 5, 6)), (0.4, (3, 4, 5)), (0.35, (3, 3, 4)), (0.3, (2, 3, 4)), (0.2, (2, 2, 3))],
)
def test_cycles(retained: float, expected: tuple[int, ...]) -> None:
    """To at most 10, 5 and 2 % (exact)."""
    assert tuple(cycles(retained, most) for most in (0.10, 0.05, 0.02)) == expected


def test_water_running_through() -> None:
    """2.3 / 3.0 / 4.6 system volumes for 10 / 5 / 1 % left, ideal mixing (exact)."""
    assert [through_flow(left) for left in (0.10, 0.05, 0.01)] == pytest.approx([2.3, 3.0, 4.6], abs=0.01)


def test_car_manuals_drain_with_plugs_out() -> None:
    """Car manuals 2001-2002: a service drain is about 80 % of the capacity, so 20 % stays."""
    result = plain(share(0.2))
    assert result.drains_out.value == pytest.approx(8.0)
    assert result.stays.value == pytest.approx(2.0)


@pytest.mark.parametrize(("retained", "ends"), [(0.35, 32.5), (0.2, 40.0)])
def test_premix_after_a_flush(retained: float, ends: float) -> None:
    """Mass balance: 10 L with 35 % (20 %) retained water end at 32.5 % (40 %)."""
    assert premix_over_water(retained, 50) == pytest.approx(ends)
    plan = plain(share(retained), most_old=1e-6).premix_after_flush
    assert plan.result is not None
    assert plan.result.value == pytest.approx(ends, abs=0.01)


@pytest.mark.parametrize(("retained", "average"), [(0.35, 76.9), (0.2, 62.5)])
def test_concentrate_first(retained: float, average: float) -> None:
    """5.0 L of concentrate, then water: what is poured in averages 76.9 % (62.5 %)."""
    plan = plain(share(retained), most_old=1e-6).concentrate_first
    strong, water = plan.fill
    assert strong.amount == pytest.approx(5.0)
    assert 100 * strong.amount / (strong.amount + water.amount) == pytest.approx(average, abs=0.05)
    assert plan.result is not None
    assert plan.result.value == pytest.approx(50, abs=0.01)


def test_when_concentrate_does_not_fit() -> None:
    plan = plain(share(0.55), want=60, most_old=0.01).concentrate_first
    assert not plan.possible
    assert "do not go into the 4.5 L that drained out" in plan.because


def test_when_the_flush_water_is_clean_enough() -> None:
    """Old coolant at 40 %, 5 % of it allowed, 35 % stays at the last drain: the water may read 40 x 0.05 / 0.35."""
    result = plain(share(0.35))
    assert result.flush_until == pytest.approx(5.714, abs=0.001)
    assert result.flush_until_freezes == pytest.approx(-1.9, abs=0.1)
    assert not result.readable
    assert plain(share(0.35), most_old=0.10).readable


def drained_and_filled(
    capacity: float, retained: float, old: float, plan: FillPlan, with_water: bool
) -> tuple[float, float]:
    """Really drain and fill; the glycol in vol % and the old coolant in % at the end."""
    held_glycol, held_old = capacity * old / 100, capacity
    shares = {"100 % coolant": 100.0, "50 % coolant": 50.0, "water": 0.0}
    waste = 0.0
    for number in range(1, plan.drains + 1):
        waste += capacity * (1 - retained)
        held_glycol, held_old = held_glycol * retained, held_old * retained
        if number == plan.drains:
            held = capacity * retained
            portions = plan.fill if with_water else plan.fill[:1]
            for portion in portions:
                amount = portion.amount if with_water else capacity * (1 - retained)
                held += amount
                held_glycol += amount * shares[portion.fluid] / 100
            assert held == pytest.approx(capacity, abs=1e-6)
        elif not with_water:
            held_glycol += capacity * (1 - retained) * shares[plan.fill[0].fluid] / 100
    assert plan.waste == pytest.approx(waste)
    return 100 * held_glycol / capacity, 100 * held_old / capacity


@given(st.floats(2, 30), st.floats(0.05, 0.7), st.floats(10, 60), st.floats(10, 60), st.floats(0.005, 0.5))
def test_really_drained_and_filled(capacity: float, retained: float, old: float, want: float, most_old: float) -> None:
    result = replace(capacity, "L", share(retained), old, want, "ethylene", most_old, pure(100), pure(50), 0.01)
    for plan, with_water in (
        (result.concentrate_first, True),
        (result.premix_after_flush, True),
        (result.premix_only, False),
    ):
        if not plan.possible or plan.result is None:
            continue
        glycol, left = drained_and_filled(capacity, retained, old, plan, with_water)
        assert glycol == pytest.approx(plan.result.value, abs=1e-6)
        assert left == pytest.approx(plan.old.value, abs=1e-6)
        assert left <= 100 * most_old + 1e-6


@given(st.floats(0.1, 0.5), st.floats(0, 0.15), st.floats(0, 1), st.floats(0.01, 0.3))
def test_truth_lies_inside(low: float, wide: float, at: float, most_old: float) -> None:
    retained = Measure(low + wide / 2, low, low + wide, "")
    truth = low + at * wide
    result = plain(retained, most_old=most_old)
    for plan, with_water in ((result.concentrate_first, True), (result.premix_after_flush, True)):
        if not plan.possible or plan.result is None:
            continue
        # the same litres of concentrate, and premix or water up to the mark, whatever really drained out
        held = 10 * 40 / 100 * truth**plan.drains
        glycol = held + (plan.fill[0].amount if plan is result.concentrate_first else 10 * (1 - truth) * 0.5)
        assert plan.result.low - 1e-6 <= 10 * glycol <= plan.result.high + 1e-6
        assert with_water
        assert 100 * truth**plan.drains <= 100 * most_old + 1e-6


@given(st.floats(0, 0.9), st.floats(0.001, 1))
def test_cycles_are_enough_and_no_more(retained: float, most_old: float) -> None:
    n = cycles(retained, most_old)
    assert residual(retained, n) <= most_old * (1 + 1e-6)
    assert n == 1 or residual(retained, n - 1) > most_old * (1 - 1e-6)


def test_trapped_air() -> None:
    """10 L with 35 % inside takes 6.5 L; 5.5 L leave a litre of air."""
    result = accepted(10, "L", share(0.35), 5.5)
    assert result.expected.value == pytest.approx(6.5)
    assert result.missing.value == pytest.approx(1.0)
    assert result.filled.value == pytest.approx(90.0)
    unsure = accepted(10, "L", Measure(0.275, 0.2, 0.35, ""), 5.5)
    assert (unsure.missing.low, unsure.missing.high) == pytest.approx((1.0, 2.5))


@pytest.mark.parametrize(
    ("capacity", "retained", "old", "want", "most", "says"),
    [
        (0, 0.3, 40, 50, 0.05, "volume must be above 0"),
        (10, 1.0, 40, 50, 0.05, "can't stay in the system"),
        (10, -0.1, 40, 50, 0.05, "can't stay in the system"),
        (10, 0.3, 140, 50, 0.05, "a mixture of 140 vol %"),
        (10, 0.3, 40, 70, 0.05, "no useful gain and poorer cooling"),
        (10, 0.3, 40, 50, 0.0, "can't be aimed at"),
        (10, 0.3, 40, 50, 2.0, "can't be aimed at"),
    ],
)
def test_impossible(capacity: float, retained: float, old: float, want: float, most: float, says: str) -> None:
    with pytest.raises(Impossible, match=says):
        replace(capacity, "L", share(retained), old, want, "ethylene", most)


def test_impossible_fill() -> None:
    with pytest.raises(Impossible, match="can't have gone into"):
        accepted(10, "L", share(0.3), 40)
    with pytest.raises(Impossible, match="drains are impossible"):
        residual(0.3, -1)
