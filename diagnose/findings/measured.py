"""A number as written to an interval in the quantity's unit: units, protection temperatures, resolution."""

from __future__ import annotations

from collections.abc import Callable
from math import inf, isinf
from typing import NamedTuple

from diagnose.findings.model import Interval
from diagnose.findings.reading import Form, NotUsable, Number, WhichUnit
from diagnose.findings.words import listed
from diagnose.fluid.composition import volume_percent as volume_percent_of_mass
from diagnose.fluid.freezing import GLYCOLS, TOP_OF_SCALE, BeyondScale, volume_percent
from diagnose.fluid.refraction import WATER_INDEX, index_of_brix, mass_percent_of_index
from diagnose.fluid.units import convert, find_unit, kind, unit_names
from diagnose.rulebook.model import Quantity, ReadAs
from diagnose.yamlfile import short

COLDEST = -70.0
"""degC; published freezing minima of glycol and water scatter between -50 and -68."""

_DIGITS = 9
"""Decimals kept, so that 0.3 - 0.1 is 0.2 and does not reach over an edge."""

_DEGREES = ("degrees", "degree", "deg", "\u00b0")
_HARDNESS_UNITS = ("gpg", "degdH", "degfH", "degClark", "mmol/L")


class Measured(NamedTuple):
    """`interval` has the resolution in it, `plain` has not; both in the quantity's unit.

    `through` names the fluid property that was read instead ('' where none was).
    """

    interval: Interval
    plain: Interval
    form: Form
    unit: str
    through: str


def measure(number: Number, quantity: Quantity, plus_minus: float, glycols: tuple[str, ...] = GLYCOLS) -> Measured:
    """The interval a written number stands for. Raises NotUsable.

    A point is widened once by `plus_minus` (in the quantity's unit), an interval never. A property of
    the mixture is read for each of `glycols`, and what they give is held together.
    """
    unit, other = written_unit(number, quantity)
    form, through = number.form, ""
    if other is None:
        plain = _each_end(number.interval, lambda value: convert(value, unit, quantity.unit))
        refuse_impossible(plain, quantity)
        plain = _figure_below(plain, quantity)
    else:
        through = other.through
        read = _each_end(number.interval, lambda value: convert(value, unit, other.unit))
        plain, form = _through(read, form, through, glycols)
    return Measured(widened(plain, plus_minus if form == "point" else 0.0, quantity), plain, form, unit, through)


def widened(plain: Interval, by: float, quantity: Quantity) -> Interval:
    """The interval with the resolution on either side, kept within what is possible."""
    low, low_in = _end(plain.low - by, plain.low_in, quantity.possible[0], max)
    high, high_in = _end(plain.high + by, plain.high_in, quantity.possible[1], min)
    return Interval(low, high, low_in, high_in)


def rounded(value: float) -> float:
    return value if isinf(value) else round(value, _DIGITS) + 0.0


def written_unit(number: Number, quantity: Quantity) -> tuple[str, ReadAs | None]:
    """The canonical unit, and how to read it where it is of another kind than the quantity's. Raises NotUsable."""
    if not number.unit:
        _refuse_bare(number, quantity)
        return quantity.unit, None
    unit = find_unit(number.unit)
    if unit is None:
        _refuse_degrees(number, quantity)
        raise NotUsable("unknown-unit", f"no unit is called '{short(number.unit)}'", _fitting(quantity))
    if kind(unit) == kind(quantity.unit) and not (unit in _HARDNESS_UNITS and not _is_hardness(quantity)):
        return unit, None
    for other in quantity.read_as:
        if kind(other.unit) == kind(unit) and other.through in _THROUGH:
            return unit, other
    says = f"'{unit}' is not a unit of {quantity.label}"
    raise NotUsable("wrong-unit", says, _fitting(quantity))


