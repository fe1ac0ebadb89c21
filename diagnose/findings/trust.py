"""Several instruments on one quantity: whom to believe, and whether they exclude each other."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.findings.model import Interval
from diagnose.findings.taken import Taken, hull
from diagnose.rulebook.model import Quantity


def most_trusted(taken: list[Taken], quantity: Quantity) -> list[Taken]:
    """Those for which no better instrument was used (`better` is followed from method to method)."""
    if len(taken) < 2:
        return taken
    used = {each.method for each in taken}
    return [each for each in taken if not used & _better(each.method, quantity)]


def _better(method: str, quantity: Quantity) -> set[str]:
    found: set[str] = set()
    known = quantity.method(method)
    while known and known.better and known.better not in found | {method}:
        found.add(known.better)
        known = quantity.method(known.better)
    return found


def possible_bands(trusted: list[Taken], quantity: Quantity, families: Mapping[str, float]) -> tuple[str, ...]:
    """Bands in which the truth may lie for at least one family: where all agree, or else where any says."""
    together = _allowed(trusted, families)
    allowed = together or {index for each in trusted for index in _allowed([each], families)}
    return tuple(band.id for index, band in enumerate(quantity.bands) if index in allowed)


def disagree(taken: list[Taken], families: Mapping[str, float]) -> bool:
    """Whether two of the readings leave no band, in any family, in which both can be right."""
    pairs = ((a, b) for index, a in enumerate(taken) for b in taken[index + 1 :])
    return any(not _allowed([a, b], families) for a, b in pairs)


def common_interval(trusted: list[Taken]) -> Interval | None:
    """What the intervals share, or all of them together where they share nothing."""
    intervals = [each.interval for each in trusted if each.interval is not None]
    if len(intervals) < 2:
        return intervals[0] if intervals else None
    low = max(intervals, key=lambda each: (each.low, not each.low_in))
    high = min(intervals, key=lambda each: (each.high, each.high_in))
    if low.low < high.high or (low.low == high.high and low.low_in and high.high_in):
        return Interval(low.low, high.high, low.low_in, high.high_in)
    return hull(intervals)


def _allowed(taken: list[Taken], families: Mapping[str, float]) -> set[int]:
    """Indexes of the bands that all of the readings allow, for any one family that may be in the car."""
    allowed: set[int] = set()
    for family, share in families.items():
        if share > 0:
            columns = zip(*(each.shares[family] for each in taken), strict=True)
            allowed |= {index for index, column in enumerate(columns) if all(value > 0 for value in column)}
    return allowed
