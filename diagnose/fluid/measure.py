"""A value with the interval in which the truth lies, and the steps of a piece of arithmetic."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from typing import NamedTuple


class Measure(NamedTuple):
    """`value` in `unit`; the truth lies between `low` and `high` as far as the stated errors go."""

    value: float
    low: float
    high: float
    unit: str

    def through(self, function: Callable[[float], float], unit: str) -> Measure:
        """The measure after a function that only rises or only falls."""
        ends = (function(self.low), function(self.high))
        return Measure(function(self.value), min(ends), max(ends), unit)

    @property
    def exact(self) -> bool:
        return self.low == self.high


def exactly(value: float, unit: str) -> Measure:
    """A value taken as it stands."""
    return Measure(value, value, value, unit)


def between(low: float, high: float, unit: str) -> Measure:
    """A value known only to lie between two others; the middle stands for it."""
    return Measure((low + high) / 2, low, high, unit)


def spanned(value: float, ends: tuple[float, ...], unit: str) -> Measure:
    """A value with the smallest and largest of what it may be."""
    return Measure(value, min(value, *ends), max(value, *ends), unit)


class Step(NamedTuple):
    """One line of arithmetic: what is found, the formula with the numbers put in, and the result."""

    label: str
    formula: str
    result: Measure


@dataclass(slots=True)
class Steps:
    """Collects steps in the order in which they are reckoned."""

    lines: list[Step] = field(default_factory=list)

    def add(self, label: str, formula: str, result: Measure | float, unit: str = "") -> None:
        self.lines.append(Step(label, formula, result if isinstance(result, Measure) else exactly(result, unit)))

    def done(self) -> tuple[Step, ...]:
        return tuple(self.lines)


@lru_cache(maxsize=1024)  # capacities, tables and the trade's positions return in every case
def figure(value: float, digits: int = 4) -> str:
    """A number as it stands in a formula: `digits` figures that count, no trailing zeros, no exponent."""
    if value == 0 or value != value or value in (float("inf"), float("-inf")):
        return f"{value:g}"
    size = len(f"{abs(value):.0f}") if abs(value) >= 1 else 1
    text = f"{value:.{max(0, digits - size)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text
