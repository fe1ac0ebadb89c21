"""Boiling points against a glycol producer's published coefficients and figures reckoned with open libraries."""

from __future__ import annotations

from math import log10

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.fluid.boiling import (
    SEA_LEVEL,
    air_pressure,
    boil,
    boiling_point,
    boiling_point_of_mass,
    glycol_pressure,
    water_mole_share,
    water_pressure,
)
from diagnose.fluid.freezing import BeyondScale
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, exactly
from diagnose.fluid.units import convert

# Glycol producer's data sheet, 2008: log10 p(mmHg) = A - B / (t + C) for the mixture itself.
PRODUCER = {50: (7.901886, 1691.452, 229.778), 70: (7.833380, 1712.369, 231.166)}
MMHG = 0.133322


@pytest.mark.parametrize("mass", sorted(PRODUCER))
@pytest.mark.parametrize("pressure", [70.0, 101.325, 150.0, 205.0])
def test_producers_coefficients(mass: float, pressure: float) -> None:
    a, b, c = PRODUCER[int(mass)]
    published = b / (a - log10(pressure / MMHG)) - c
    assert boiling_point_of_mass(mass, "ethylene", pressure) == pytest.approx(published, abs=0.4)


@pytest.mark.parametrize(("mass", "expected"), [(50, 107.09), (70, 114.59), (80, 122.00), (90, 137.27), (95, 154.07)])
def test_producers_boiling_points(mass: float, expected: float) -> None:
    """The same data sheet, at 760 mmHg."""
    assert boiling_point_of_mass(mass, "ethylene") == pytest.approx(expected, abs=0.1)


# Raoult's law reckoned with `chemicals` and `thermo`: kPa gauge at sea level -> degC.
GAUGE = (0, 50, 90, 103.4, 124.1, 137.9)
BY_VOLUME = {
    0: (100.0, 111.6, 118.8, 120.9, 124.0, 126.0),
    30: (103.6, 115.5, 122.8, 125.0, 128.1, 130.1),
    40: (105.4, 117.4, 124.8, 127.0, 130.2, 132.2),
    50: (107.7, 119.9, 127.4, 129.6, 132.8, 134.9),
}


@pytest.mark.parametrize("volume", sorted(BY_VOLUME))
def test_under_a_cap(volume: float) -> None:
    for gauge, expected in zip(GAUGE, BY_VOLUME[int(volume)], strict=True):
        assert boiling_point(volume, "ethylene", SEA_LEVEL + gauge) == pytest.approx(expected, abs=0.1)


def test_propylene_under_a_cap() -> None:
    for gauge, expected in zip(GAUGE, (105.8, 117.8, 125.3, 127.5, 130.7, 132.7), strict=True):
        assert boiling_point_of_mass(50, "propylene", SEA_LEVEL + gauge) == pytest.approx(expected, abs=0.1)


def test_published_anchor() -> None:
    """Several trade sources: 50/50 under a 14 or 15 psi cap boils at 265 degF (129 degC)."""
    boils = [
        convert(boiling_point(50, "ethylene", SEA_LEVEL + convert(psi, "psi", "kPa")), "degC", "degF")
        for psi in (14, 15)
    ]
    assert boils[0] < 265 < boils[1]
    assert boils[1] == pytest.approx(265.4, abs=0.2)


def test_three_degrees_for_each_psi_is_wrong() -> None:
    """The trade's rule: 223 + 3 x 15 = 268 degF. Position: compute; the rule is 2 to 6 degF too high at 15 psi."""
    open_air = convert(boiling_point(50, "ethylene"), "degC", "degF")
    capped = convert(boiling_point(50, "ethylene", SEA_LEVEL + convert(15, "psi", "kPa")), "degC", "degF")
    assert 2 < 223 + 3 * 15 - capped < 6
    assert 2 < open_air + 3 * 15 - capped < 6


