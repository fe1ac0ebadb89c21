"""Where one band of a number ends and the next begins, for every family.

A closed band (`good`, `limits`) keeps both its edges, and its neighbours take the rest.
Elsewhere `from` belongs to its band and `below` does not. Where a family's interval reaches
over a fixed edge, the family's interval keeps what is its own; the band between becomes empty
for that family and is left out. So every possible value falls into exactly one band.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import inf

from diagnose.rulebook.bands import WrittenBand
from diagnose.rulebook.model import Edges, Family
from diagnose.yamlfile import Place, Problems


@dataclass(frozen=True, slots=True, order=True)
class _Border:
    """Between two neighbours: `value` belongs to the lower one (`to_lower`) or to the upper one."""

    value: float
    to_lower: bool = False


def find_edges(
    quantity: str,
    bands: tuple[WrittenBand, ...],
    possible: tuple[float, float],
    families: dict[str, Family],
    problems: Problems,
) -> list[dict[str, Edges]]:
    """Edges of each band by family id, or under '' where they are the same for all families."""
    nothing: list[dict[str, Edges]] = [{} for _ in bands]
    closed = [index for index, band in enumerate(bands) if band.is_closed]
    if len(closed) > 1:
        second = bands[closed[1]]
        hint = "a quantity has one closed band; give the others 'from' and 'below'"
        problems.add(second.place, "two-closed-bands", f"'{second.id}' is the second closed band of '{quantity}'", hint)
        return nothing
    fixed = _fixed_borders(quantity, bands, possible, problems)
    if fixed is None:
        return nothing
    middle = closed[0] if closed else -1
    intervals: dict[str, tuple[float, float] | None] = {"": bands[middle].closed if closed else None}
    if closed and bands[middle].family:
        name = bands[middle].family
        intervals = {f.id: (f.limits[name].low, f.limits[name].high) for f in families.values() if name in f.limits}
    for family, interval in intervals.items():
        if interval and bands[middle].family:
            _check_family_ends(quantity, bands, middle, interval, possible, families[family], problems)
        borders = _with_closed(fixed, middle, interval)
        ends = (bands[0].low, bands[-1].high)
        for index, edges in enumerate(_cut(borders, ends)):
            if edges is not None:
                nothing[index][family] = edges
    for band, found in zip(bands, nothing, strict=True):
        if len(intervals) >= len(families) and not found:
            says = f"no value falls into the band '{band.id}' of '{quantity}'"
            problems.add(band.place, "empty-band", says, "move its edges apart or delete it")
    return nothing


def _fixed_borders(
    quantity: str, bands: tuple[WrittenBand, ...], possible: tuple[float, float], problems: Problems
) -> list[_Border | None] | None:
    """The border above each band but the last; None where a closed band decides it. None when it can't be known."""
    before = len(problems)
    borders: list[_Border | None] = []
    for lower, upper in pairwise(bands):
        borders.append(_border(lower, upper, problems))
    if len(problems) > before:
        return None
    _check_order(bands, borders, problems)
    for band in bands:
        for value in (band.low, band.high, *(band.closed or ())):
            if value is not None and not possible[0] <= value <= possible[1]:
                says = f"the edge {value:g} of '{band.id}' lies outside what is possible for '{quantity}'"
                hint = f"possible is {possible[0]:g} to {possible[1]:g}"
                problems.add(band.place, "beyond-possible", says, hint)
    _check_ends(quantity, bands, possible, problems)
    return borders if len(problems) == before else None


def _border(lower: WrittenBand, upper: WrittenBand, problems: Problems) -> _Border | None:
    ends, begins = lower.high, upper.low
    if lower.is_closed or upper.is_closed:
        closed, other, edge = (lower, upper, begins) if lower.is_closed else (upper, lower, ends)
        touches = upper.closed is not None and ends == upper.closed[0]
        if edge is not None and not touches:
            says = f"'{other.id}' has an edge of its own beside the closed band '{closed.id}'"
            hint = f"leave the edge out: '{other.id}' takes what '{closed.id}' leaves"
            problems.add(other.place, "edge-beside-closed", says, hint)
        return None
    if ends is not None and begins is not None and ends != begins:
        check, word = ("gap", "between") if ends < begins else ("overlap", "in both")
        low, high = sorted((ends, begins))
        says = f"values from {low:g} to {high:g} fall {word} '{lower.id}' and '{upper.id}'"
        problems.add(upper.place, check, says, f"let '{lower.id}' end and '{upper.id}' begin at the same number")
    value = ends if ends is not None else begins
    if value is None:
        says = f"nothing tells where '{lower.id}' ends and '{upper.id}' begins"
        hint = f"write 'below: ...' at '{lower.id}' or 'from: ...' at '{upper.id}'"
        problems.add(upper.place, "no-edge", says, hint)
        return None
    return _Border(value)


