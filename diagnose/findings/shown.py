"""Readings, computed values and limits as a technician would write them."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil, isinf, log10

from diagnose.findings.bands import edges_for
from diagnose.findings.corrected import OneGlycol
from diagnose.findings.measured import Measured
from diagnose.findings.model import Interval
from diagnose.findings.reading import Form, Number
from diagnose.findings.words import listed
from diagnose.fluid.units import find_unit
from diagnose.rulebook.model import Edges, Quantity

_THROUGH_WORD = {"freezing_point": " protection"}


def show_words(bands: Iterable[str], last_with: str = "or") -> str:
    return listed([shown_band(band) for band in bands], last_with)


def shown_band(band: str) -> str:
    """A band's id as people write it."""
    return band.replace("_", " ")


def show_number(number: Number, measured: Measured, quantity: Quantity, plus_minus: float) -> str:
    """'between 9 and 11', '44 %', '300 mV = 0.3 V', '-29 degC protection = 44 %'."""
    written = _as_written(number, find_unit(number.unit) or quantity.unit, _THROUGH_WORD.get(measured.through, ""))
    if not measured.through and _unit(measured.unit) == _unit(quantity.unit):
        return written
    converted = measured.plain
    digits = _digits(plus_minus)
    low, high = _figure(converted.low, digits), _figure(converted.high, digits)
    if isinf(converted.low) or isinf(converted.high) or (measured.form == "one_sided"):
        return f"{written} = {_one_sided(converted, quantity, digits)}"
    between = low if low == high else f"{low} to {high}"
    return f"{written} = {between}{_unit(quantity.unit)}"


def show_written(number: Number, unit: str) -> str:
    """A number as it stood on the instrument."""
    if number.form == "between":
        return f"{_plain(number.interval.low)} to {_plain(number.interval.high)}{_unit(unit)}"
    return _as_written(number, unit, "")


def show_corrected(
    each: Iterable[OneGlycol], form: Form, quantity: Quantity, plus_minus: float, glycols: tuple[str, ...]
) -> str:
    """'47 %', or '41 % if ethylene glycol, 38 % if propylene glycol' where nobody knows which it is."""
    digits = _digits(plus_minus)
    said = [(one.glycol, _corrected_value(one.value, form, quantity, digits)) for one in each]
    if len(glycols) == 1 or (len(said) > 1 and len({value for _, value in said}) == 1):
        return said[0][1]
    return ", ".join(f"{value} if {glycol} glycol" for glycol, value in said)


def _corrected_value(value: Interval, form: Form, quantity: Quantity, digits: int | None) -> str:
    if isinf(value.low):
        return "beyond the scale"
    if form == "one_sided" or isinf(value.high):
        return _one_sided(value, quantity, digits)
    low, high = _figure(value.low, digits), _figure(value.high, digits)
    return f"{low if low == high else f'{low} to {high}'}{_unit(quantity.unit)}"


def show_computed(interval: Interval, quantity: Quantity) -> str:
    """A computed value by its middle, with the interval where it has one."""
    unit, width = _unit(quantity.unit), interval.high - interval.low
    if width <= 0:
        return f"{_figure(interval.low, None)}{unit}"
    digits = max(0, ceil(-log10(width / 5)))
    low, middle, high = (f"{v:.{digits}f}" for v in (interval.low, (interval.low + interval.high) / 2, interval.high))
    return f"{middle}{unit} (between {low} and {high})" if low != high else f"{middle}{unit}"


def show_limits(quantity: Quantity, families: Iterable[str]) -> str:
    """The normal band in words, for the families that may be in the car; '' where nothing is outside it."""
    band = quantity.band(quantity.normal)
    if band is None or len(quantity.bands) < 2:
        return ""
    if quantity.in_words:
        return shown_band(band.id)
    ranges: dict[str, None] = {}
    for name in families:
        edges = edges_for(band, name)
        if edges is not None:
            ranges[show_range(edges, quantity)] = None
    told = [shown for shown in ranges if shown]
    return f"{' or '.join(told)}, by family" if len(told) > 1 else "".join(told)


def show_range(edges: Edges, quantity: Quantity) -> str:
    """'up to 0.1 V', '40 to 60 %', '50 mg/L or more'; '' where every value lies in it."""
    unit = _unit(quantity.unit)
    low_open, high_open = edges.low <= quantity.possible[0], edges.high >= quantity.possible[1]
    if low_open and high_open:
        return ""
    if low_open:
        return f"{'up to' if edges.high_in else 'below'} {_plain(edges.high)}{unit}"
    if high_open:
        return f"{_plain(edges.low)}{unit} or more" if edges.low_in else f"above {_plain(edges.low)}{unit}"
    return f"{_plain(edges.low)} to {_plain(edges.high)}{unit}"


def _as_written(number: Number, unit: str, what: str) -> str:
    low, high = number.interval.low, number.interval.high
    if number.form == "point":
        return f"{_plain(low)}{_unit(unit)}{what}"
    if number.form == "between":
        return f"between {_plain(low)} and {_plain(high)}{_unit(unit)}{what}"
    if isinf(low):
        return f"{'up to' if number.interval.high_in else 'below'} {_plain(high)}{_unit(unit)}{what}"
    return f"{'at least' if number.interval.low_in else 'above'} {_plain(low)}{_unit(unit)}{what}"


def _one_sided(interval: Interval, quantity: Quantity, digits: int | None) -> str:
    unit = _unit(quantity.unit)
    if isinf(interval.low) or interval.low <= quantity.possible[0]:
        return f"{'up to' if interval.high_in else 'below'} {_figure(interval.high, digits)}{unit}"
    return f"{'at least' if interval.low_in else 'above'} {_figure(interval.low, digits)}{unit}"


def _digits(plus_minus: float) -> int | None:
    """Decimals worth showing of a converted value; None where the resolution is not known."""
    return max(0, ceil(-log10(plus_minus))) if plus_minus > 0 else None


def _figure(value: float, digits: int | None) -> str:
    """Without decimals that say nothing, and never with an exponent."""
    if digits is None:
        digits = 0 if abs(value) >= 100 else 3
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _plain(value: float) -> str:
    """A number as people write it; ten figures are more than any instrument shows."""
    return f"{value:.10g}"


def _unit(unit: str) -> str:
    if unit in ("", "1", "pH"):
        return ""
    return " %" if unit == "vol %" else f" {unit}"
