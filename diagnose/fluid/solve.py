"""Where a rising function takes a value: secant steps, kept inside a bracket that shrinks."""

from __future__ import annotations

from collections.abc import Callable


def where_rising(
    function: Callable[[float], float], wanted: float, low: float, high: float, start: float, slope: float, near: float
) -> float:
    """The argument between `low` and `high` at which `function` is within `near` of `wanted`.

    `start` and `slope` are a first guess of the argument and of the rise there; the function must
    rise and take the value somewhere in between.
    """
    x = min(max(start, low), high)
    miss = function(x) - wanted
    for _ in range(60):
        if abs(miss) <= near:
            break
        if miss > 0:
            high = x
        else:
            low = x
        following = x - miss / slope
        if not low <= following <= high:
            following = (low + high) / 2
        if following == x:
            break
        next_miss = function(following) - wanted
        rise = (next_miss - miss) / (following - x)
        slope = rise if rise > 0 else slope
        x, miss = following, next_miss
    return x