def _refuse_bare(number: Number, quantity: Quantity) -> None:
    """Raise WhichUnit where the book names several units as usual and they make a difference (0 bar is 0 psi).

    A unit of another kind counts where the number can be one at all: 44 is a share, 20 may be degrees of frost.
    """
    low, high = number.interval.low, number.interval.high
    ends = [end for end in (low, high) if not isinf(end)]
    alike = tuple(unit for unit in quantity.told_in if kind(unit) == kind(quantity.unit))
    others = tuple(unit for unit in quantity.told_in if unit not in alike and _can_be(number, unit, quantity))
    values = {tuple(convert(end, unit, quantity.unit) for end in ends) for unit in alike}
    if len(values) > 1 or others:
        shown = _figures(number)
        able = (*(unit for unit in alike if _can_be(number, unit, quantity)), *others) if others else alike
        raise WhichUnit(shown, able, f"'{shown}' has no unit, and {quantity.label} is told in several")


def _can_be(number: Number, unit: str, quantity: Quantity) -> bool:
    try:
        measure(number._replace(unit=unit), quantity, 0.0)
    except NotUsable:
        return False
    return True


def _refuse_degrees(number: Number, quantity: Quantity) -> None:
    """Raise WhichUnit where 'degrees' may be of several kinds: of frost, or of hardness."""
    if number.unit.rstrip(".").casefold() not in _DEGREES:
        return
    units = quantity.told_in or tuple(other.unit for other in quantity.read_as)
    kinds = {kind(unit) for unit in (quantity.unit, *units)}
    may_be = tuple(unit for unit in unit_names() if unit.startswith("deg") and kind(unit) in kinds)
    if may_be:
        shown = _figures(number)
        raise WhichUnit(shown, may_be, f"'{shown} degrees' is said of several scales")


def _figures(number: Number) -> str:
    """The number as it was written, without a unit."""
    low, high = number.interval.low, number.interval.high
    if number.form == "between":
        return f"{low:g}..{high:g}"
    sign = "" if number.form == "point" else ("<" if isinf(low) else ">")
    edge = number.form == "one_sided" and (number.interval.low_in or number.interval.high_in)
    return f"{sign}{'=' if edge else ''}{' ' if sign else ''}{high if isinf(low) else low:g}"


def _is_hardness(quantity: Quantity) -> bool:
    """Grains and degrees count lime; only a hardness may be told in them."""
    return "hardness" in quantity.id or "hardness" in quantity.label


def _fitting(quantity: Quantity) -> str:
    kinds = {kind(unit) for unit in (quantity.unit, *(other.unit for other in quantity.read_as))}
    fit = [unit for unit in unit_names() if kind(unit) in kinds and (unit != "K" or quantity.unit == "K")]
    if not _is_hardness(quantity):
        fit = [unit for unit in fit if unit not in _HARDNESS_UNITS]
    if quantity.unit == "1":
        return f"{quantity.label} is a plain number without a unit"
    return f"{quantity.label} is told in {listed(fit)}"


def _each_end(interval: Interval, change: Callable[[float], float]) -> Interval:
    low = interval.low if isinf(interval.low) else rounded(change(interval.low))
    high = interval.high if isinf(interval.high) else rounded(change(interval.high))
    return Interval(low, high, interval.low_in, interval.high_in)


def refuse_impossible(plain: Interval, quantity: Quantity) -> None:
    """Raise NotUsable where an end lies outside what is possible; `plain` is in the quantity's unit."""
    low, high = quantity.possible
    for end in (plain.low, plain.high):
        if not isinf(end) and not low <= end <= high:
            raise _impossible(f"{end:g}", quantity)
    if (plain.low == -inf and plain.high == low and not plain.high_in) or (plain.high == inf and plain.low == high):
        raise _impossible("that", quantity)


def _figure_below(plain: Interval, quantity: Quantity) -> Interval:
    """'Below 0.1 V' on a meter that shows both signs speaks of the figure: between 0 and 0.1."""
    if plain.low == -inf and plain.high > 0 and quantity.possible[0] == -quantity.possible[1]:
        return Interval(0.0, plain.high, True, plain.high_in)
    return plain


