"""Units: factors of NIST SP 811 and of a published hardness sheet."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.fluid.units import UnitMismatch, convert, convert_difference, find_unit, kind, unit_names

CANONICAL = [
    "pH", "1", "%", "V", "mV", "mg/L", "gpg", "degdH", "degfH", "degClark", "mmol/L", "uS/cm", "kPa", "psi", "bar",
    "L", "mL", "qt", "gal", "mm", "cm", "in", "km", "mi", "years", "months", "weeks", "days", "min", "h", "m", "ft",
    "Brix", "nD", "degC", "degF", "K",
]  # fmt: skip


@pytest.mark.parametrize("name", [*CANONICAL, "vol %", "mass %"])
def test_agreed_names_are_canonical(name: str) -> None:
    assert find_unit(name) == name
    assert kind(name)


@pytest.mark.parametrize(
    ("spelled", "name"),
    [
        ("°C", "degC"),
        ("deg F", "degF"),
        ("Fahrenheit", "degF"),
        ("litres", "L"),
        ("US qt", "qt"),
        ("US gal", "gal"),
        ("gallons", "gal"),
        ("% vol", "vol %"),
        ("vol.-%", "vol %"),
        ("volume %", "vol %"),
        ("wt %", "mass %"),
        ("ppm", "mg/L"),
        ("°dH", "degdH"),
        ("grains per gallon", "gpg"),
        ("µS/cm", "uS/cm"),
        ("PSI", "psi"),
        ("millivolts", "mV"),
        ("°Bx", "Brix"),
        ("miles", "mi"),
        ("minutes", "min"),
        ("months", "months"),
    ],
)
def test_spellings(spelled: str, name: str) -> None:
    assert find_unit(spelled) == name


@pytest.mark.parametrize("text", ["", " ", "furlong", "m/s", "imp gal", "%%"])
def test_what_is_no_unit(text: str) -> None:
    assert find_unit(text) is None


@pytest.mark.parametrize(
    ("value", "unit", "to", "expected"),
    [
        # NIST SP 811
        (1, "psi", "kPa", 6.894757),
        (1, "gal", "L", 3.785412),
        (1, "qt", "L", 0.946353),
        (1, "mi", "km", 1.609344),
        (1, "ft", "m", 0.3048),
        (1, "bar", "kPa", 100),
        (212, "degF", "degC", 100),
        (-40, "degF", "degC", -40),
        (0, "degC", "K", 273.15),
        # a published hardness sheet: 1 gpg = 17.118 mg/L; German 17.848, Clark 14.254, French 10
        (1, "gpg", "mg/L", 17.118),
        (1, "degdH", "mg/L", 17.848),
        (1, "degClark", "mg/L", 14.254),
        (1, "degfH", "mg/L", 10),
        # molar mass of CaCO3
        (1, "mmol/L", "mg/L", 100.087),
        (44, "%", "vol %", 44),
        (1, "mS/cm", "uS/cm", 1000),
        (1, "years", "months", 12),
    ],
)
def test_factors(value: float, unit: str, to: str, expected: float) -> None:
    assert convert(value, unit, to) == pytest.approx(expected, rel=1e-5)


def test_caps() -> None:
    """Stamped caps: 4/7/13/15/16/18/20 psi = 27.6/48.3/89.6/103.4/110.3/124.1/137.9 kPa (common practice)."""
    stamped = {4: 27.6, 7: 48.3, 13: 89.6, 15: 103.4, 16: 110.3, 18: 124.1, 20: 137.9}
    assert {psi: round(convert(psi, "psi", "kPa"), 1) for psi in stamped} == stamped


def test_salt_in_grains() -> None:
    """Additive maker's bulletin: 100 ppm = 5.8 gpg, 40 ppm = 2.5 gpg; the second is rounded (2.34)."""
    assert convert(100, "mg/L", "gpg") == pytest.approx(5.8, abs=0.05)
    assert convert(40, "mg/L", "gpg") == pytest.approx(2.5, abs=0.2)


def test_solids_limit_shows_a_misprint() -> None:
    """The bulletin prints 310 mg/L beside 20 gpg; two engine makers print 340, and only 340 is 20 gpg."""
    assert convert(20, "gpg", "mg/L") == pytest.approx(340, abs=5)
    assert abs(convert(20, "gpg", "mg/L") - 310) > 30


def test_a_difference_has_no_zero() -> None:
    assert convert_difference(5, "K", "degF") == pytest.approx(9)
    assert convert_difference(10, "degF", "degC") == pytest.approx(5.5556, abs=1e-4)


@pytest.mark.parametrize(("unit", "to"), [("psi", "L"), ("mass %", "vol %"), ("Brix", "nD"), ("degdH", "uS/cm")])
def test_the_wrong_kind(unit: str, to: str) -> None:
    with pytest.raises(UnitMismatch, match="measures"):
        convert(1, unit, to)


def test_an_unknown_unit() -> None:
    with pytest.raises(UnitMismatch, match="no unit is called 'furlong'"):
        convert(1, "furlong", "m")
    with pytest.raises(UnitMismatch, match="no unit is called 'furlong'"):
        kind("furlong")


@given(st.sampled_from(unit_names()), st.sampled_from(unit_names()), st.floats(-1e4, 1e4))
def test_there_and_back(unit: str, other: str, value: float) -> None:
    if kind(unit) == kind(other):
        assert convert(convert(value, unit, other), other, unit) == pytest.approx(value, rel=1e-9, abs=1e-6)
