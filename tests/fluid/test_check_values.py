"""Check values of the trade, each with the source it comes from.

"Reference library" is CoolProp 8 with its own sources: MEG, MPG after Melinder (2010), mass
fraction; AEG, APG fitted to the ASHRAE tables, volume fraction.
"""

from __future__ import annotations

from math import isclose

import pytest

from diagnose.fluid.additive import additive_charge
from diagnose.fluid.boiling import SEA_LEVEL, boiling_point, boiling_point_of_mass
from diagnose.fluid.composition import mass_percent, volume_percent
from diagnose.fluid.correction import exact_drain
from diagnose.fluid.density import density
from diagnose.fluid.flushing import premix_over_water, residual
from diagnose.fluid.freezing import freezing_point
from diagnose.fluid.refraction import brix, index_of_brix, refractive_index
from diagnose.fluid.units import convert

FREEZING = [  # ASHRAE Fundamentals, on its volume scale, straight lines between the table's points
    ("ethylene", 20, -8.9),
    ("ethylene", 30, -15.9),
    ("ethylene", 40, -24.9),
    ("ethylene", 50, -37.2),
    ("ethylene", 55, -44.3),
    ("propylene", 20, -7.4),
    ("propylene", 30, -13.1),
    ("propylene", 40, -21.5),
    ("propylene", 50, -33.7),
    ("propylene", 60, -51.1),
]


@pytest.mark.parametrize(("glycol", "volume", "expected"), FREEZING)
def test_freezing_point(glycol: str, volume: float, expected: float) -> None:
    assert freezing_point(volume, glycol) == pytest.approx(expected, abs=0.3)


def test_freezing_point_against_another_handbook() -> None:
    """CRC Handbook 102nd ed.: -36.05 degC at 50 mass %; ASHRAE says -33.8. Position: ASHRAE, within 2.5 K of CRC."""
    ours = freezing_point(volume_percent(50, "ethylene"), "ethylene")
    assert ours == pytest.approx(-33.8, abs=0.1)
    assert ours == pytest.approx(-36.05, abs=2.5)


# Reference library: fluid, its fraction, freezing point, and how far from it the trade's scale may lie, K.
LIBRARY = [
    ("MEG", 0.50, -35.994, "ethylene", 2.5),
    ("MEG", 0.40, -23.813, "ethylene", 1.55),
    ("AEG", 0.50, -37.115, "ethylene", 0.3),
    ("AEG", 0.30, -15.700, "ethylene", 0.3),
    ("MPG", 0.50, -32.193, "propylene", 1.5),
    ("APG", 0.50, -33.661, "propylene", 0.3),
]


@pytest.mark.parametrize(("fluid", "fraction", "expected", "glycol", "apart"), LIBRARY)
def test_freezing_point_against_the_library(
    fluid: str, fraction: float, expected: float, glycol: str, apart: float
) -> None:
    """MEG and MPG take mass, AEG and APG volume: feeding one to the other is the trap."""
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    assert props("T_FREEZE", "T", 363.15, "P", 5e5, f"INCOMP::{fluid}[{fraction}]") - 273.15 == pytest.approx(
        expected, abs=0.002
    )
    volume = volume_percent(100 * fraction, glycol) if fluid.startswith("M") else 100 * fraction
    assert freezing_point(volume, glycol) == pytest.approx(expected, abs=apart)


@pytest.mark.parametrize(
    ("glycol", "volume", "mass"),
    [
        ("ethylene", 27.7, 30),
        ("ethylene", 37.5, 40),
        ("ethylene", 47.6, 50),
        ("ethylene", 57.8, 60),
        ("propylene", 29.4, 30),
        ("propylene", 39.6, 40),
        ("propylene", 49.9, 50),
        ("propylene", 60.0, 60),
    ],
)
def test_volume_and_mass(glycol: str, volume: float, mass: float) -> None:
    """ASHRAE Fundamentals, its own pairs."""
    assert mass_percent(volume, glycol) == pytest.approx(mass, abs=0.05)
    assert volume_percent(mass, glycol) == pytest.approx(volume, abs=0.05)


@pytest.mark.parametrize(("mass", "index"), [(10, 1.3425), (20, 1.3523), (40, 1.3728), (52, 1.3851), (60, 1.3931)])
def test_index_of_ethylene(mass: float, index: float) -> None:
    """CRC Handbook 102nd ed., concentrative properties, 20 degC, 589 nm."""
    assert refractive_index(mass, "ethylene") == pytest.approx(index, abs=0.0001)


@pytest.mark.parametrize(("mass", "index"), [(20, 1.3544), (40, 1.3770), (50, 1.3878), (60, 1.3980)])
def test_index_of_propylene(mass: float, index: float) -> None:
    """MacBeth, Anal. Chem. 1951 (doi 10.1021/ac60052a019), 25 degC."""
    assert refractive_index(mass, "propylene", 25.0) == pytest.approx(index, abs=0.0003)


@pytest.mark.parametrize(("mass", "expected"), [(20, 1.0241), (40, 1.0514), (60, 1.0765)])
def test_density_of_ethylene(mass: float, expected: float) -> None:
    """CRC Handbook 102nd ed., concentrative properties, 20 degC, g/mL."""
    assert density(mass, "ethylene") == pytest.approx(expected, abs=0.0002)


def test_brix() -> None:
    """ICUMSA 1974, as tabled in the open library `chemicals` 1.5.2."""
    assert brix(1.3728) == pytest.approx(25.27, abs=0.02)
    assert brix(1.3831) == pytest.approx(31.08, abs=0.02)
    assert index_of_brix(32) == pytest.approx(1.3848, abs=0.0001)


def test_boiling_points() -> None:
    """107.1: a glycol producer's vapour-pressure coefficients (2008). The others: Raoult's law over published
    vapour pressures, reckoned with the open libraries `chemicals` and `thermo`."""
    assert boiling_point_of_mass(50, "ethylene") == pytest.approx(107.1, abs=0.1)
    assert boiling_point(50, "ethylene") == pytest.approx(107.7, abs=0.1)
    assert boiling_point(50, "ethylene", SEA_LEVEL + 103.4) == pytest.approx(129.6, abs=0.1)
    assert boiling_point(0, "ethylene", SEA_LEVEL + 103.4) == pytest.approx(120.9, abs=0.1)


def test_drain_and_residue() -> None:
    """Mass balances; no published worked example was found, the arithmetic is exact."""
    assert exact_drain(10, 35, 50, 100) == pytest.approx(2.308, abs=0.0005)
    assert exact_drain(10, 65, 50, 0) == pytest.approx(2.308, abs=0.0005)
    assert residual(0.35, 3) == pytest.approx(0.0429, abs=0.00005)
    assert premix_over_water(0.35, 50) == pytest.approx(32.5)


def test_additive() -> None:
    """A truck maker's operator manual, p. 48: (2.3 - 1.5) units x 13 gal = 10.4, rounded up to 11."""
    charge = additive_charge(13, "gal", 1.5, 2.3)
    assert isclose(charge.exact, 10.4, abs_tol=1e-9)
    assert charge.units == 11


def test_hardness_units() -> None:
    """Published: 329 ppm = 18.42 German degrees (18.43 exactly); 170 mg/L = 9.93 gpg, "10" in ASTM D4985 as quoted."""
    assert convert(170, "mg/L", "gpg") == pytest.approx(9.93, abs=0.005)
    assert convert(329, "mg/L", "degdH") == pytest.approx(18.43, abs=0.01)
