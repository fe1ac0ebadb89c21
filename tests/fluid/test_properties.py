"""Composition, density, index and expansion against published tables and an open reference library."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.fluid.composition import (
    PURE_DENSITY,
    WATER_DENSITY,
    mass_percent,
    top_mass_percent,
    volume_percent,
    volume_percent_before_mixing,
    volume_percent_of_solution,
)
from diagnose.fluid.density import density, mass_percent_of_density
from diagnose.fluid.expansion import relative_volume, shrink
from diagnose.fluid.freezing import BeyondScale
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import exactly
from diagnose.fluid.refraction import brix, fall, index_of_brix, mass_percent_of_index, refractive_index

GLYCOLS = st.sampled_from(("ethylene", "propylene"))
VOLUMES = st.floats(0, 60)


# Composition


@pytest.mark.parametrize(
    ("mass", "parts", "solution"),
    [(20, 18.31, 18.39), (30, 27.76, 27.96), (40, 37.41, 37.77), (50, 47.27, 47.80), (60, 57.35, 58.01)],
)
def test_three_conventions(mass: float, parts: float, solution: float) -> None:
    """The values follow from published pure densities (1.1135; ours is 1.1130). Position: ASHRAE's own pairs."""
    gravity = 1.1135 / 0.99821
    assert volume_percent_before_mixing(mass, gravity) == pytest.approx(parts, abs=0.05)
    assert volume_percent_of_solution(mass, density(mass, "ethylene"), 1.1135) == pytest.approx(solution, abs=0.05)
    assert volume_percent(mass, "ethylene") == pytest.approx(parts, abs=0.7)
    assert volume_percent(mass, "ethylene") == pytest.approx(solution, abs=0.7)


def test_published_glycol_charge() -> None:
    """A ventilation glossary citing ASHRAE 1993: 1000 gal to 30 mass %, gravity 1.1155, takes 277.6 gal."""
    assert 10 * volume_percent_before_mixing(30, 1.1155) == pytest.approx(277.6, abs=0.1)


def test_pure_densities() -> None:
    """A maker's table has 1.1130 for ethylene at 20 degC, a public data set 1.0353 for propylene."""
    assert PURE_DENSITY["ethylene"] == pytest.approx(1.1130, abs=0.0006)
    assert PURE_DENSITY["propylene"] == pytest.approx(1.0353, abs=0.0011)
    assert pytest.approx(0.99821, abs=0.00001) == WATER_DENSITY


@given(VOLUMES, GLYCOLS)
def test_volume_to_mass_and_back(volume: float, glycol: str) -> None:
    assert volume_percent(mass_percent(volume, glycol), glycol) == pytest.approx(volume, abs=1e-6)


@pytest.mark.parametrize("value", [-1, 60.5, 100, float("nan")])
def test_beyond_the_scale(value: float) -> None:
    with pytest.raises(BeyondScale):
        mass_percent(value, "ethylene")


# Density

# CRC Handbook 102nd ed., 20 degC: rows that are not points of the program's table.
CRC_DENSITY = [(2, 1.0007), (7, 1.0070), (12, 1.0134), (14, 1.0161), (18, 1.0214)]


@pytest.mark.parametrize(("mass", "expected"), CRC_DENSITY)
def test_density_between_the_points(mass: float, expected: float) -> None:
    assert density(mass, "ethylene") == pytest.approx(expected, abs=0.0002)


@pytest.mark.parametrize(("glycol", "fluid"), [("ethylene", "MEG"), ("propylene", "MPG")])
def test_density_against_the_library(glycol: str, fluid: str) -> None:
    """CoolProp, Melinder (2010), mass fraction; at the table's own points and between them. The ethylene table is
    tied to CRC at 20 degC, which is up to 0.0006 lower."""
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    for mass in range(10, 61, 5):
        for temperature in (5, 10, 15, 20, 30, 40, 50, 60, 70, 80, 90):
            theirs = props("D", "T", temperature + 273.15, "P", 5e5, f"INCOMP::{fluid}[{mass / 100}]") / 1000
            assert density(mass, glycol, temperature) == pytest.approx(theirs, abs=0.0008)


