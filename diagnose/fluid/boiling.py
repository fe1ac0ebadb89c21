"""Boiling point of a mixture under a cap at an altitude.

Raoult's law over the glycol and the water. Vapour pressure of water: Wagner and Pruss, IAPWS
SR1-86 (1992). Vapour pressures of the glycols: Perry's Chemical Engineers' Handbook, 8th edition,
table 2-8. Air pressure: the international standard atmosphere (ISO 2533). The trade's rule of
3 degF for each psi is 2 to 6 degF too high at 15 psi, so it is not used.
"""

from __future__ import annotations

from math import exp, log
from typing import NamedTuple

from diagnose.fluid.composition import mass_percent
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, Step, Steps, figure

SEA_LEVEL = 101.325
"""Standard air pressure at sea level, kPa."""

_MOLAR_MASS = {"ethylene": 62.068, "propylene": 76.094, "water": 18.015}
# ln(p/Pa) = a + b/T + c ln T + d T**e, T in kelvin
_GLYCOL = {
    "ethylene": (84.09, -10411.0, -8.1976, 1.6536e-18, 6.0),
    "propylene": (212.8, -15420.0, -28.109, 2.1564e-5, 2.0),
}
_CRITICAL_T, _CRITICAL_P = 647.096, 22064.0
_ZERO = 273.15
_PRECISION = 1e-7


class Boiling(NamedTuple):
    """Boiling points, degC, in the open and under the cap; `margin` in K under a stated highest temperature."""

    mixture: Measure
    glycol: str
    air: float
    cap: Measure
    open: Measure
    capped: Measure
    highest: float | None
    margin: Measure | None
    steps: tuple[Step, ...]


def water_pressure(temperature: float) -> float:
    """Vapour pressure of water, kPa, at 0 to 370 degC."""
    kelvin = temperature + _ZERO
    t = 1.0 - kelvin / _CRITICAL_T
    r = t**0.5
    t3 = t * t * t
    terms = t * (
        -7.85951783
        + 1.84408259 * r
        - 11.7866497 * t * t
        + 22.6807411 * t * t * r
        - 15.9618719 * t3
        + 1.80122502 * t3 * t3 * r
    )
    return _CRITICAL_P * exp(_CRITICAL_T / kelvin * terms)


def glycol_pressure(temperature: float, glycol: str) -> float:
    """Vapour pressure of the pure glycol, kPa, at 0 to 200 degC."""
    a, b, c, d, e = _GLYCOL[glycol]
    kelvin = temperature + _ZERO
    return exp(a + b / kelvin + c * log(kelvin) + d * kelvin**e) / 1000.0


def water_mole_share(mass_percent: float, glycol: str) -> float:
    """Molecules of water among all molecules, 0 to 1, at 0 to 100 mass % of glycol."""
    if not 0.0 <= mass_percent <= 100.0:
        raise Impossible(f"{mass_percent:g} mass % is no share: it must lie between 0 and 100")
    water = (100.0 - mass_percent) / _MOLAR_MASS["water"]
    return water / (water + mass_percent / _MOLAR_MASS[glycol])


def boiling_point_of_mass(mass_percent: float, glycol: str, pressure: float = SEA_LEVEL) -> float:
    """Boiling point, degC, of 0 to 100 mass % under an absolute pressure of 10 to 500 kPa."""
    if not 10.0 <= pressure <= 500.0:
        raise Impossible(f"{pressure:g} kPa absolute is outside the 10 to 500 kPa that a cooling system can see")
    share = water_mole_share(mass_percent, glycol)
    wanted = log(pressure)
    # over 1/T the logarithm of the pressure is nearly straight, so that a few secant steps find it
    low, high = 1 / 373.15, 1 / 403.15
    at_low = log(_pressure(share, low, glycol)) - wanted
    at_high = log(_pressure(share, high, glycol)) - wanted
    for _ in range(12):
        low, at_low, high = high, at_high, high - at_high * (high - low) / (at_high - at_low)
        at_high = log(_pressure(share, high, glycol)) - wanted
        if abs(at_high) < _PRECISION:
            break
    return 1 / high - _ZERO


def boiling_point(volume_percent: float, glycol: str, pressure: float = SEA_LEVEL) -> float:
    """Boiling point, degC, of 0 to 60 vol % under an absolute pressure in kPa. Raises BeyondScale."""
    return boiling_point_of_mass(mass_percent(volume_percent, glycol), glycol, pressure)


def air_pressure(altitude: float) -> float:
    """Air pressure, kPa, at -500 to 6000 m above the sea."""
    if not -500.0 <= altitude <= 6000.0:
        raise Impossible(f"{altitude:g} m is no altitude for a road: it must lie between -500 and 6000 m")
    return float(SEA_LEVEL * (1.0 - 2.25577e-5 * altitude) ** 5.25588)


def boil(mixture: Measure, glycol: str, cap: Measure, altitude: float = 0.0, highest: float | None = None) -> Boiling:
    """What the mixture (vol %) under a cap (kPa gauge) boils at; margin to `highest`, degC. Raises BeyondScale."""
    if cap.low < 0.0:
        raise Impossible(f"a cap can't hold {cap.low:g} kPa: the rating must be 0 or more")
    steps = Steps()
    air = air_pressure(altitude)
    steps.add("air pressure", f"{SEA_LEVEL} kPa x (1 - 0.0000225577 x {figure(altitude)} m)^5.256", air, "kPa")
    mass = mixture.through(lambda v: mass_percent(v, glycol), "mass %")
    steps.add("mixture by mass", f"by table from {figure(mixture.value)} vol % {glycol} glycol", mass)
    share = water_mole_share(mass.value, glycol)
    steps.add(
        "water among all molecules",
        f"({figure(100 - mass.value)}/18.02) / ({figure(100 - mass.value)}/18.02"
        f" + {figure(mass.value)}/{figure(_MOLAR_MASS[glycol])})",
        share,
        "",
    )
    in_open = mixture.through(lambda v: boiling_point(v, glycol, air), "degC")
    steps.add("boils in the open", f"where the vapour over the mixture presses {figure(air)} kPa", in_open)
    ends = tuple(boiling_point(v, glycol, air + c) for v in (mixture.low, mixture.high) for c in (cap.low, cap.high))
    capped = Measure(boiling_point(mixture.value, glycol, air + cap.value), min(ends), max(ends), "degC")
    formula = f"where it presses {figure(air)} + {figure(cap.value)} = {figure(air + cap.value)} kPa"
    if cap.high > 0.0:
        steps.add("boils under the cap", formula, capped)
    margin = None
    if highest is not None:
        margin = Measure(capped.value - highest, capped.low - highest, capped.high - highest, "K")
        steps.add("margin", f"{figure(capped.value)} - {figure(highest)} degC", margin)
    return Boiling(mixture, glycol, air, cap, in_open, capped, highest, margin, steps.done())


def _pressure(share: float, inverse_kelvin: float, glycol: str) -> float:
    temperature = 1 / inverse_kelvin - _ZERO
    total = share * water_pressure(temperature)
    return total + (1.0 - share) * glycol_pressure(temperature, glycol) if share < 1.0 else total
