"""A smooth curve through the points of a table that never rises where the table falls.

Piecewise cubic Hermite interpolation with slopes limited as by Fritsch and Butland (1984,
SIAM J. Sci. Stat. Comput. 5, 300): monotone between any two points, one continuous derivative.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

_STEPS = 60


@dataclass(frozen=True, slots=True)
class Curve:
    """`x` rises; `parts` holds for each stretch the cubic's four coefficients in (x - its left end)."""

    x: tuple[float, ...]
    y: tuple[float, ...]
    parts: tuple[tuple[float, float, float, float], ...]

    @classmethod
    def through(cls, points: Iterable[tuple[float, float]]) -> Curve:
        """The curve through at least two points, given in rising order of x."""
        x, y = (tuple(column) for column in zip(*points, strict=True))
        steps = [b - a for a, b in pairwise(x)]
        rises = [(b - a) / step for (a, b), step in zip(pairwise(y), steps, strict=True)]
        slopes = _slopes(steps, rises)
        parts = []
        for i, (step, rise) in enumerate(zip(steps, rises, strict=True)):
            left, right = slopes[i], slopes[i + 1]
            parts.append((y[i], left, (3 * rise - 2 * left - right) / step, (left + right - 2 * rise) / step**2))
        return cls(x, y, tuple(parts))

    def plus(self, other: Curve, share: float) -> Curve:
        """This curve with `share` times another one added, over this one's range: between the points of both each is
        a cubic, so nothing is lost.
        """
        x = tuple(sorted({*self.x, *(each for each in other.x if self.x[0] < each < self.x[-1])}))
        parts = []
        for left in x[:-1]:
            mine, added = self._seen_from(left), other._seen_from(left)
            parts.append(tuple(a + share * b for a, b in zip(mine, added, strict=True)))
        y = tuple(self.at(each) + share * other.at(each) for each in x)
        return Curve(x, y, tuple((a, b, c, d) for a, b, c, d in parts))

    def _seen_from(self, left: float) -> tuple[float, float, float, float]:
        """The coefficients of the stretch that begins at or holds `left`, in (x - left)."""
        i = bisect_right(self.x, left, 1, len(self.parts)) - 1
        a, b, c, d = self.parts[i]
        t = left - self.x[i]
        return a + t * (b + t * (c + t * d)), b + t * (2 * c + t * 3 * d), c + 3 * t * d, d

    def at(self, x: float) -> float:
        """y at x; the end stretches continue beyond the table (callers keep to its range)."""
        i = bisect_right(self.x, x, 1, len(self.parts)) - 1
        a, b, c, d = self.parts[i]
        t = x - self.x[i]
        return a + t * (b + t * (c + t * d))

    def where(self, y: float) -> float:
        """The x at which a monotone curve has the value y. Raises ValueError outside the table."""
        falling = self.y[-1] < self.y[0]
        low, high = (self.y[-1], self.y[0]) if falling else (self.y[0], self.y[-1])
        if not low <= y <= high:
            raise ValueError(f"{y} lies outside the table's {low} to {high}")
        i = bisect_right(self.y, -y, key=lambda v: -v) if falling else bisect_right(self.y, y)
        i = min(max(i - 1, 0), len(self.parts) - 1)
        return self.x[i] + self._solve(i, y)

    def _solve(self, i: int, y: float) -> float:
        """Newton's steps inside the stretch, halving it where a step would leave it."""
        a, b, c, d = self.parts[i]
        low, high = 0.0, self.x[i + 1] - self.x[i]
        rising = self.y[i + 1] > self.y[i]
        t = high * (y - self.y[i]) / (self.y[i + 1] - self.y[i])
        for _ in range(_STEPS):
            miss = a + t * (b + t * (c + t * d)) - y
            if abs(miss) < 1e-12:
                break
            if (miss > 0) == rising:
                high = t
            else:
                low = t
            slope = b + t * (2 * c + t * 3 * d)
            step = t - miss / slope if slope else low
            t = step if low < step < high else (low + high) / 2
        return t


def _slopes(steps: list[float], rises: list[float]) -> list[float]:
    """The slope at every point: a weighted harmonic mean inside, zero where the table turns."""
    if len(rises) == 1:
        return [rises[0], rises[0]]
    inner = []
    for (h0, h1), (r0, r1) in zip(pairwise(steps), pairwise(rises), strict=True):
        if r0 * r1 <= 0:
            inner.append(0.0)
        else:
            w0, w1 = 2 * h1 + h0, h1 + 2 * h0
            inner.append((w0 + w1) / (w0 / r0 + w1 / r1))
    first = _end(steps[0], steps[1], rises[0], rises[1])
    last = _end(steps[-1], steps[-2], rises[-1], rises[-2])
    return [first, *inner, last]


def _end(h0: float, h1: float, r0: float, r1: float) -> float:
    """The slope at an end from three points, kept to the sign and three times the size of the first rise."""
    slope = ((2 * h0 + h1) * r0 - h0 * r1) / (h0 + h1)
    if slope * r0 <= 0:
        return 0.0
    if r0 * r1 <= 0 and abs(slope) > abs(3 * r0):
        return 3 * r0
    return min(slope, 3 * r0, key=abs)
