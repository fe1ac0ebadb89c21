"""What a refractometer's reading really says.

An optical instrument sees nothing but the refractive index. Every correction goes through it:
the scale that was read (freezing point, vol %, Brix, index, battery acid), the zero that water
shows, the temperature of the sample, and the glycol that is really in it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from diagnose.fluid.composition import mass_percent, top_mass_percent, volume_percent
from diagnose.fluid.freezing import BEYOND, GLYCOLS, TOP_OF_SCALE, BeyondScale, freezing_point
from diagnose.fluid.freezing import volume_percent as volume_that_freezes_at
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, Step, Steps, exactly, figure, spanned
from diagnose.fluid.protection import REFRACTOMETER_PLUS_MINUS, freezing
from diagnose.fluid.refraction import (
    SLOPE_DOUBT,
    WATER_INDEX,
    brix,
    fall,
    index_at_20,
    index_of_acid_scale,
    index_of_brix,
    mass_percent_of_index,
    refractive_index,
)

COMPENSATED = (10.0, 30.0)
"""Where a compensated instrument corrects for temperature by itself, degC (common practice, no source)."""
ACID_DIVISION = 0.01
"""One division of a battery-acid scale (common practice, no source)."""
NEITHER = "ethylene and propylene glycol are mixed, and neither scale reads a mixture of the two (ASTM D3321)"


class OnScale(NamedTuple):
    """A value as read: `unit` is degC, vol %, Brix, nD or SG (battery acid); `scale` the glycol it is made for."""

    value: float
    unit: str
    scale: str = "ethylene"


class Refracted(NamedTuple):
    """What the sample is if its glycol is `glycol`: mixture in vol %, freezing point in degC.

    Both are None where it would be beyond the scale; `beyond` then says so.
    """

    glycol: str
    mixture: Measure | None
    freezing: Measure | None
    beyond: str


@dataclass(frozen=True, slots=True)
class RefractometerReading:
    """`index` is the sample's own at 20 degC; `as_ethylene` and `as_propylene` what that would mean."""

    shown: OnScale
    temperature: float
    index: Measure
    brix: float | None
    as_ethylene: Refracted
    as_propylene: Refracted
    steps: tuple[Step, ...]

    def of(self, glycol: str) -> Refracted:
        return self.as_ethylene if glycol == "ethylene" else self.as_propylene


def read_refractometer(
    shown: OnScale,
    temperature: float = 20.0,
    compensated: bool = True,
    water_shows: OnScale | None = None,
    plus_minus: float = REFRACTOMETER_PLUS_MINUS,
    glycol: str = "",
) -> RefractometerReading:
    """The sample behind a reading taken at `temperature` (degC), for either glycol.

    `water_shows` is what deionised water showed on the same instrument at the same temperature;
    `plus_minus` is the instrument's doubt in kelvin of freezing point. Naming the `glycol` only
    refuses what can't be read: a mixture of both. Raises BeyondScale, Impossible.
    """
    if glycol == "mixed":
        raise Impossible(NEITHER)
    found = _find(shown, temperature, compensated, water_shows, plus_minus)
    steps = Steps()
    steps.add("index the scale stands for", f"by table from {_said(shown)}", found.shown)
    seen = found.seen
    if found.zero is not None:
        steps.add(
            "zero error, from water", f"{figure(found.zero[0], 5)} - {figure(found.zero[1], 5)}", found.error, "nD"
        )
        said = f"{figure(found.shown.value, 5)} - ({figure(found.error, 6)})"
        steps.add("index without the zero error", said, seen)
    asked = glycol or shown.scale
    index = found.at_20[asked]
    if found.edge:
        each = (index.value - seen.value) / found.edge
        said = f"{figure(seen.value, 5)} + {each * 1e4:.2f}e-4 x {figure(found.edge)} K"
        steps.add("index at 20 degC", said, index)
    results = {name: _as_if(name, found.at_20[name], steps, told=name == asked) for name in GLYCOLS}
    degrees = brix(index.value) if WATER_INDEX <= index.value <= 1.42 else None
    return RefractometerReading(
        shown, temperature, index, degrees, results["ethylene"], results["propylene"], steps.done()
    )


def mixture_read(
    shown: OnScale, temperature: float, compensated: bool, water_shows: OnScale | None, glycol: str
) -> Measure | None:
    """As read_refractometer(plus_minus=0), only the mixture if the sample holds `glycol`: without the written steps."""
    found = _find(shown, temperature, compensated, water_shows, 0.0)
    for name in GLYCOLS:
        _refuse_under_water(name, found.at_20[name])
    mixture = _mixture(glycol, found.at_20[glycol])
    return mixture[1] if mixture is not None else None


class _Found(NamedTuple):
    """`shown` is the index the scale stands for, `seen` that without the zero error: `zero` is the index that water
    showed and should have shown. `edge` is how much warmer the sample is than what the instrument takes care of.
    """

    shown: Measure
    zero: tuple[float, float] | None
    seen: Measure
    edge: float
    at_20: Mapping[str, Measure]

    @property
    def error(self) -> float:
        return self.zero[0] - self.zero[1] if self.zero is not None else 0.0


def _find(shown: OnScale, temperature: float, compensated: bool, water: OnScale | None, plus_minus: float) -> _Found:
    if not 0.0 <= temperature <= 50.0:
        raise Impossible(f"a sample at {temperature:g} degC can't be read: let it come to between 0 and 50 degC")
    index = seen = _seen(shown, plus_minus)
    edge = _uncorrected(temperature, compensated)
    zero = None
    if water is not None:
        zero = index_on_scale(water), WATER_INDEX - fall(0.0, water.scale, 20.0 + edge)
        error = zero[0] - zero[1]
        seen = Measure(index.value - error, index.low - error, index.high - error, "nD")
    return _Found(index, zero, seen, edge, {name: _at_20(seen, name, edge) for name in GLYCOLS})