def _check_order(bands: tuple[WrittenBand, ...], borders: list[_Border | None], problems: Problems) -> None:
    """Fixed edges grow from band to band; a fixed closed band counts with both its edges."""
    last: tuple[float, str] | None = None
    seen: list[tuple[float, str, Place]] = []
    for index, band in enumerate(bands):
        if band.closed:
            seen += [(band.closed[0], band.id, band.place), (band.closed[1], band.id, band.place)]
        border = borders[index] if index < len(borders) else None
        if border is not None:
            seen.append((border.value, bands[index + 1].id, bands[index + 1].place))
    for value, name, place in seen:
        if last is not None and value <= last[0]:
            says = f"the edge {value:g} of '{name}' does not lie above the edge {last[0]:g} before it"
            problems.add(place, "edges-out-of-order", says, "list the bands in order of the value, lowest first")
        last = (value, name)


def _check_ends(
    quantity: str, bands: tuple[WrittenBand, ...], possible: tuple[float, float], problems: Problems
) -> None:
    first, last = bands[0], bands[-1]
    low = first.closed[0] if first.closed else first.low
    if low is not None and low > possible[0]:
        says = f"no band of '{quantity}' holds the values from {possible[0]:g} to {low:g}"
        problems.add(first.place, "gap", says, f"leave the lower edge of '{first.id}' out")
    if last.high is not None and last.high <= possible[1]:
        says = f"no band of '{quantity}' holds the values from {last.high:g} to {possible[1]:g}"
        problems.add(last.place, "gap", says, f"leave 'below' out at '{last.id}'")
    if last.closed and last.closed[1] < possible[1]:
        says = f"no band of '{quantity}' holds the values above {last.closed[1]:g}"
        problems.add(last.place, "gap", says, "add a band above it")


def _check_family_ends(
    quantity: str,
    bands: tuple[WrittenBand, ...],
    middle: int,
    interval: tuple[float, float],
    possible: tuple[float, float],
    family: Family,
    problems: Problems,
) -> None:
    place = family.limits[bands[middle].family].place
    if interval[0] < possible[0] or interval[1] > possible[1]:
        says = f"the limits of '{quantity}' for '{family.id}' lie outside what is possible"
        problems.add(place, "beyond-possible", says, f"possible is {possible[0]:g} to {possible[1]:g}")
    if (middle == 0 and interval[0] > possible[0]) or (middle == len(bands) - 1 and interval[1] < possible[1]):
        side = "below" if middle == 0 else "above"
        says = f"no band of '{quantity}' holds the values {side} the limits of '{family.id}'"
        problems.add(place, "gap", says, f"add a band {side} '{bands[middle].id}'")


def _with_closed(fixed: list[_Border | None], middle: int, interval: tuple[float, float] | None) -> list[_Border]:
    """All borders once the closed band at `middle` has its interval; it wins against fixed edges."""
    if interval is None:
        return [border for border in fixed if border is not None]
    low, high = _Border(interval[0], False), _Border(interval[1], True)
    below = [min(border, low) for border in fixed[: max(middle - 1, 0)] if border is not None]
    above = [max(border, high) for border in fixed[middle + 1 :] if border is not None]
    return below + ([low] if middle > 0 else []) + ([high] if middle < len(fixed) else []) + above


def _cut(borders: list[_Border], ends: tuple[float | None, float | None]) -> list[Edges | None]:
    """The interval between each pair of neighbouring borders; None where nothing is left."""
    found: list[Edges | None] = []
    low, low_in = (-inf, False) if ends[0] is None else (ends[0], True)
    for border in [*borders, None]:
        if border is None:
            high, high_in = inf if ends[1] is None else ends[1], False
        else:
            high, high_in = border.value, border.to_lower
        empty = low > high or (low == high and not (low_in and high_in))
        found.append(None if empty else Edges(low, high, low_in, high_in))
        low, low_in = high, not high_in
    return found
