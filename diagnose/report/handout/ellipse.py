"""The smallest ellipse around lines of text that are centred in it: an ending is told from a test by its shape."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

CLEAR_X, CLEAR_Y = 3.0, 0.5
"""Points left free between a line of text and the border, at its ends and above or below it."""
LEAST, STEP, TRIES = 1.05, 0.03, 40
"""Heights that are tried, as a multiple of that of the text."""


def around(rows: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Width and height of the ellipse of least area that holds rows of this width and height, from the top."""
    text = sum(high for _, high in rows)
    return min(
        (_fitted(rows, text, text * (LEAST + STEP * n)) for n in range(TRIES)), key=lambda size: size[0] * size[1]
    )


def _fitted(rows: Sequence[tuple[float, float]], text: float, high: float) -> tuple[float, float]:
    half = 0.0
    y = -text / 2
    for wide, row in rows:
        furthest = max(abs(y), abs(y + row)) + CLEAR_Y
        chord = sqrt(max(1 - (2 * furthest / high) ** 2, 1e-4))
        half = max(half, (wide / 2 + CLEAR_X) / chord)
        y += row
    return 2 * half, high