def index_on_scale(reading: OnScale) -> float:
    """The index at 20 degC at which the instrument shows a value. Raises BeyondScale, Impossible."""
    if reading.unit == "SG":
        return index_of_acid_scale(reading.value)
    if reading.unit == "nD":
        if not 1.32 <= reading.value <= 1.44:
            raise Impossible(f"an index of {reading.value:g} is no coolant's: it must lie between 1.32 and 1.44")
        return reading.value
    if reading.unit == "Brix":
        return index_of_brix(reading.value)
    if reading.unit == "degC":
        volume = volume_that_freezes_at(reading.value, reading.scale)
    elif reading.unit == "vol %":
        volume = reading.value
    else:
        raise Impossible(f"a refractometer shows degC, vol %, Brix, an index or an acid's SG, not {reading.unit}")
    return refractive_index(mass_percent(volume, reading.scale), reading.scale)


def shown_on_scale(index: float, scale: str) -> float:
    """The freezing point, degC, that a scale shows for an index at 20 degC. Raises BeyondScale."""
    return freezing_point(volume_percent(mass_percent_of_index(index, scale), scale), scale)


def _seen(shown: OnScale, plus_minus: float) -> Measure:
    """The index the reading stands for, and the ends its doubt leaves open."""
    value = index_on_scale(shown)
    if not plus_minus:
        return exactly(value, "nD")
    if shown.unit == "SG":
        low, high = max(1.0, shown.value - ACID_DIVISION), min(1.41, shown.value + ACID_DIVISION)
        return Measure(value, index_of_acid_scale(low), index_of_acid_scale(high), "nD")
    kelvin = _kelvin_in_index(value, shown.scale)
    return Measure(value, value - plus_minus * kelvin, value + plus_minus * kelvin, "nD")


def _kelvin_in_index(index: float, scale: str) -> float:
    """How much the index changes with one kelvin of freezing point, where the scale changes least.

    The larger of the change to either side is taken, so that the interval is never too narrow.
    """
    top = refractive_index(top_mass_percent(scale), scale)
    inside = min(max(index, refractive_index(0.0, scale)), top)
    frozen = shown_on_scale(inside, scale)
    changes = []
    for other in (frozen + 1.0, frozen - 1.0):
        if shown_on_scale(top, scale) <= other <= 0.0:
            changes.append(abs(index_on_scale(OnScale(other, "degC", scale)) - inside))
    return max(changes)


def _uncorrected(temperature: float, compensated: bool) -> float:
    """Kelvin by which the sample is warmer than what the instrument takes care of."""
    if not compensated:
        return temperature - 20.0
    low, high = COMPENSATED
    return temperature - high if temperature > high else min(0.0, temperature - low)


def _at_20(seen: Measure, glycol: str, edge: float) -> Measure:
    """The index the sample would have at 20 degC if it held this glycol."""
    if edge == 0.0:
        return seen
    temperature = 20.0 + edge
    shares = (1 - SLOPE_DOUBT, 1 + SLOPE_DOUBT)
    ends = {index_at_20(index, glycol, temperature, share) for index in {seen.low, seen.high} for share in shares}
    return spanned(index_at_20(seen.value, glycol, temperature), tuple(ends), "nD")


def _mixture(glycol: str, index: Measure) -> tuple[Measure, Measure] | None:
    """By mass and by volume what an index at 20 degC means, ends beyond the scale cut off; None beyond it."""
    lowest, highest = _ends(glycol)
    if index.value > highest:
        return None
    _refuse_under_water(glycol, index)
    masses = [mass_percent_of_index(min(max(i, lowest), highest), glycol) for i in (index.value, index.low, index.high)]
    volumes = [volume_percent(mass, glycol) for mass in masses]
    return Measure(masses[0], masses[1], masses[2], "mass %"), Measure(volumes[0], volumes[1], volumes[2], "vol %")


def _refuse_under_water(glycol: str, index: Measure) -> None:
    if index.high < _ends(glycol)[0]:
        raise BeyondScale(f"an index of {index.value:.4f} lies under that of water: set the zero with deionised water")


@cache
def _ends(glycol: str) -> tuple[float, float]:
    """The index of water and of the strongest mixture on the scale."""
    return refractive_index(0.0, glycol), refractive_index(top_mass_percent(glycol), glycol)


def _as_if(glycol: str, index: Measure, steps: Steps, told: bool) -> Refracted:
    """What the index means for a glycol, with its steps."""
    found = _mixture(glycol, index)
    if found is None:
        return Refracted(glycol, None, None, f"as {glycol} glycol it is {BEYOND}")
    mass, mixture = found
    frozen = freezing(mixture, glycol)
    lead = "" if told else "were it "
    steps.add(f"{lead}{glycol} glycol: by mass", f"by table from index {figure(index.value, 5)}", mass)
    steps.add(f"{lead}{glycol} glycol: mixture", f"by table from {figure(mass.value)} mass %", mixture)
    steps.add(f"{lead}{glycol} glycol: freezing point", f"by table from {figure(mixture.value)} vol %", frozen)
    beyond = f"the upper end is {BEYOND}" if mixture.high >= TOP_OF_SCALE else ""
    return Refracted(glycol, mixture, frozen, beyond)


def _said(reading: OnScale) -> str:
    if reading.unit in ("nD", "Brix"):
        return f"{figure(reading.value, 5)} {reading.unit}"
    if reading.unit == "SG":
        return f"{figure(reading.value)} on the battery-acid scale"
    return f"{figure(reading.value)} {reading.unit} on the {reading.scale} scale"