def test_two_density_tables_disagree() -> None:
    """At 50 vol % ASHRAE's inhibited glycol has 1.0734 (library, AEG), CRC's pure glycol 1.0675. Position: CRC for
    hydrometers, and the difference goes into the interval."""
    ours = density(mass_percent(50, "ethylene"), "ethylene")
    assert ours == pytest.approx(1.0675, abs=0.0003)
    assert ours < 1.0734 - 0.005


@given(st.floats(0, 60), st.floats(0, 60), st.floats(0, 60), GLYCOLS)
def test_density_rises_with_glycol_and_falls_with_heat(a: float, b: float, temperature: float, glycol: str) -> None:
    low, high = sorted((a, b))
    assert density(low, glycol, temperature) <= density(high, glycol, temperature) + 1e-12
    assert density(high, glycol, 60.0) <= density(high, glycol, temperature) + 1e-12 or temperature > 60


@given(st.floats(0, 60), st.floats(0, 60), GLYCOLS)
def test_density_and_back(mass: float, temperature: float, glycol: str) -> None:
    found = mass_percent_of_density(density(mass, glycol, temperature), glycol, temperature)
    assert found == pytest.approx(mass, abs=1e-4)


# Refractive index

# CRC Handbook 102nd ed.: rows that are not points of the program's table.
CRC_INDEX = [(2, 1.3348), (7, 1.3396), (12, 1.3444), (14, 1.3464), (18, 1.3503)]


@pytest.mark.parametrize(("mass", "expected"), CRC_INDEX)
def test_index_between_the_points(mass: float, expected: float) -> None:
    assert refractive_index(mass, "ethylene") == pytest.approx(expected, abs=0.0001)


@pytest.mark.parametrize(("mass", "expected"), [(50, 1.38933), (60, 1.39915)])
def test_propylene_at_20_from_a_second_source(mass: float, expected: float) -> None:
    """Public research data set, own refractometry 2023, 20 degC; the program's table is another's, at 25 degC."""
    assert refractive_index(mass, "propylene", 20.0) == pytest.approx(expected, abs=0.0004)


@pytest.mark.parametrize(("temperature", "expected"), [(10, 1.33406), (20, 1.33335), (30, 1.33229), (40, 1.33095)])
def test_water(temperature: float, expected: float) -> None:
    """IAPWS, reckoned with the open library `iapws` 1.5.5, against vacuum: divided by 1.00027 for air."""
    assert refractive_index(0, "ethylene", temperature) == pytest.approx(expected / 1.00027, abs=0.0001)


@pytest.mark.parametrize(
    ("mass", "degrees"), [(10, 6.5), (20, 12.9), (30, 19.2), (40, 25.3), (50, 31.1), (55, 33.8), (60, 36.5)]
)
def test_brix_of_ethylene(mass: float, degrees: float) -> None:
    """CRC index through ICUMSA 1974 (open library `chemicals`)."""
    assert brix(refractive_index(mass, "ethylene")) == pytest.approx(degrees, abs=0.1)


@pytest.mark.parametrize(("mass", "degrees"), [(10, 7.6), (20, 14.8), (30, 21.7), (40, 28.2), (50, 34.2), (60, 39.5)])
def test_brix_of_propylene(mass: float, degrees: float) -> None:
    """The 1951 index brought to 20 degC, through ICUMSA 1974."""
    assert brix(refractive_index(mass, "propylene")) == pytest.approx(degrees, abs=0.3)


def test_change_with_temperature() -> None:
    """Propylene measured (public data set). Ethylene: Lorentz-Lorenz, which overstates by 7 to 14 %."""
    assert fall(50, "propylene", 30) / 10 == pytest.approx(2.62e-4)
    assert fall(60, "propylene", 30) / 10 == pytest.approx(2.70e-4)
    for mass, overstated in ((20, 1.3e-4), (30, 1.7e-4), (40, 2.0e-4), (50, 2.2e-4), (60, 2.5e-4)):
        assert 0.85 * overstated < fall(mass, "ethylene", 30) / 10 < 0.95 * overstated


@given(st.floats(0, 60), st.floats(0, 50), GLYCOLS)
def test_index_and_back(mass: float, temperature: float, glycol: str) -> None:
    found = mass_percent_of_index(refractive_index(mass, glycol, temperature), glycol, temperature)
    assert found == pytest.approx(mass, abs=1e-5)


