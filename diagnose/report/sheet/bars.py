"""Readings against their limits for this coolant, as bars with a word of their own."""

from __future__ import annotations

import re
from collections.abc import Iterable
from math import isinf

from diagnose.findings.bands import edges_for
from diagnose.findings.model import Finding, Interval
from diagnose.plan.decision import deciding_looks
from diagnose.plan.model import Plan
from diagnose.plan.wording import customer_words, first_upper
from diagnose.report.sheet.model import Bar, Verdict
from diagnose.rulebook.model import Book, Quantity

ROOM = 0.6
"""So much of the width of what is right is drawn on either side of it."""
_METERED = ("V",)
"""Units in which a reckoned quantity is told as a meter shows it: the largest of several voltages is one of them."""
_BETWEEN = re.compile(r"\d\s*(\.\.|to|and)\s*-?\d")
_UNITS = {"": "", "1": "", "pH": "", "vol %": " %", "degC": " °C", "K": " °C", "degF": " °F"}


def customer_bars(plan: Plan, book: Book) -> list[Bar]:
    """What has a name for the customer, what is out of its limits first."""
    found = [f for f in plan.diagnosis.firings.findings.found.values() if f.status == "known" and f.quantity.customer]
    looks = deciding_looks(book)
    found.sort(key=lambda f: (is_right(f), -looks[f.quantity.id]))
    return [bar(f, plan, book, f.quantity.customer) for f in found]


def is_right(finding: Finding) -> bool:
    return finding.quantity.normal in finding.possible


def bar(finding: Finding, plan: Plan, book: Book, label: str) -> Bar:
    """One finding as a bar; `label` is what it is called on this sheet."""
    quantity = finding.quantity
    word = words(finding)
    shown = _shown(finding)
    protects = _protects(plan) if quantity.id == "mixture" else ""
    if protects:
        word = f"{word}, {protects}" if "protects" not in word else f"{word}: {protects.removeprefix('protects ')}"
    limits = _limits(finding)
    whole = Bar(first_upper(label), shown, word, _verdict(finding), limits)
    drawn = _drawn(finding, plan, book) if quantity.role == "reading" or quantity.unit in _METERED else None
    if drawn is None:
        return whole
    scale, good, reading = drawn
    return Bar(whole.label, shown, word, whole.verdict, limits, scale, good, reading)


def words(finding: Finding) -> str:
    """What a reading means, in the customer's words."""
    said = customer_words(finding) or " or ".join(dict.fromkeys(band.says for band in finding.bands))
    return f"not clear yet, {said}" if finding.straddles and is_right(finding) else said


def _shown(finding: Finding) -> str:
    """The figure, as an interval where it was read as one; of what is reckoned, only what a meter shows as well."""
    quantity = finding.quantity
    if quantity.role != "reading":
        return value(finding.interval, quantity) if quantity.unit in _METERED else ""
    written = [reading.recorded for reading in finding.readings]
    if len(written) == 1 and finding.interval is not None and _BETWEEN.search(written[0]):
        low, high, unit = finding.interval.low, finding.interval.high, _UNITS.get(quantity.unit, f" {quantity.unit}")
        if not (isinf(low) or isinf(high)):
            return f"between {figure(low)} and {figure(high)}{unit}"
    return value(finding.interval, quantity)


def value(interval: Interval | None, quantity: Quantity) -> str:
    """The middle of what was read: '6.5', '36 %', 'above 60 %'; '' where it was told in words."""
    if interval is None:
        return ""
    unit = _UNITS.get(quantity.unit, f" {quantity.unit}")
    low, high = quantity.possible
    if isinf(interval.high) or (interval.high >= high and interval.low > low):
        return f"above {figure(interval.low)}{unit}"
    if isinf(interval.low) or (interval.low <= low < interval.high and interval.high - low > (high - low) / 4):
        return f"below {figure(interval.high)}{unit}"
    middle, wide = (interval.low + interval.high) / 2, interval.high - interval.low
    return f"{figure(round(middle, 0 if wide >= 2 else 1) if wide >= 0.2 else middle)}{unit}"


def figure(number: float) -> str:
    """Three figures at most, without a useless zero."""
    return f"{number:.3g}" if abs(number) < 1000 else f"{number:.0f}"


def _protects(plan: Plan) -> str:
    """'protects to -29 °C', for the glycol that protects least of those that it may be."""
    if plan.numbers is None or not plan.numbers.frost:
        return ""
    least = max(frost.freezing.value for frost in plan.numbers.frost)
    return f"protects to\u00a0{round(least)}\u00a0°C"


def _limits(finding: Finding) -> str:
    """The range that would be right; '' where it is reckoned, or told in words that say it already."""
    told = not finding.quantity.in_words and (not finding.derived or finding.quantity.unit in _METERED)
    return finding.limits_shown.replace(" degC", " °C") if told else ""


def _verdict(finding: Finding) -> Verdict:
    if is_right(finding):
        return "unclear" if finding.straddles else "right"
    if finding.quantity.in_words:
        return "wrong"
    order = [band.id for band in finding.quantity.bands]
    normal = order.index(finding.quantity.normal)
    sides = {order.index(name) > normal for name in finding.possible}
    return "wrong" if len(sides) > 1 else "high" if sides.pop() else "low"


def _drawn(
    finding: Finding, plan: Plan, book: Book
) -> tuple[tuple[str, str], tuple[float, float], tuple[float, float]] | None:
    """The names of the ends, and what is right and what was read as shares of the scale."""
    quantity, read = finding.quantity, finding.interval
    ends = _right(finding, plan.diagnosis.firings.findings.families)
    if read is None or ends is None:
        return None
    low, high = quantity.possible
    good_low, good_high = max(low, ends[0]), min(high, ends[1])
    read_low, read_high = max(low, read.low), min(high, read.high)
    open_low, open_high = good_low <= low, good_high >= high
    if open_low and open_high:
        return None
    room = ROOM * (good_high - good_low)
    if open_high:  # right from an edge upwards: the scale ends a little above what was read
        good_high = max(good_low * 1.5, good_low + (good_low - low), read_low * 1.2)
        room = ROOM * good_low
    start = max(low, min(good_low - room, read_low - room / 4))
    end = min(high, max(good_high + room, min(read_high, read_low + 4 * room) + room / 4))
    if end <= start:
        return None

    def share(number: float) -> float:
        return round(min(1.0, max(0.0, (number - start) / (end - start))), 4)

    unit = _UNITS.get(quantity.unit, f" {quantity.unit}")
    names = (f"{figure(round(start, 1))}{unit}", f"{figure(round(end, 1))}{unit}")
    good = (share(start if open_low else good_low), share(end if open_high else good_high))
    return names, good, (share(read_low), share(read_high))


def _right(finding: Finding, families: Iterable[str]) -> tuple[float, float] | None:
    """What is right for every family that it may be; what is right for any of them, where no range is shared."""
    band = finding.quantity.band(finding.quantity.normal)
    edges = [edge for name in families if band is not None and (edge := edges_for(band, name)) is not None]
    if not edges:
        return None
    low, high = max(edge.low for edge in edges), min(edge.high for edge in edges)
    return (low, high) if low < high else (min(edge.low for edge in edges), max(edge.high for edge in edges))
