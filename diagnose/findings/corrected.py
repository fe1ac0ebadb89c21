"""A mixture read on a refractometer or hydrometer, corrected for how it was taken; fluid/ does the physics."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf, isinf
from typing import NamedTuple

from diagnose.findings.circumstances import Circumstances, on_instrument
from diagnose.findings.instruments import OneReading, by_hydrometer, by_refractometer
from diagnose.findings.model import Interval
from diagnose.findings.reading import NotUsable, Number
from diagnose.fluid.hydrometer import CANT_READ_PROPYLENE
from diagnose.fluid.measure import Measure, exactly
from diagnose.rulebook.model import Method


class OneGlycol(NamedTuple):
    """The mixture in vol % if the coolant holds this glycol: `value` as corrected, `doubt` with what the
    correction and, around a point, the instrument leave open. Infinite where it lies beyond the scale.
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
    reads = by_hydrometer if method.instrument == "hydrometer" else by_refractometer
    wide = method.plus_minus if number.form == "point" else 0.0
    found = []
    for glycol in ("ethylene",) if method.instrument == "hydrometer" else glycols:
        ends: list[tuple[Measure, bool]] = []
        for value, is_in in _ends(number):
            if isinf(value):
                thick = (value > 0) != (unit in ("degC", "degF", "K"))  # the colder it stays liquid, the stronger it is
                ends.append((exactly(inf if thick else 0.0, "vol %"), is_in))
            else:
                shown = on_instrument(value, unit)
                ends += [(reads(OneReading(shown, wide, method.plus_minus, told, way, glycol)), is_in) for way in ways]
        found.append(_joined(glycol, ends))
    return tuple(found)


def refuse_propylene(method: Method | None, glycols: tuple[str, ...]) -> None:
    """Raise NotUsable where a hydrometer was used on a coolant that is known to hold propylene glycol."""
    if method is not None and method.instrument == "hydrometer" and glycols == ("propylene",):
        hint = "read a refractometer on its propylene scale, and write 'not done' here"
        raise NotUsable("not-readable", CANT_READ_PROPYLENE, hint)


def _ends(number: Number) -> Iterator[tuple[float, bool]]:
    """Both ends of an interval; a point has one."""
    yield number.interval.low, number.interval.low_in
    if number.form != "point":
        yield number.interval.high, number.interval.high_in


def _joined(glycol: str, ends: list[tuple[Measure, bool]]) -> OneGlycol:
    least, low_in = min(ends, key=lambda end: (end[0].low, not end[1]))
    most, high_in = max(ends, key=lambda end: (end[0].high, end[1]))
    values = [measure.value for measure, _ in ends]
    value = Interval(min(values), max(values), low_in, high_in)
    return OneGlycol(glycol, value, Interval(least.low, most.high, low_in, high_in))