@given(st.floats(0, 60), st.floats(0, 60), st.floats(0, 50), GLYCOLS)
def test_index_rises_with_glycol(a: float, b: float, temperature: float, glycol: str) -> None:
    low, high = sorted((a, b))
    assert refractive_index(low, glycol, temperature) <= refractive_index(high, glycol, temperature) + 1e-12


@given(st.floats(0, 50))
def test_brix_and_back(degrees: float) -> None:
    assert brix(index_of_brix(degrees)) == pytest.approx(degrees, abs=0.02)


def test_an_index_under_water() -> None:
    with pytest.raises(BeyondScale, match="under that of water"):
        mass_percent_of_index(1.32, "ethylene")
    with pytest.raises(BeyondScale, match="no useful gain"):
        mass_percent_of_index(1.40, "ethylene")


# Expansion


@pytest.mark.parametrize(("glycol", "fluid"), [("ethylene", "AEG"), ("propylene", "APG")])
def test_expansion_against_the_library(glycol: str, fluid: str) -> None:
    """CoolProp, fits of the ASHRAE tables, volume fraction; at the table's own points and between them."""
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI

    def theirs(volume: float, temperature: float) -> float:
        return float(props("D", "T", temperature + 273.15, "P", 5e5, f"INCOMP::{fluid}[{volume / 100}]"))

    for volume in range(10, 61, 5):
        for temperature in (10, 30, 40, 50, 60, 70, 80, 90, 99):
            ratio = theirs(volume, 20) / theirs(volume, temperature)
            assert relative_volume(volume, glycol, temperature) == pytest.approx(ratio, abs=0.0003)


def test_published_expansion_and_the_other_table() -> None:
    """50 vol % ethylene, 20 to 95 degC: +4.5 % (ASHRAE), +4.9 % (Melinder). Position: 4.5, both in the interval."""
    assert relative_volume(50, "ethylene", 95) == pytest.approx(1.045, abs=0.0005)
    drop = shrink(10, "L", exactly(50, "vol %"), "ethylene", 95, 20)
    assert drop.percent.low < 100 * (1 - 1 / 1.045) < drop.percent.high
    assert drop.percent.low < 100 * (1 - 1 / 1.049) <= drop.percent.high + 0.1


@given(VOLUMES, st.floats(0, 110), st.floats(0, 110), GLYCOLS)
def test_it_swells_with_heat(volume: float, a: float, b: float, glycol: str) -> None:
    cold, hot = sorted((a, b))
    # plain water hardly changes under 10 degC and shrinks up to 4; the table is smooth to 0.01 % there
    assert relative_volume(volume, glycol, cold) <= relative_volume(volume, glycol, hot) + 1e-4


@given(st.floats(0.1, 100), VOLUMES, st.floats(0, 100), st.floats(0, 100), GLYCOLS)
def test_a_drop_is_explained_or_not(volume: float, share: float, a: float, b: float, glycol: str) -> None:
    cold, hot = sorted((a, b))
    result = shrink(volume, "L", exactly(share, "vol %"), glycol, hot, cold, drop=volume * 0.02)
    assert result.unexplained is not None
    assert result.unexplained.value + result.amount.value == pytest.approx(volume * 0.02)
    assert 0 <= result.amount.low <= result.amount.high <= volume


def test_impossible_expansion() -> None:
    mixture = exactly(50, "vol %")
    with pytest.raises(Impossible, match="must be above 0"):
        shrink(0, "L", mixture, "ethylene", 95, 20)
    with pytest.raises(Impossible, match="must not lie under cold"):
        shrink(9, "L", mixture, "ethylene", 20, 95)
    with pytest.raises(Impossible, match="runs from 0 to 110"):
        shrink(9, "L", mixture, "ethylene", 200, 20)
    with pytest.raises(Impossible, match="drop of 10 L is impossible"):
        shrink(9, "L", mixture, "ethylene", 95, 20, 10)
    with pytest.raises(BeyondScale):
        relative_volume(61, "ethylene", 50)


def test_top_of_the_scale() -> None:
    """60 vol % ethylene is about 62 mass % (ASHRAE's pairs continued)."""
    assert top_mass_percent("ethylene") == pytest.approx(62, abs=0.5)
    assert top_mass_percent("propylene") == pytest.approx(60, abs=0.1)