@pytest.mark.parametrize(
    ("altitude", "in_open", "capped"),
    [(0, 107.7, 129.6), (1000, 104.2, 127.7), (2000, 100.8, 125.9), (3000, 97.3, 124.2)],
)
def test_altitude(altitude: float, in_open: float, capped: float) -> None:
    """Open libraries. A laboratory's "1.5 degC for 300 m" is half too much (1.04 open, 0.57 capped)."""
    air = air_pressure(altitude)
    assert boiling_point(50, "ethylene", air) == pytest.approx(in_open, abs=0.15)
    assert boiling_point(50, "ethylene", air + 103.4) == pytest.approx(capped, abs=0.15)


def test_astm_minimum_for_new_coolant() -> None:
    """ASTM D3306 asks for 108 degC at 50 vol % of concentrate (from memory); pure glycol comes to 107.7."""
    assert boiling_point(50, "ethylene") == pytest.approx(108, abs=0.5)


@pytest.mark.parametrize(
    ("temperature", "kilopascal"), [(20, 2.3392), (60, 19.946), (100, 101.418), (120, 198.665), (130, 270.26)]
)
def test_water(temperature: float, kilopascal: float) -> None:
    """IAPWS-95, from the open library `chemicals`."""
    assert water_pressure(temperature) == pytest.approx(kilopascal, rel=2e-4)


@pytest.mark.parametrize(("altitude", "kilopascal"), [(0, 101.325), (1000, 89.87), (2000, 79.50), (3000, 70.11)])
def test_air(altitude: float, kilopascal: float) -> None:
    """ISO 2533, international standard atmosphere (from memory)."""
    assert air_pressure(altitude) == pytest.approx(kilopascal, abs=0.02)


@given(
    st.floats(0, 60),
    st.floats(0, 60),
    st.floats(50, 300),
    st.floats(50, 300),
    st.sampled_from(("ethylene", "propylene")),
)
def test_monotone(a: float, b: float, p: float, q: float, glycol: str) -> None:
    (thin, strong), (weak, tight) = sorted((a, b)), sorted((p, q))
    assert boiling_point(thin, glycol, weak) <= boiling_point(strong, glycol, weak) + 1e-6
    assert boiling_point(thin, glycol, weak) <= boiling_point(thin, glycol, tight) + 1e-6


@given(st.floats(0, 99.9), st.floats(10, 500), st.sampled_from(("ethylene", "propylene")))
def test_the_vapour_presses_as_hard_as_the_air(mass: float, pressure: float, glycol: str) -> None:
    boils = boiling_point_of_mass(mass, glycol, pressure)
    water = water_mole_share(mass, glycol)
    assert water * water_pressure(boils) + (1 - water) * glycol_pressure(boils, glycol) == pytest.approx(
        pressure, rel=1e-4
    )


@given(st.floats(2, 58), st.floats(0, 2), st.floats(0, 130), st.floats(0, 20), st.floats(-1, 1), st.floats(-1, 1))
def test_truth_lies_inside(volume: float, doubt: float, cap: float, play: float, at: float, held: float) -> None:
    mixture = Measure(volume, volume - doubt, volume + doubt, "vol %")
    result = boil(mixture, "ethylene", Measure(cap + play, cap, cap + 2 * play, "kPa"), 500, 110)
    truth = boiling_point(volume + at * doubt, "ethylene", air_pressure(500) + cap + play + held * play)
    assert result.capped.low - 1e-6 <= truth <= result.capped.high + 1e-6
    assert result.margin is not None
    assert result.margin.low - 1e-6 <= truth - 110 <= result.margin.high + 1e-6


def test_what_cannot_be() -> None:
    mixture = exactly(50, "vol %")
    with pytest.raises(Impossible, match="can't hold -5 kPa"):
        boil(mixture, "ethylene", exactly(-5, "kPa"))
    with pytest.raises(Impossible, match="no altitude for a road"):
        boil(mixture, "ethylene", exactly(0, "kPa"), 9000)
    with pytest.raises(Impossible, match="10 to 500 kPa"):
        boil(mixture, "ethylene", exactly(900, "kPa"))
    with pytest.raises(BeyondScale, match="no useful gain"):
        boil(exactly(70, "vol %"), "ethylene", exactly(0, "kPa"))
    with pytest.raises(Impossible, match="must lie between 0 and 100"):
        boiling_point_of_mass(101, "ethylene")
