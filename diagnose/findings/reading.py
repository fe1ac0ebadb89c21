"""Text as a technician writes it to a number, an interval or words. Knows no rulebook, only spellings."""

from __future__ import annotations

import re
from math import inf, isfinite
from typing import Literal, NamedTuple

from diagnose.findings.model import Interval
from diagnose.yamlfile import Place, short

Form = Literal["point", "between", "one_sided"]


class NotUsable(ValueError):
    """A recorded value that can't be used; says why in one sentence, and how to mend it.

    `place` is where the culprit stands, if that is not the value itself.
    """

    def __init__(self, check: str, says: str, hint: str, place: Place | None = None) -> None:
        super().__init__(says)
        self.check = check
        self.says = says
        self.hint = hint
        self.place = place


class WhichUnit(NotUsable):
    """A number of which nobody knows what it counts: it has no unit, or only 'degrees', and several are usual.

    `units` are those that may be meant.
    """

    def __init__(self, number: str, units: tuple[str, ...], says: str) -> None:
        super().__init__("which-unit", says, f"write the unit behind it, such as '{number} {units[0]}'")
        self.number = number
        self.units = units


class Number(NamedTuple):
    """What was written as a number, in the unit that was written ('' where none was).

    `point` is one value; `between` an open interval such as a colour between two pads;
    `one_sided` has one infinite end ('< 0.1 V').
    """

    interval: Interval
    unit: str
    form: Form


_NUMBER = r"[+-]?(?:\d+(?:\.\d+)?|\.\d+)"
_UNIT = r"(?:[^\d\s.,'<>±+-].*)?"
_UNIT_BEFORE = r"(?:[^\d\s.,'<>±+-][^.]*?)?"
_PLAIN = re.compile(r"([+-]?\d+(?:\.\d+)?) ?([A-Za-z%]*)")
"""Most of what is written, and none of what follows; so it is looked for first."""
_POINT = re.compile(rf"({_NUMBER})\s*({_UNIT})")
_BETWEEN = re.compile(
    rf"(?:between\s+)?({_NUMBER})\s*({_UNIT_BEFORE})\s*(?:\.\.|\sto\s|\sand\s)\s*({_NUMBER})\s*({_UNIT})"
)
_ONE_SIDED = re.compile(
    rf"(<=|>=|<|>|under|below|less than|at most|up to|over|above|more than|at least)\s*({_NUMBER})\s*({_UNIT})"
)
_DOWNWARD = ("<", "<=", "under", "below", "less than", "at most", "up to")
_EDGE_IN = ("<=", ">=", "at most", "up to", "at least")

_SLIPS = (
    (re.compile(r"\d,\d"), "write a decimal point, and no commas"),
    (re.compile(r"\d[ ']\d"), "write the digits without gaps, such as 90000"),
    (re.compile(r"\d\s*[-–]\s*\.?\d"), "for a value between two others write 9..11"),
    (re.compile(r"\+/-|±"), "leave the tolerance out: the book knows what each instrument can tell apart"),
    (re.compile(r"^(~|about|around|ca\.?)\s*\d"), "write the value alone, or between what it lies, such as 38..42"),
    (re.compile(r"^[+-]?[\d.]+e[+-]?\d"), "write the number out in digits"),
)
_MANY_DIGITS = 40


def tidy(text: str) -> str:
    """One space between words, a plain minus sign, no capitals lost."""
    return " ".join(text.replace("\u2212", "-").replace("\u2026", "..").split())


def read_number(text: str) -> Number | None:
    """The number or interval in `text`; None where it begins like neither. Raises NotUsable."""
    said = tidy(text)
    if found := _PLAIN.fullmatch(said):
        value = _value(found[1])
        return Number(Interval(value, value), found[2], "point")
    if found := _BETWEEN.fullmatch(said):
        return _between(said, found)
    if found := _ONE_SIDED.fullmatch(said):
        value, edge_in = _value(found[2]), found[1] in _EDGE_IN
        down = found[1] in _DOWNWARD
        interval = Interval(-inf, value, False, edge_in) if down else Interval(value, inf, edge_in, False)
        return Number(interval, found[3], "one_sided")
    for slip, hint in _SLIPS:
        if slip.search(said.casefold()):
            raise NotUsable("not-a-number", f"'{short(text)}' can't be read as a number", hint)
    if found := _POINT.fullmatch(said):
        value = _value(found[1])
        return Number(Interval(value, value), found[2], "point")
    return None


def _between(said: str, found: re.Match[str]) -> Number:
    low, high = _value(found[1]), _value(found[3])
    if found[2] and found[2] != found[4]:
        hint = "write the unit once, after the second number"
        raise NotUsable("not-a-number", f"'{short(said)}' has two units", hint)
    if low >= high:
        says = f"'{short(said)}' does not lie between two values"
        raise NotUsable("not-a-number", says, "write the lower value first, such as 9..11")
    return Number(Interval(low, high, False, False), found[4], "between")


def _value(digits: str) -> float:
    value = float(digits)
    if len(digits) > _MANY_DIGITS or not isfinite(value):
        raise NotUsable("not-a-number", f"'{short(digits)}' has too many digits", "write what the instrument showed")
    return value
