"""Volume percent to mass percent and back.

Three conventions are in use and differ by up to 0.7 vol % (1 K): parts before mixing, volume of
glycol in a volume of solution (which shrinks a little), and ASHRAE's own pairs. The trade's
freezing scale is ASHRAE's, so its pairs are used here. Pure densities at 20 degC: ethylene glycol
1.1130 g/mL (diesel-engine maker's table), propylene glycol 1.0362 (from memory; a public data
set has 1.0353), water 0.99821 (IAPWS).
"""

from __future__ import annotations

from diagnose.fluid.curve import Curve
from diagnose.fluid.freezing import BEYOND, TOP_OF_SCALE, BeyondScale
from diagnose.fluid.impossible import Impossible

WATER_DENSITY = 0.99821
"""Of water at 20 degC, g/mL (IAPWS)."""

PURE_DENSITY = {"ethylene": 1.1130, "propylene": 1.0362}
"""Of the glycols at 20 degC, g/mL."""

# ASHRAE Fundamentals, vol % and mass % of the same mixture. The last ethylene pair continues the
# table's last stretch to the top of the scale.
_PAIRS = {
    "ethylene": Curve.through(
        [
            (0.0, 0.0),
            (4.4, 5.0),
            (8.9, 10.0),
            (13.6, 15.0),
            (18.1, 20.0),
            (22.9, 25.0),
            (27.7, 30.0),
            (32.6, 35.0),
            (37.5, 40.0),
            (42.5, 45.0),
            (47.6, 50.0),
            (52.7, 55.0),
            (57.8, 60.0),
            (60.0, 62.2),
        ]
    ),
    "propylene": Curve.through(
        [
            (0.0, 0.0),
            (9.6, 10.0),
            (14.5, 15.0),
            (19.4, 20.0),
            (24.4, 25.0),
            (29.4, 30.0),
            (34.4, 35.0),
            (39.6, 40.0),
            (44.7, 45.0),
            (49.9, 50.0),
            (55.0, 55.0),
            (60.0, 60.0),
        ]
    ),
}


def mass_percent(volume_percent: float, glycol: str) -> float:
    """Mass % of a mixture of 0 to 60 vol %. Raises BeyondScale."""
    if not 0.0 <= volume_percent <= TOP_OF_SCALE:
        raise BeyondScale(_outside(volume_percent, "vol %"))
    return _PAIRS[glycol].at(volume_percent)


def volume_percent(mass_percent: float, glycol: str) -> float:
    """Vol % of a mixture given in mass %, up to 60 vol %. Raises BeyondScale."""
    pairs = _PAIRS[glycol]
    if not 0.0 <= mass_percent <= pairs.y[-1]:
        raise BeyondScale(_outside(mass_percent, "mass %"))
    return pairs.where(mass_percent)


def top_mass_percent(glycol: str) -> float:
    """Mass % at the top of the scale, 60 vol %."""
    return _PAIRS[glycol].y[-1]


def volume_percent_before_mixing(mass_percent: float, specific_gravity: float) -> float:
    """Vol % by the parts poured together, for 0 to 100 mass % and the glycol's density over water's."""
    if not 0.0 <= mass_percent <= 100.0:
        raise Impossible(f"{mass_percent:g} mass % is no share: it must lie between 0 and 100")
    if mass_percent == 0.0:
        return 0.0
    return 100.0 / (1.0 + specific_gravity * (100.0 - mass_percent) / mass_percent)


def volume_percent_of_solution(mass_percent: float, solution_density: float, glycol_density: float) -> float:
    """Vol % as glycol in a volume of finished solution; densities in the same unit."""
    return mass_percent * solution_density / glycol_density


def _outside(value: float, unit: str) -> str:
    if value > TOP_OF_SCALE:
        return f"{value:g} {unit} is {BEYOND}"
    return f"{value:g} {unit} is no mixture: it can't lie under 0"
