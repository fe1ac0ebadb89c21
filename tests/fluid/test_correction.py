"""Drain, top up, add: mass balances, and poured for real in a simulated system."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.fluid.correction import Correction, Rounding, Way, correct, exact_drain
from diagnose.fluid.fluids import WATER, Fluid, concentrate, containers, premix, pure
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, exactly
from diagnose.fluid.protection import doubt

SHARES = {"concentrate": 95.0, "50/50 premix": 50.0, "water": 0.0}


def pour(volume: float, low: float, mixture: float, way: Way, shares: dict[str, float] = SHARES) -> float:
    """The mixture after really doing it: drain, then pour in one portion after the other."""
    held = volume - low - way.drain
    glycol = held * mixture / 100
    for portion in way.add:
        held += portion.amount
        glycol += portion.amount * shares[portion.fluid] / 100
    assert held == pytest.approx(volume, abs=1e-6)
    return 100 * glycol / held


# Worked examples: mass balances (no published worked example was found; exact for a well-mixed system)


@pytest.mark.parametrize(
    ("volume", "now", "want", "added", "drain"),
    [
        (10, 35, 50, 100, 2.308),
        (10, 35, 50, 95, 2.500),
        (10, 65, 50, 0, 2.308),
        (12, 30, 50, 100, 3.429),
        (8, 25, 50, 100, 2.667),
        (10, 40, 50, 100, 1.667),
    ],
)
def test_worked_examples(volume: float, now: float, want: float, added: float, drain: float) -> None:
    assert exact_drain(volume, now, want, added) == pytest.approx(drain, abs=0.0005)
    way = correct(exactly(volume, "L"), exactly(now, "vol %"), want, fluids=[pure(added)]).ways[0]
    assert way.exact_drain == pytest.approx(drain, abs=0.0005)


def test_topping_up_a_low_system() -> None:
    """9 L at 40 % and 1 L of concentrate make 46 %: not 50, so some drains first; the sum stays the same."""
    result = correct(exactly(10, "L"), exactly(40, "vol %"), 50, low=1, fluids=[pure(100)])
    way = result.ways[0]
    assert any(step.result.value == pytest.approx(46.0) for step in way.steps)
    assert way.exact_drain == pytest.approx(10 * 10 / 60 - 1, abs=1e-6)
    assert correct(exactly(10, "L"), exactly(40, "vol %"), 46, low=1, fluids=[pure(100)]).ways[0].drain == 0.0


def test_a_low_system_that_can_be_topped_up_is_not_drained() -> None:
    way = correct(exactly(10, "L"), exactly(45, "vol %"), 50, low=2).way("concentrate")
    assert way.drain == 0.0
    assert [portion.fluid for portion in way.add] == ["concentrate", "water"]
    assert sum(portion.amount for portion in way.add) == pytest.approx(2)
    assert pour(10, 2, 45, way) == pytest.approx(50, abs=0.5)


def test_premix_alone_cannot_reach_its_own_strength() -> None:
    result = correct(exactly(10, "L"), exactly(35, "vol %"), 50)
    way = result.way("50/50 premix")
    assert not way.possible
    assert way.because.startswith("50/50 premix alone cannot reach 50 %")
    assert not result.way("water").possible
    assert result.best is result.way("concentrate")


def test_side_by_side() -> None:
    result = correct(exactly(10, "L"), exactly(35, "vol %"), 45)
    by_premix, by_concentrate = result.way("50/50 premix"), result.way("concentrate")
    assert by_premix.exact_drain == pytest.approx(10 * 10 / 15)
    assert by_concentrate.exact_drain == pytest.approx(10 * 10 / 60)
    assert result.best is by_concentrate


def test_concentrate_that_holds_water() -> None:
    """JIS K2234 and ASTM D3306 allow 5 % water: reckoned with it, more glycol only makes it stronger."""
    way = correct(exactly(10, "L"), exactly(35, "vol %"), 50).way("concentrate")
    assert way.result is not None
    assert way.result.value == pytest.approx(50, abs=0.01)
    assert way.result.high == pytest.approx((7.5 * 35 + 2.5 * 100) / 10)


def test_rounding_to_what_can_be_measured_and_bought() -> None:
    way = correct(exactly(9, "L"), exactly(35, "vol %"), 50, rounding=Rounding(0.5, (1.0, 5.0))).way("concentrate")
    assert way.exact_drain == pytest.approx(2.25)
    assert way.drain in (2.0, 2.5)
    assert way.result is not None
    assert way.result.value == pytest.approx(pour(9, 0, 35, way))
    assert way.add[0].containers == ((1.0, 3 if way.drain == 2.5 else 2),)


@pytest.mark.parametrize(
    ("amount", "sizes", "expected"),
    [
        (2.5, (1, 5), ((1, 3),)),
        (4.5, (1, 5), ((5, 1),)),
        (5.1, (1, 5), ((5, 1), (1, 1))),
        (4, (3, 2), ((2, 2),)),
        (0, (1,), ()),
        (3, (), ()),
        (0.5, (1,), ((1, 1),)),
    ],
)
def test_containers(amount: float, sizes: tuple[float, ...], expected: tuple[tuple[float, int], ...]) -> None:
    assert containers(amount, sizes) == expected


@given(st.floats(0.1, 40), st.lists(st.sampled_from([0.5, 1.0, 1.5, 2.0, 4.0, 5.0, 20.0]), min_size=1, max_size=3))
def test_containers_hold_enough_and_waste_least(amount: float, sizes: list[float]) -> None:
    found = containers(amount, tuple(sizes))
    held = sum(size * count for size, count in found)
    assert held >= amount - 1e-6
    assert held - amount < min(sizes) + 1e-6


VOLUMES = st.floats(2, 40)
MIXTURES = st.floats(0, 100)
TARGETS = st.floats(0, 60)
FLUIDS = st.sampled_from([concentrate(), premix(), WATER, pure(100)])


def worked(volume: float, now: float, want: float, missing: float, fluid: Fluid, step: float = 1e-6) -> Correction:
    low = missing * volume
    return correct(exactly(volume, "L"), exactly(now, "vol %"), want, low, [fluid], Rounding(step))


@given(VOLUMES, MIXTURES, TARGETS, st.one_of(st.just(0.0), st.floats(0.01, 0.9)), FLUIDS)
def test_glycol_and_volume_are_conserved(volume: float, now: float, want: float, missing: float, fluid: Fluid) -> None:
    way = worked(volume, now, want, missing, fluid).ways[0]
    shares = {**SHARES, fluid.name: fluid.share.value}
    if not way.possible:
        assert way.add == ()
        assert way.result is None
        return
    if not way.add:
        return
    assert way.result is not None
    reached = pour(volume, missing * volume, now, way, shares)
    assert reached == pytest.approx(way.result.value, abs=1e-6)
    assert reached == pytest.approx(want, abs=1e-3)


@given(
    VOLUMES, MIXTURES, TARGETS, st.one_of(st.just(0.0), st.floats(0.01, 0.9)), FLUIDS, st.sampled_from([0.1, 0.25, 1.0])
)
def test_never_drains_more_than_there_is(
    volume: float, now: float, want: float, missing: float, fluid: Fluid, step: float
) -> None:
    way = worked(volume, now, want, missing, fluid, step).ways[0]
    assert 0 <= way.drain <= volume - missing * volume + 1e-6
    assert way.waste == way.drain
    assert all(portion.amount >= 0 for portion in way.add)


@given(VOLUMES, st.floats(0, 59), st.floats(0, 59), st.floats(0, 59))
def test_weaker_coolant_takes_more(volume: float, a: float, b: float, want: float) -> None:
    weak, strong = sorted((a, b))
    assume(strong < want)
    assert exact_drain(volume, weak, want, 95) >= exact_drain(volume, strong, want, 95)


@given(
    VOLUMES,
    st.floats(10, 58),
    TARGETS,
    st.one_of(st.just(0.0), st.floats(0.01, 0.5)),
    st.floats(0, 1),
    st.floats(0, 1),
    st.floats(0, 1),
    st.sampled_from(["concentrate", "50/50 premix", "water"]),
)
def test_truth_lies_inside(
    volume: float, now: float, want: float, missing: float, at: float, water: float, size: float, name: str
) -> None:
    """What the system really holds, and what is really in the jug, lie within their figures; so must the result."""
    read = doubt(now, "ethylene", 1.0)
    about = Measure(volume, 0.95 * volume, 1.05 * volume, "L")
    low = missing * volume
    way = correct(about, read, want, low, rounding=Rounding(0.1)).way(name)
    assume(way.possible and way.add)
    assert way.result is not None
    true_volume = about.low + size * (about.high - about.low)
    held = true_volume - low - way.drain
    assume(held > 0)
    glycol = held * (read.low + at * (read.high - read.low)) / 100
    shares = {"concentrate": 95 + 5 * water, "50/50 premix": 47.5 + 2.5 * water, "water": 0.0}
    for portion in way.add:
        held += portion.amount
        glycol += portion.amount * shares[portion.fluid] / 100
    assert way.result.low - 1e-6 <= 100 * glycol / held <= way.result.high + 1e-6


@pytest.mark.parametrize(
    ("volume", "now", "want", "low", "says"),
    [
        (0, 35, 50, 0, "volume must be above 0"),
        (-9, 35, 50, 0, "volume must be above 0"),
        (9, -5, 50, 0, "a mixture of -5 vol % is impossible"),
        (9, 105, 50, 0, "a mixture of 105 vol % is impossible"),
        (9, 35, 70, 0, "no useful gain and poorer cooling"),
        (9, 35, -1, 0, "no target"),
        (9, 35, 50, 9, "can't be low by 9 L"),
        (9, 35, 50, -1, "can't be low by -1 L"),
        (float("nan"), 35, 50, 0, "volume must be above 0"),
    ],
)
def test_impossible_amounts(volume: float, now: float, want: float, low: float, says: str) -> None:
    with pytest.raises(Impossible, match=says):
        correct(exactly(volume, "L"), exactly(now, "vol %"), want, low)


def test_a_target_no_addition_can_reach() -> None:
    with pytest.raises(Impossible, match="never gives 50 vol %"):
        exact_drain(10, 35, 50, 45)
    with pytest.raises(Impossible, match="a premix of 0 % is impossible"):
        premix(0)
    with pytest.raises(Impossible, match="is none"):
        concentrate(60)
    with pytest.raises(Impossible, match="must hold more than nothing"):
        containers(3, (0,))
