"""What a value on a refractometer or a hydrometer means, whatever its scale, zero and temperature: fluid/ knows."""

from __future__ import annotations

from functools import cache
from math import inf, isinf
from typing import NamedTuple

from diagnose.findings.circumstances import NOTHING_TOLD, Circumstances, Shown
from diagnose.findings.reading import NotUsable
from diagnose.fluid.composition import top_mass_percent, volume_percent
from diagnose.fluid.freezing import TOP_OF_SCALE, BeyondScale
from diagnose.fluid.hydrometer import read_hydrometer
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, exactly
from diagnose.fluid.refraction import WATER_INDEX, mass_percent_of_index, refractive_index
from diagnose.fluid.refractometer import OnScale, index_on_scale, mixture_read

ROOM = 20.0
"""degC: where nothing is said of the sample it is taken to be as warm as the scales are made for."""
_CHECK = "check the value and how it was taken"


class OneReading(NamedTuple):
    """One value on one instrument. `wide` is its resolution in vol % of the scale, counted on either side;
    `slack` how far under water's a reading may lie and still be water.
    """

    shown: Shown
    wide: float
    slack: float
    told: Circumstances
    compensated: bool
    glycol: str


def by_refractometer(read: OneReading) -> Measure:
    """The mixture in vol %, with its doubt; infinite beyond the scale. Raises NotUsable."""
    scale = read.told.scale or read.glycol
    index = _index(read.shown, scale)
    found = _through_prism(index, read)
    if not read.wide or isinf(found.value):
        return found
    on_scale = _percent(index, _of_scale(scale))
    here = _index(Shown(on_scale, "vol %"), _of_scale(scale))
    low, high = (_index(Shown(on_scale + off, "vol %"), _of_scale(scale)) - here for off in (-read.wide, read.wide))
    return Measure(found.value, _through_prism(index + low, read).low, _through_prism(index + high, read).high, "vol %")


def _through_prism(index: float, read: OneReading) -> Measure:
    told, scale = read.told, read.told.scale or read.glycol
    water = _index(told.zero, scale) if told.zero is not None else None
    # a reading a little under water's is water, as far as the instrument's own doubt goes
    for push in (0.0, (read.wide + read.slack) * _each_percent(0.0, "ethylene")):
        try:
            found = mixture_read(
                OnScale(index + push, "nD", _of_scale(scale)),
                ROOM if told.sample is None else told.sample,
                read.compensated,
                OnScale(water, "nD", _of_scale(scale)) if water is not None else None,
                read.glycol,
            )
        except BeyondScale:
            continue
        except Impossible as error:
            raise NotUsable("impossible-value", str(error), _CHECK) from None
        else:
            return _kept(found) if not push else exactly(0.0, "vol %")
    says = f"{read.shown.value:g} {read.shown.unit.removeprefix('vol ')}{told.said} lies under plain water"
    raise NotUsable("impossible-value", says, "set the zero on deionised water and read again")


def _percent(index: float, scale: str) -> float:
    """Where on a percent scale an index lies, 0 to 60 vol %."""
    low, high = (refractive_index(mass, scale) for mass in (0.0, top_mass_percent(scale)))
    return volume_percent(mass_percent_of_index(min(max(index, low), high), scale), scale)


def _index(shown: Shown, scale: str) -> float:
    """The index a scale stands for; percent beyond either end goes on as steeply as at the end. Raises NotUsable."""
    if (shown.unit == "SG") != (scale == "acid"):
        says = "a refractometer shows a relative density on its battery-acid scale only, and nothing else there"
        raise NotUsable("wrong-unit", says, "write 'scale: acid' and a value such as 1.25 SG, or the scale you read")
    beyond = 0.0
    if shown.unit == "vol %":
        inside = min(max(shown.value, 0.0), TOP_OF_SCALE)
        beyond = (shown.value - inside) * _each_percent(inside, scale)
        shown = Shown(inside, "vol %")
    elif shown.unit == "degC" and shown.value > 0.0:
        return 2 * WATER_INDEX - _index(Shown(-shown.value, "degC"), scale)
    try:
        return index_on_scale(OnScale(shown.value, shown.unit, _of_scale(scale))) + beyond
    except BeyondScale:
        return 1.44  # more than undiluted glycol has
    except Impossible as error:
        raise NotUsable("impossible-value", str(error), _CHECK) from None


@cache
def _each_percent(at: float, scale: str) -> float:
    """How much the index grows with one vol %, at an end of the scale."""
    low = 0.0 if at < TOP_OF_SCALE / 2 else TOP_OF_SCALE - 1.0
    ends = [index_on_scale(OnScale(value, "vol %", scale)) for value in (low, low + 1.0)]
    return ends[1] - ends[0]


def _of_scale(scale: str) -> str:
    """The glycol an instrument's coolant scale is made for; the usual one where the acid scale was read."""
    return "ethylene" if scale == "acid" else scale


def by_hydrometer(read: OneReading) -> Measure:
    """The mixture in vol % of ethylene glycol, with its doubt; infinite beyond the scale. Raises NotUsable."""
    found = _on_float(read.shown, read.told)
    if not read.wide or isinf(found.value):
        return found
    on_scale = _on_float(read.shown, NOTHING_TOLD).value
    ends = [min(max(on_scale + off, 0.0), TOP_OF_SCALE) for off in (-read.wide, read.wide)]
    low, high = (_on_float(Shown(end, "vol %"), read.told) for end in ends)
    most = max(high.high, found.high + read.wide) if ends[1] == TOP_OF_SCALE else high.high
    return Measure(found.value, max(0.0, low.low - (found.value - found.low)), most, "vol %")


def _on_float(shown: Shown, told: Circumstances) -> Measure:
    sample = ROOM if told.sample is None else told.sample
    try:
        return _kept(read_hydrometer(shown.value, shown.unit, sample, plus_minus=0.0).mixture)
    except BeyondScale:
        water = shown.unit == "SG" and shown.value < 1.0
        return exactly(0.0 if water else inf, "vol %")
    except Impossible as error:
        raise NotUsable("impossible-value", str(error), _CHECK) from None


def _kept(mixture: Measure | None) -> Measure:
    """The mixture, its upper doubt as wide as the lower one where the scale cut it off."""
    if mixture is None:
        return exactly(inf, "vol %")
    if mixture.high < TOP_OF_SCALE:
        return mixture
    return Measure(mixture.value, mixture.low, 2 * mixture.value - mixture.low, "vol %")
