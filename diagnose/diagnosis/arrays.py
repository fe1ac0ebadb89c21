"""Names for arrays, and a small memory of what was reckoned last."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Indexes: TypeAlias = NDArray[np.intp]
Flags: TypeAlias = NDArray[np.bool_]

DIGITS = 9
"""Processors add up in different orders and differ in the last digits: what is compared is rounded to so many."""

K = TypeVar("K")
V = TypeVar("V")


def steady(value: float) -> float:
    """A value to be ordered, or set beside a bound: what is equal on paper is equal on every processor."""
    return round(value, DIGITS)


class Recent(Generic[K, V]):
    """Keeps the last `size` results, so that many cases run in the same memory."""

    def __init__(self, size: int) -> None:
        self._size = size
        self._kept: dict[K, V] = {}

    def get(self, key: K, make: Callable[[], V]) -> V:
        """What was made for `key` before, or what `make` makes now."""
        if key in self._kept:
            value = self._kept.pop(key)
        else:
            value = make()
            while len(self._kept) >= self._size:
                del self._kept[next(iter(self._kept))]
        self._kept[key] = value
        return value
