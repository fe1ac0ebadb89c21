"""One reading made up so that it surely lies in a band."""

from __future__ import annotations

from math import inf
from typing import TypeAlias

from diagnose.findings.bands import edges_for
from diagnose.rulebook.model import Edges, Method, Quantity

Told: TypeAlias = tuple[str, str]
"""What is recorded of a quantity, and the instrument ('' for the usual one)."""


def reading_in(quantity: Quantity, band: str, family: str) -> Told | None:
    """A reading that is surely in the band, by the usual instrument where it can tell; None where none is."""
    known = quantity.band(band)
    if known is None:
        return None
    if quantity.in_words:
        return band, ""
    edges = edges_for(known, family)
    if edges is None:
        return None
    for method in (quantity.methods[0] if quantity.methods else None, finest(quantity)):
        value = _value(quantity, edges, method.plus_minus if method is not None else 0.0)
        if value is not None:
            return number_read(digits(value), quantity, method)
    low, high = max(edges.low, quantity.possible[0]), min(edges.high, quantity.possible[1])
    return number_read(f"{digits(low)}..{digits(high)}", quantity, finest(quantity))  # too narrow for one number


def finest(quantity: Quantity) -> Method | None:
    """The instrument that reads closest."""
    return min(quantity.methods, key=lambda method: method.plus_minus, default=None)


def digits(value: float) -> str:
    """A number in plain digits."""
    return f"{value:.6f}".rstrip("0").rstrip(".")


def number_read(value: str, quantity: Quantity, method: Method | None) -> Told:
    """A number with its unit, as a person would write it down."""
    text = value if quantity.unit in ("pH", "1", "") else f"{value} {quantity.unit}"
    return text, method.id if method is not None and method is not quantity.methods[0] else ""


def _value(quantity: Quantity, edges: Edges, off: float) -> float | None:
    """A value that people would believe, away from the edges by more than an instrument may be off."""
    low, high = max(edges.low, quantity.possible[0]), min(edges.high, quantity.possible[1])
    at_bottom, at_top = edges.low <= quantity.possible[0], edges.high >= quantity.possible[1]
    value = (low + high) / 2
    if at_bottom and at_top:
        value = 0.0 if low < 0 < high else low + 0.05 * (high - low)
    elif at_bottom:
        value = max(value, high - max(2.5 * off, 0.1 * abs(high)))
    elif at_top:
        value = min(value, low + max(2.5 * off, 0.1 * abs(low)))
    low, high = (-inf if at_bottom else low + off), (inf if at_top else high - off)
    tidy = (round(value, places) for places in range(4))
    return next((each for each in tidy if low < each < high), value if low < value < high else None)
