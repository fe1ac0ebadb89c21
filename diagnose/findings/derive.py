"""Computed quantities: a few fixed operators over what is known, each value an interval.

Interval arithmetic on intervals that already hold the instruments' resolution. Terms are taken
to vary independently, which is never too narrow.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from diagnose.findings.measured import rounded
from diagnose.findings.model import Interval
from diagnose.fluid.freezing import TOP_OF_SCALE, freezing_point
from diagnose.fluid.loss import balance
from diagnose.fluid.measure import Measure
from diagnose.fluid.units import convert, kind
from diagnose.rulebook.model import Amount, Quantity, Term

FAMILY_VALUE = "family."
"""What the name of a family's value begins with in a formula."""


class Extent(NamedTuple):
    """What a quantity may be, in `unit`; `one_sided` where its far end is only the edge of the possible."""

    interval: Interval
    unit: str
    one_sided: bool = False


class Terms(NamedTuple):
    """Where terms take their values from: `known` by name, the values of one family, and the glycols it may be."""

    known: Mapping[str, Extent]
    values: Mapping[str, Amount]
    glycols: tuple[str, ...]


def derive(quantity: Quantity, terms: Terms) -> Extent | None:
    """The value of a derived quantity for one family; None while a term is missing or there is no such value.

    `maximum` and `minimum` do with the terms that are known (one at least), `spread` with two.
    """
    formula = quantity.formula
    if formula is None:
        return None
    needed = FEWEST.get(formula.operator, len(formula.terms))
    if sum(_is_known(term, terms) for term in formula.terms) < needed:
        return None
    unit = _common_unit(formula.operator, quantity, formula.terms, terms)
    known = [extent for term in formula.terms if (extent := _term(term, unit, terms)) is not None]
    value = _OPERATORS[formula.operator]([extent.interval for extent in known], terms.glycols)
    if value is None:
        return None
    return _within(value, quantity, any(extent.one_sided for extent in known))


FEWEST = {"maximum": 1, "minimum": 1, "spread": 2}
"""Operators that do with fewer than all of their terms."""


def _is_known(term: Term, terms: Terms) -> bool:
    return all(
        name in terms.known or (name.startswith(FAMILY_VALUE) and name.removeprefix(FAMILY_VALUE) in terms.values)
        for name in (term.name, term.by)
        if name
    )


def _within(value: Interval, quantity: Quantity, one_sided: bool) -> Extent:
    low, high = (rounded(min(max(end, quantity.possible[0]), quantity.possible[1])) for end in (value.low, value.high))
    cut = value.high > quantity.possible[1] and low < high
    interval = Interval(low, high, value.low_in or low == high, value.high_in or low == high)
    return Extent(interval, quantity.unit, one_sided or cut)


def _common_unit(operator: str, quantity: Quantity, terms: tuple[Term, ...], known: Terms) -> str:
    """The unit in which all terms are put first: their own for a ratio, else the result's (degC for differences,
    so that a plain number among the terms is degrees Celsius too)."""
    if operator in ("freezing_point", "water_gained"):
        return "vol %"
    if operator == "ratio":
        units = [unit for term in terms if (unit := _unit_of(term, known))]
        return units[0] if units else ""
    if operator in ("difference", "margin", "spread") and kind(quantity.unit) == "temperature":
        return "degC"
    return quantity.unit


def _unit_of(term: Term, known: Terms) -> str:
    if term.name.startswith(FAMILY_VALUE):
        amount = known.values.get(term.name.removeprefix(FAMILY_VALUE))
        return amount.unit if amount is not None else ""
    extent = known.known.get(term.name)
    return extent.unit if extent is not None else ""


def _term(term: Term, unit: str, terms: Terms) -> Extent | None:
    extent = _named(term.name, terms) if term.name else Extent(Interval(term.number, term.number), "")
    if extent is None:
        return None
    extent = _in_unit(extent, unit)
    if term.by:
        by = _named(term.by, terms)
        if by is None:
            return None
        product = _corners(extent.interval, by.interval, lambda a, b: a * b)
        extent = Extent(product, extent.unit, extent.one_sided or by.one_sided)
    if term.over not in (0.0, 1.0):
        over = Interval(term.over, term.over)
        extent = Extent(_corners(extent.interval, over, lambda a, b: a / b), extent.unit, extent.one_sided)
    return extent


def _named(name: str, terms: Terms) -> Extent | None:
    if name.startswith(FAMILY_VALUE):
        amount = terms.values.get(name.removeprefix(FAMILY_VALUE))
        return None if amount is None else Extent(Interval(amount.value, amount.value), amount.unit)
    return terms.known.get(name)


