"""Water against published limits and figures; the loss balance against a leak that is simulated."""

from __future__ import annotations

from math import log

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.fluid.additive import additive_charge
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.loss import balance
from diagnose.fluid.measure import Measure, between, exactly
from diagnose.fluid.protection import doubt
from diagnose.fluid.units import convert
from diagnose.fluid.water import Limit, blend, hardness, judge, share_needed

# Stricter in print (ASTM D4985 as quoted by an additive maker, engine makers): 40 and 170 mg/L.
# Looser (a US car maker's plant water, 2007-2011): 50 and 200. Position: good up to the first, unfit from the second.
LIMITS = (Limit("hardness", 170, 200, "mg/L"), Limit("chloride", 40, 50, "mg/L"))


def test_hardness_from_metals() -> None:
    """Published: Ca 72 and Mg 26 mg/L make 286. A hardness sheet prints factors 2.497 and 4.115 (4.118 by molar mass),
    1.792 for iron and 1.822 for manganese."""
    assert hardness(72, 26) == pytest.approx(286.8, abs=0.8)
    assert hardness(1) == pytest.approx(2.497, abs=0.001)
    assert hardness(0, 1) == pytest.approx(4.115, abs=0.004)
    assert hardness(iron=1) == pytest.approx(1.792, abs=0.001)
    assert hardness(manganese=1) == pytest.approx(1.822, abs=0.001)


def test_published_conversions() -> None:
    """170 mg/L = 9.93 gpg = 9.52 German degrees; a converter's "1 dH = 10 mg/L" is a French degree, and wrong."""
    assert convert(170, "mg/L", "gpg") == pytest.approx(9.93, abs=0.005)
    assert convert(170, "mg/L", "degdH") == pytest.approx(9.52, abs=0.01)
    assert convert(1, "degdH", "mg/L") == pytest.approx(17.848)
    assert convert(1, "degClark", "gpg") != pytest.approx(1, abs=0.1)


@pytest.mark.parametrize(
    ("values", "fitness"),
    [
        ({"hardness": exactly(170, "mg/L"), "chloride": exactly(40, "mg/L")}, "good"),
        ({"hardness": exactly(171, "mg/L"), "chloride": exactly(10, "mg/L")}, "borderline"),
        ({"hardness": exactly(100, "mg/L"), "chloride": exactly(50, "mg/L")}, "unfit"),
        ({"hardness": between(150, 190, "mg/L")}, "can't tell"),
        ({}, "can't tell"),
    ],
)
def test_is_it_fit(values: dict[str, Measure], fitness: str) -> None:
    assert judge(values, LIMITS).fitness == fitness


def test_what_was_not_measured_is_said() -> None:
    assert judge({"hardness": exactly(10, "mg/L")}, LIMITS).not_measured == ("chloride",)


def test_two_waters() -> None:
    mixed = blend({"hardness": 300, "chloride": 80}, {"hardness": 0, "chloride": 0}, 0.5)
    assert mixed.values["hardness"].value == pytest.approx(150)
    assert mixed.values["chloride"].value == pytest.approx(40)


@given(st.floats(0, 500), st.floats(0, 500), st.floats(1, 500))
def test_the_share_that_is_needed(first: float, second: float, wanted: float) -> None:
    assume(second <= wanted and second < first)
    share = share_needed(first, second, wanted)
    assert 0 <= share <= 1
    mixed = blend({"hardness": first}, {"hardness": second}, share).values["hardness"].value
    assert mixed <= max(wanted, second) + 1e-6
    assert share == 0 or mixed == pytest.approx(wanted)


def test_impossible_water() -> None:
    with pytest.raises(Impossible, match="of calcium is impossible"):
        hardness(-1)
    with pytest.raises(Impossible, match="hardness of -1 mg/L is impossible"):
        judge({"hardness": exactly(-1, "mg/L")}, LIMITS)
    with pytest.raises(Impossible, match="judged in mg/L, not in gpg"):
        judge({"hardness": exactly(1, "gpg")}, LIMITS)
    with pytest.raises(Impossible, match="no share of it brings 300 down to 170"):
        share_needed(300, 200, 170)
    with pytest.raises(Impossible, match="share of 2 is impossible"):
        blend({}, {}, 2)
    with pytest.raises(Impossible, match="a chloride of -1"):
        blend({"chloride": -1}, {"chloride": 1}, 0.5)


# Loss


