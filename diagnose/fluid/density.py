"""Density of a mixture of pure glycol and water.

Ethylene at 20 degC: CRC Handbook, 102nd edition, concentrative properties of aqueous solutions.
Its change with temperature, and propylene altogether: Melinder (2010), computed with CoolProp
8.0.0 (MEG, MPG; mass fraction). Water: IAPWS-95, at 0.1 MPa. Inhibitors make a coolant heavier than this: the
ASHRAE table for inhibited glycol lies 0.006 g/mL higher at 50 vol %.
"""

from __future__ import annotations

from diagnose.fluid.composition import top_mass_percent
from diagnose.fluid.curve import Curve
from diagnose.fluid.freezing import BEYOND, BeyondScale
from diagnose.fluid.grid import Grid
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.solve import where_rising

INHIBITORS_AT_50 = 0.006
"""How much heavier an inhibited coolant is at 50 vol %, g/mL (ASHRAE against CRC)."""

_COLUMNS = (0.0, 10.0, 20.0, 30.0, 40.0, 60.0, 80.0, 100.0)
_WATER = (0.0, (0.9998, 0.9997, 0.9982, 0.9956, 0.9922, 0.9832, 0.9718, 0.9584))
_ETHYLENE = (
    _WATER,
    (10.0, (1.0136, 1.0125, 1.0106, 1.0078, 1.0043, 0.9952, 0.9836, 0.9696)),
    (20.0, (1.0291, 1.0269, 1.0241, 1.0206, 1.0164, 1.0062, 0.9938, 0.9793)),
    (30.0, (1.0450, 1.0418, 1.0380, 1.0337, 1.0288, 1.0175, 1.0043, 0.9894)),
    (40.0, (1.0604, 1.0564, 1.0519, 1.0468, 1.0414, 1.0291, 1.0154, 1.0005)),
    (50.0, (1.0746, 1.0700, 1.0649, 1.0594, 1.0534, 1.0405, 1.0264, 1.0115)),
    (60.0, (1.0879, 1.0827, 1.0771, 1.0711, 1.0646, 1.0508, 1.0360, 1.0208)),
)
_PROPYLENE = (
    _WATER,
    (10.0, (1.0093, 1.0083, 1.0062, 1.0032, 0.9994, 0.9898, 0.9782, 0.9655)),
    (20.0, (1.0201, 1.0179, 1.0148, 1.0109, 1.0064, 0.9956, 0.9832, 0.9699)),
    (30.0, (1.0316, 1.0280, 1.0238, 1.0189, 1.0134, 1.0012, 0.9876, 0.9734)),
    (40.0, (1.0424, 1.0376, 1.0323, 1.0264, 1.0201, 1.0063, 0.9916, 0.9766)),
    (50.0, (1.0509, 1.0453, 1.0391, 1.0324, 1.0254, 1.0105, 0.9949, 0.9793)),
    (60.0, (1.0560, 1.0497, 1.0430, 1.0359, 1.0284, 1.0128, 0.9967, 0.9808)),
)
# For ethylene only the change with temperature is taken from here.
_ETHYLENE_OVER_20 = Grid.of(_COLUMNS, [(mass, [value / values[2] for value in values]) for mass, values in _ETHYLENE])
_PROPYLENE_GRID = Grid.of(_COLUMNS, _PROPYLENE)
_RISE = {"ethylene": 0.0012, "propylene": 0.0007}
# CRC, 20 degC; the last point continues the table's last stretch to 60 vol %.
_ETHYLENE_AT_20 = Curve.through(
    [
        (0.0, 0.9982),
        (5.0, 1.0044),
        (10.0, 1.0108),
        (16.0, 1.0188),
        (20.0, 1.0241),
        (24.0, 1.0296),
        (28.0, 1.0350),
        (32.0, 1.0405),
        (36.0, 1.0460),
        (40.0, 1.0514),
        (44.0, 1.0567),
        (48.0, 1.0619),
        (52.0, 1.0670),
        (56.0, 1.0719),
        (60.0, 1.0765),
        (62.2, 1.0790),
    ]
)


def density(mass_percent: float, glycol: str, temperature: float = 20.0) -> float:
    """Density, g/mL, of 0 mass % up to the scale's top, at 0 to 100 degC. Raises BeyondScale, Impossible."""
    if not 0.0 <= mass_percent <= top_mass_percent(glycol):
        raise BeyondScale(f"{mass_percent:g} mass % is {BEYOND}" if mass_percent > 0 else "no mixture lies under 0 %")
    if not 0.0 <= temperature <= 100.0:
        raise Impossible(f"the density table runs from 0 to 100 degC, not to {temperature:g} degC")
    if glycol == "propylene":
        return _PROPYLENE_GRID.at(mass_percent, temperature)
    at_20 = _ETHYLENE_AT_20.at(mass_percent)
    return at_20 if temperature == 20.0 else at_20 * _ETHYLENE_OVER_20.at(mass_percent, temperature)


def mass_percent_of_density(density_value: float, glycol: str, temperature: float = 20.0) -> float:
    """The mixture, mass %, that has a density in g/mL at a temperature in degC. Raises BeyondScale."""
    top = top_mass_percent(glycol)
    lightest = density(0.0, glycol, temperature)
    guess = (density_value - lightest) / _RISE[glycol]
    # the check against the top of the scale is needed only near it
    if not density_value >= lightest or (guess > 30.0 and density_value > density(top, glycol, temperature)):
        raise BeyondScale(f"{density_value:.4f} g/mL at {temperature:g} degC lies outside water to 60 vol %")
    if glycol == "ethylene" and temperature == 20.0:
        return _ETHYLENE_AT_20.where(density_value)
    rise = _RISE[glycol]
    return where_rising(lambda m: density(m, glycol, temperature), density_value, 0.0, top, guess, rise, 1e-8)
