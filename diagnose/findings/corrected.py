"""A mixture read on a refractometer or hydrometer, corrected for how it was taken; fluid/ does the physics."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf, isinf

from diagnose.findings.circumstances import Circumstances, Shown, on_instrument
from diagnose.findings.model import Interval
from diagnose.findings.reading import NotUsable, Number
from diagnose.fluid.freezing import TOP_OF_SCALE, BeyondScale
from diagnose.fluid.hydrometer import CANT_READ_PROPYLENE, read_hydrometer
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, exactly
from diagnose.fluid.refraction import WATER_INDEX
from diagnose.fluid.refractometer import OnScale, index_on_scale, read_refractometer
from diagnose.rulebook.model import Method

ROOM = 20.0
"""degC: where nothing is said of the sample it is taken to be as warm as the scales are made for."""
NOTHING_TOLD = Circumstances(None, None, None, "", "")
_CHECK = "check the value and how it was taken"


@dataclass(frozen=True, slots=True)
class OneGlycol:
    """The mixture in vol % if the coolant holds this glycol: `value` as corrected, `doubt` with what the
    correction leaves open. Infinite where it lies beyond the scale.
    """

    glycol: str
    value: Interval
    doubt: Interval


def needs_correction(method: Method | None, unit: str, told: Circumstances | None, glycols: tuple[str, ...]) -> bool:
    """Whether a reading in `unit` has to be corrected: not where the scale that was read is the coolant's own."""
    if method is None or not method.instrument:
        return False
    if told is None or unit == "SG":
        return unit == "SG"
    other_scale = told.scale != "" and (told.scale,) != glycols
    return told.sample is not None or told.zero is not None or other_scale


def correct(
    number: Number, unit: str, method: Method, told: Circumstances, glycols: tuple[str, ...]
) -> tuple[OneGlycol, ...]:
    """The mixture behind a reading, for each glycol that the instrument can read. Raises NotUsable.

    Where nobody knows whether a refractometer compensates, both answers are held together.
    """
    ways = (True,) if told.sample is None else (True, False) if told.compensated is None else (told.compensated,)
    reads = _hydrometer if method.instrument == "hydrometer" else _refractometer
    found = []
    for glycol in ("ethylene",) if method.instrument == "hydrometer" else glycols:
        ends: list[tuple[Measure, bool]] = []
        for value, is_in in _ends(number):
            if isinf(value):
                thick = (value > 0) != (unit in ("degC", "degF", "K"))  # the colder it stays liquid, the stronger it is
                ends.append((exactly(inf if thick else 0.0, "vol %"), is_in))
            else:
                shown = on_instrument(value, unit)
                ends += [(reads(shown, method, told, way, glycol), is_in) for way in ways]
        found.append(_joined(glycol, ends))
    return tuple(found)


def refuse_propylene(method: Method | None, glycols: tuple[str, ...]) -> None:
    """Raise NotUsable where a hydrometer was used on a coolant that is known to hold propylene glycol."""
    if method is not None and method.instrument == "hydrometer" and glycols == ("propylene",):
        hint = "read a refractometer on its propylene scale, and write 'not done' here"
        raise NotUsable("not-readable", CANT_READ_PROPYLENE, hint)


def _ends(number: Number) -> Iterator[tuple[float, bool]]:
    yield number.interval.low, number.interval.low_in
    yield number.interval.high, number.interval.high_in


def _joined(glycol: str, ends: list[tuple[Measure, bool]]) -> OneGlycol:
    least, low_in = min(ends, key=lambda end: (end[0].low, not end[1]))
    most, high_in = max(ends, key=lambda end: (end[0].high, end[1]))
    values = [measure.value for measure, _ in ends]
    value = Interval(min(values), max(values), low_in, high_in)
    return OneGlycol(glycol, value, Interval(least.low, most.high, low_in, high_in))


def _refractometer(shown: Shown, method: Method, told: Circumstances, compensated: bool, glycol: str) -> Measure:
    scale = told.scale or glycol
    index, water = _index(shown, scale), _index(told.zero, scale) if told.zero is not None else None
    # a reading a little under water's is water, as far as the instrument's own doubt goes
    for push in (0.0, method.plus_minus * _each_percent(0.0, "ethylene")):
        try:
            found = read_refractometer(
                OnScale(index + push, "nD", _of_scale(scale)),
                ROOM if told.sample is None else told.sample,
                compensated,
                OnScale(water, "nD", _of_scale(scale)) if water is not None else None,
                plus_minus=0.0,
                glycol=glycol,
            ).of(glycol)
        except BeyondScale:
            continue
        except Impossible as error:
            raise NotUsable("impossible-value", str(error), _CHECK) from None
        else:
            return _kept(found.mixture) if not push else exactly(0.0, "vol %")
    says = f"{shown.value:g} {shown.unit.removeprefix('vol ')}{told.said} lies under plain water"
    raise NotUsable("impossible-value", says, "set the zero on deionised water and read again")


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


def _each_percent(at: float, scale: str) -> float:
    """How much the index grows with one vol %, at an end of the scale."""
    low = 0.0 if at < TOP_OF_SCALE / 2 else TOP_OF_SCALE - 1.0
    ends = [index_on_scale(OnScale(value, "vol %", scale)) for value in (low, low + 1.0)]
    return ends[1] - ends[0]


def _of_scale(scale: str) -> str:
    """The glycol an instrument's coolant scale is made for; the usual one where the acid scale was read."""
    return "ethylene" if scale == "acid" else scale


def _hydrometer(shown: Shown, method: Method, told: Circumstances, compensated: bool, glycol: str) -> Measure:
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