def test_at_once_and_little_by_little() -> None:
    """Mass balance: from 50 to 40 %, a fifth of the volume if at once, V ln(50/40) if little by little."""
    loss = balance(10, "L", exactly(50, "vol %"), exactly(40, "vol %"))
    assert loss.lost.low == pytest.approx(2.0)
    assert loss.lost.high == pytest.approx(10 * log(50 / 40))
    assert loss.shown


def test_how_fast() -> None:
    loss = balance(10, "L", exactly(50, "vol %"), exactly(40, "vol %"), months=4, distance=8000)
    assert loss.each_month is not None
    assert loss.each_thousand is not None
    assert loss.each_month.value == pytest.approx(loss.lost.value / 4)
    assert loss.each_thousand.value == pytest.approx(loss.lost.value / 8)


def test_two_readings_that_agree_show_no_loss() -> None:
    loss = balance(9, "L", doubt(50, "ethylene", 1.0), doubt(49.5, "ethylene", 1.0))
    assert not loss.shown
    assert loss.lost.low == 0.0
    assert loss.lost.high > 0.2


@given(
    st.floats(3, 30),
    st.floats(20, 58),
    st.lists(st.floats(0.005, 0.25), min_size=1, max_size=8),
    st.floats(0, 0.15),
    st.floats(-1, 1),
    st.floats(-1, 1),
)
def test_truth_lies_inside(
    volume: float, before: float, leaks: list[float], missing: float, first: float, second: float
) -> None:
    """A system that really leaks and is topped up with water, read twice with a refractometer good to 1 vol %."""
    mixture, lost = before, 0.0
    for leak in leaks:
        lost += leak * volume
        mixture *= 1 - leak
    low = missing * volume
    lost += low
    assume(mixture > 2)
    one, two = before + first, mixture + second
    assume(two - 1 <= one + 1)
    loss = balance(
        volume, "L", Measure(one, one - 1, one + 1, "vol %"), Measure(two, two - 1, two + 1, "vol %"), low=low
    )
    assert loss.lost.low - 1e-6 <= lost <= loss.lost.high + 1e-6
    assert loss.water.low - 1e-6 <= lost - low <= loss.water.high + 1e-6


@pytest.mark.parametrize("leaks", [(0.2,), (0.001,) * 200])
@pytest.mark.parametrize("sign", [-1, 1])
def test_truth_lies_inside_at_its_worst(leaks: tuple[float, ...], sign: float) -> None:
    """One large loss or many small ones, and both readings off as far as they may, in opposite directions."""
    mixture, lost = 50.0, 0.0
    for leak in leaks:
        lost += 10 * leak
        mixture *= 1 - leak
    one, two = 50 + sign, mixture - sign
    loss = balance(10, "L", Measure(one, one - 1, one + 1, "vol %"), Measure(two, two - 1, two + 1, "vol %"))
    assert loss.lost.low - 1e-6 <= lost <= loss.lost.high + 1e-6


@pytest.mark.parametrize(
    ("before", "now", "low", "says"),
    [
        (40, 55, 0, "got stronger"),
        (0, 0, 0, "plain water can't be thinned"),
        (40, 0, 0, "no upper end"),
        (140, 40, 0, "earlier mixture of 140"),
        (40, 30, 9, "can't be low by 9 L"),
    ],
)
def test_impossible_loss(before: float, now: float, low: float, says: str) -> None:
    with pytest.raises(Impossible, match=says):
        balance(9, "L", exactly(before, "vol %"), exactly(now, "vol %"), low)


def test_impossible_rates() -> None:
    mixtures = exactly(50, "vol %"), exactly(40, "vol %")
    with pytest.raises(Impossible, match="time of 0 months"):
        balance(9, "L", *mixtures, months=0)
    with pytest.raises(Impossible, match="distance of -1 km"):
        balance(9, "L", *mixtures, distance=-1)
    with pytest.raises(Impossible, match="volume must be above 0"):
        balance(0, "L", *mixtures)


# Additive


def test_additive_rounds_up_to_whole_units() -> None:
    """A truck maker's operator manual: 0.8 units in each of 13 gal is 10.4, so 11."""
    assert additive_charge(13, "gal", 1.5, 2.3).units == 11
    assert additive_charge(10, "gal", 1.3, 2.3).units == 10
    assert additive_charge(10, "gal", 2.3, 2.3).units == 0


def test_impossible_additive() -> None:
    with pytest.raises(Impossible, match="add none"):
        additive_charge(13, "gal", 3.0, 2.3)
    with pytest.raises(Impossible, match="under 0 units"):
        additive_charge(13, "gal", -1, 2.3)
    with pytest.raises(Impossible, match="volume must be above 0"):
        additive_charge(0, "gal", 1, 2)
