"""Refractive index of a mixture at 589 nm against air, and the Brix scale.

Ethylene at 20 degC: CRC Handbook, 102nd edition, concentrative properties. Propylene at 25 degC:
MacBeth, Anal. Chem. 1951 (doi 10.1021/ac60052a019). Change with temperature: water IAPWS;
propylene measured (the same public data set); ethylene Lorentz-Lorenz with Melinder's densities,
less a tenth, since that reckoning overstates by 7 to 14 % where it can be tested. The fall is steeper the
warmer it is: by 1.7e-6 with each kelvin for water (IAPWS), by 1.1e-6 for strong mixtures (Melinder). Brix: ICUMSA 1974.
Battery acid: CRC, sulfuric acid at 20 degC, density over that of water.
"""

from __future__ import annotations

from functools import lru_cache

from diagnose.fluid.composition import top_mass_percent
from diagnose.fluid.curve import Curve
from diagnose.fluid.freezing import BEYOND, BeyondScale
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.solve import where_rising

WATER_INDEX = 1.3330
"""Of water at 20 degC."""

SLOPE_DOUBT = 0.15
"""How far the change with temperature may be off, as a share of it."""

# The last ethylene point continues the table's last stretch to 60 vol %.
_INDEX = {
    "ethylene": (
        20.0,
        Curve.through(
            [
                (0.0, 1.3330),
                (5.0, 1.3377),
                (10.0, 1.3425),
                (16.0, 1.3484),
                (20.0, 1.3523),
                (24.0, 1.3564),
                (28.0, 1.3605),
                (32.0, 1.3646),
                (36.0, 1.3687),
                (40.0, 1.3728),
                (44.0, 1.3769),
                (48.0, 1.3811),
                (52.0, 1.3851),
                (56.0, 1.3892),
                (60.0, 1.3931),
                (62.2, 1.3952),
            ]
        ),
    ),
    "propylene": (
        25.0,
        Curve.through(
            [
                (0.0, 1.3325),
                (10.0, 1.3432),
                (20.0, 1.3544),
                (30.0, 1.3658),
                (40.0, 1.3770),
                (50.0, 1.3878),
                (60.0, 1.3980),
            ]
        ),
    ),
}
# Mean fall of the index with each kelvin from 20 to 30 degC, and how much that grows with each kelvin more.
_FALL = {
    "ethylene": Curve.through(
        [(0.0, 1.06e-4), (20.0, 1.17e-4), (30.0, 1.53e-4), (40.0, 1.80e-4), (50.0, 1.98e-4), (62.2, 2.25e-4)]
    ),
    "propylene": Curve.through([(0.0, 1.06e-4), (50.0, 2.62e-4), (60.0, 2.70e-4)]),
}
_BEND = Curve.through([(0.0, 1.7e-6), (40.0, 1.1e-6), (62.2, 1.1e-6)])
_AT_20 = {
    "ethylene": _INDEX["ethylene"][1],
    # what was measured at 25 degC, and its fall from 20 to 25
    "propylene": _INDEX["propylene"][1].plus(_FALL["propylene"].plus(_BEND, -5.0), 5.0),
}
"""The index at 20 degC, so that a mixture is looked up where most readings are: at the temperature of the scales."""
_RISE = 0.00101
_SURELY_INSIDE = 45.0
_BRIX = Curve.through(
    [
        (0.0, 1.33299),
        (5.0, 1.34026),
        (10.0, 1.34782),
        (15.0, 1.35568),
        (20.0, 1.36384),
        (25.0, 1.37233),
        (30.0, 1.38115),
        (35.0, 1.39032),
        (40.0, 1.39986),
        (45.0, 1.40978),
        (50.0, 1.42009),
    ]
)
_ACID = Curve.through(
    [
        (density / 0.9982, index)
        for density, index in (
            (0.9982, 1.3330),
            (1.0661, 1.3451),
            (1.1020, 1.3513),
            (1.1398, 1.3576),
            (1.1714, 1.3628),
            (1.2031, 1.3677),
            (1.2353, 1.3725),
            (1.2685, 1.3773),
            (1.3028, 1.3821),
            (1.3386, 1.3870),
            (1.3759, 1.3920),
            (1.4149, 1.3971),
        )
    ]
)