def _impossible(what: str, quantity: Quantity) -> NotUsable:
    unit = "" if quantity.unit in ("1", "pH") else f" {quantity.unit}"
    says = f"{what}{unit} is not possible for {quantity.label}: it lies between {quantity.possible[0]:g} and "
    return NotUsable(
        "impossible-value", f"{says}{quantity.possible[1]:g}{unit}", "check the decimal point and the unit"
    )


def _end(value: float, is_in: bool, edge: float, inner: Callable[[float, float], float]) -> tuple[float, bool]:
    """An end kept within what is possible; the edge of the possible itself belongs to it."""
    value = rounded(value)
    kept = inner(value, edge)
    return kept, is_in if kept == value else True


def _through(read: Interval, form: Form, through: str, glycols: tuple[str, ...]) -> tuple[Interval, Form]:
    """The mixture in vol % that has the property read; beyond the scale is everything above 60 vol %."""
    ends = []
    for glycol in glycols:
        for end, is_in in ((read.low, read.low_in), (read.high, read.high_in)):
            ends.append((rounded(_THROUGH[through](end, glycol)), is_in))
    (low, low_in), (high, high_in) = min(ends, key=lambda end: end[0]), max(ends, key=lambda end: end[0])
    if isinf(low):
        return Interval(TOP_OF_SCALE, high, False, False), "one_sided"
    return Interval(low, high, low_in, high_in), "one_sided" if isinf(high) else form


def _from_freezing(temperature: float, glycol: str) -> float:
    """vol % that freezes at `temperature` degC; infinite beyond the scale."""
    if temperature == inf:
        return 0.0
    refuse_protection(temperature)
    try:
        return volume_percent(temperature, glycol)
    except BeyondScale:
        return inf


def refuse_protection(temperature: float) -> None:
    """Raise NotUsable where no coolant freezes at `temperature`, degC."""
    if temperature > 0.0:
        says = f"no coolant freezes at {temperature:g} degC: water itself freezes at 0 degC"
        raise NotUsable("impossible-value", says, "check the sign and the unit")
    if -inf < temperature < COLDEST:
        says = f"no coolant protects to {temperature:g} degC"
        raise NotUsable("impossible-value", says, "check the decimal point and the unit")


def _from_brix(degrees: float, glycol: str) -> float:
    """vol % that shows `degrees` Brix at 20 degC; infinite beyond the scale."""
    if isinf(degrees):
        return inf if degrees > 0 else 0.0
    try:
        return _from_index(index_of_brix(degrees), glycol)
    except ValueError as error:
        raise NotUsable("impossible-value", str(error), "check the decimal point and the unit") from None


def _from_index(index: float, glycol: str) -> float:
    """vol % that has a refractive index at 20 degC; infinite beyond the scale."""
    if isinf(index):
        return inf if index > 0 else 0.0
    if not _INDEX[0] <= index <= _INDEX[1]:
        says = f"no coolant has a refractive index of {index:g}: it lies between {_INDEX[0]:g} and {_INDEX[1]:g}"
        raise NotUsable("impossible-value", says, "check the decimal point")
    try:
        return volume_percent_of_mass(mass_percent_of_index(max(index, WATER_INDEX), glycol), glycol)
    except BeyondScale:
        return inf


def _from_density(relative: float, glycol: str) -> float:
    """Only a hydrometer, or a refractometer's battery-acid scale, shows one: findings.corrected reads those."""
    raise NotUsable("wrong-unit", f"this instrument shows no relative density such as {relative:g}", "name the method")


_INDEX = (1.33, 1.44)
"""From a prism set a little low in water to undiluted glycol (CRC: 1.4318)."""

_THROUGH: dict[str, Callable[[float, str], float]] = {
    "freezing_point": _from_freezing,
    "brix": _from_brix,
    "refractive_index": _from_index,
    "relative_density": _from_density,
}