def _in_unit(extent: Extent, unit: str) -> Extent:
    if unit in ("", extent.unit) or not extent.unit or kind(unit) != kind(extent.unit):
        return extent
    ends = extent.interval
    low, high = convert(ends.low, extent.unit, unit), convert(ends.high, extent.unit, unit)
    return Extent(Interval(low, high, ends.low_in, ends.high_in), unit, extent.one_sided)


def _corners(a: Interval, b: Interval, operate: Callable[[float, float], float]) -> Interval:
    """All that an operator can give that rises or falls steadily in both terms."""
    ends = [
        (operate(x, y), x_in and y_in)
        for x, x_in in ((a.low, a.low_in), (a.high, a.high_in))
        for y, y_in in ((b.low, b.low_in), (b.high, b.high_in))
    ]
    low = min(ends, key=lambda end: (end[0], not end[1]))
    high = max(ends)
    return Interval(low[0], high[0], low[1], high[1])


def _ratio(terms: list[Interval], _: tuple[str, ...]) -> Interval | None:
    """a / b; without a value where b is nothing, without an upper end where b may be nothing."""
    a, b = terms
    if b.low > 0:
        return _corners(a, b, lambda x, y: x / y)
    if b.high <= 0 or a.low < 0:
        return None
    return Interval(a.low / b.high, float("inf"), a.low_in and b.high_in, False)


def _difference(terms: list[Interval], _: tuple[str, ...]) -> Interval:
    return _corners(terms[0], terms[1], lambda x, y: x - y)


def _margin(terms: list[Interval], _: tuple[str, ...]) -> Interval:
    return _corners(terms[0], terms[1], lambda x, y: y - x)


def _maximum(terms: list[Interval], _: tuple[str, ...]) -> Interval:
    low = max(terms, key=lambda each: (each.low, not each.low_in))
    high = max(terms, key=lambda each: (each.high, each.high_in))
    return Interval(low.low, high.high, low.low_in, high.high_in)


def _minimum(terms: list[Interval], _: tuple[str, ...]) -> Interval:
    low = min(terms, key=lambda each: (each.low, not each.low_in))
    high = min(terms, key=lambda each: (each.high, each.high_in))
    return Interval(low.low, high.high, low.low_in, high.high_in)


def _spread(terms: list[Interval], none: tuple[str, ...]) -> Interval:
    """Largest minus smallest; nothing where all may be equal."""
    top, bottom = _maximum(terms, none), _minimum(terms, none)
    widest = Interval(top.high - bottom.low, top.high - bottom.low)
    least = max(0.0, top.low - bottom.high)
    return Interval(least, widest.high, least == 0.0 or (top.low_in and bottom.high_in), top.high_in and bottom.low_in)


def _freezing_point(terms: list[Interval], glycols: tuple[str, ...]) -> Interval | None:
    """degC of a mixture in vol %; without a value beyond 60 vol %, where the scale ends."""
    low, high = max(terms[0].low, 0.0), min(terms[0].high, TOP_OF_SCALE)
    if low > high or (low == high and terms[0].low < terms[0].high):
        return None
    coldest = min(freezing_point(high, glycol) for glycol in glycols)
    warmest = max(freezing_point(low, glycol) for glycol in glycols)
    return Interval(coldest, warmest, terms[0].high_in or high == TOP_OF_SCALE, terms[0].low_in)


def _water_gained(terms: list[Interval], _: tuple[str, ...]) -> Interval | None:
    """% of the system that got out and was made up with water; without a value where the mixture got stronger.

    Glycol does not boil off. The least is what was lost if it went at once, the most if little by little.
    """
    now, before = (Measure((each.low + each.high) / 2, each.low, each.high, "vol %") for each in terms)
    if before.low <= 0.0 or now.low > before.high:
        return None
    if now.low <= 0.0:  # down to water any amount may have gone through
        least = 100.0 * (1.0 - now.high / before.low)
        return Interval(max(0.0, least), float("inf"), True, False)
    lost = balance(100.0, "%", before, now).lost
    return Interval(lost.low, lost.high)


_OPERATORS: dict[str, Callable[[list[Interval], tuple[str, ...]], Interval | None]] = {
    "ratio": _ratio,
    "difference": _difference,
    "margin": _margin,
    "spread": _spread,
    "maximum": _maximum,
    "minimum": _minimum,
    "freezing_point": _freezing_point,
    "water_gained": _water_gained,
}