def refractive_index(mass_percent: float, glycol: str, temperature: float = 20.0) -> float:
    """Index of 0 mass % up to the scale's top, at 0 to 50 degC. Raises BeyondScale."""
    if not 0.0 <= mass_percent <= top_mass_percent(glycol):
        raise BeyondScale(f"{mass_percent:g} mass % is {BEYOND}" if mass_percent > 0 else "no mixture lies under 0 %")
    at, table = _INDEX[glycol]
    if temperature == at:
        return table.at(mass_percent)
    at_20 = _AT_20[glycol].at(mass_percent)
    return at_20 if temperature == 20.0 else at_20 - fall(mass_percent, glycol, temperature)


def fall(mass_percent: float, glycol: str, temperature: float) -> float:
    """How much the index at `temperature`, degC, lies under that at 20 degC (negative when colder)."""
    from_20 = temperature - 20.0
    return from_20 * (_FALL[glycol].at(mass_percent) + _BEND.at(mass_percent) * (temperature - 30.0))


def mass_percent_of_index(index: float, glycol: str, temperature: float = 20.0) -> float:
    """The mixture, mass %, that has an index at a temperature in degC. Raises BeyondScale."""
    top = top_mass_percent(glycol)
    lowest = refractive_index(0.0, glycol, temperature)
    if index < lowest - 5e-5:
        raise BeyondScale(f"an index of {index:.4f} lies under that of water ({lowest:.4f}): set the zero first")
    wanted = max(index, lowest)
    guess = (wanted - lowest) / _RISE
    if guess > _SURELY_INSIDE:
        highest = refractive_index(top, glycol, temperature)
        if not index <= highest:
            raise BeyondScale(f"an index of {index:.4f} is {BEYOND} (60 vol % has {highest:.4f})")
    table = _AT_20[glycol] if temperature == 20.0 else _INDEX[glycol][1]
    if temperature in (20.0, _INDEX[glycol][0]):
        return table.where(min(max(wanted, table.y[0]), table.y[-1]))
    return where_rising(lambda m: refractive_index(m, glycol, temperature), wanted, 0.0, top, guess, _RISE, 1e-9)


def index_at_20(seen: float, glycol: str, temperature: float, share: float = 1.0) -> float:
    """The index at 20 degC of a sample that shows `seen` at `temperature`, degC, its fall being `share` of the table's.

    The fall depends on the mixture, and the mixture on the index at 20 degC: solved in one. What lies beyond an end
    of the scale falls as the mixture there does.
    """
    warm = _warm(glycol, temperature, share)
    mass = warm.where(min(max(seen, warm.y[0]), warm.y[-1]))
    return seen + share * fall(mass, glycol, temperature)


@lru_cache(maxsize=64)
def _warm(glycol: str, temperature: float, share: float) -> Curve:
    """The index by mass % at a temperature; kept, since a workshop's samples are of few temperatures."""
    return _AT_20[glycol].plus(_FALL[glycol].plus(_BEND, temperature - 30.0), -share * (temperature - 20.0))


def brix(index: float) -> float:
    """Degrees Brix, 0 to 50, of an index at 20 degC. Raises Impossible outside."""
    if not WATER_INDEX - 5e-5 <= index <= _BRIX.y[-1]:
        raise Impossible(f"an index of {index:.4f} is off the Brix scale (0 to 50 is 1.3330 to 1.4201)")
    return _BRIX.where(max(index, _BRIX.y[0]))


def index_of_brix(degrees: float) -> float:
    """Index at 20 degC of -5 to 50 degrees Brix (under 0: a zero that stands too low). Raises Impossible."""
    if not -5.0 <= degrees <= 50.0:
        raise Impossible(f"{degrees:g} Brix is off the scale: it must lie between -5 and 50")
    return _BRIX.at(degrees)


def index_of_acid_scale(gravity: float) -> float:
    """Index at which a refractometer's battery-acid scale shows a relative density of 1.0 to 1.41."""
    if not 1.0 <= gravity <= 1.41:
        raise Impossible(f"{gravity:g} is no reading of an acid scale: it must lie between 1.00 and 1.41")
    return _ACID.at(gravity)
