"""A table with two entries: smooth along the columns, straight between the rows."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from typing import NamedTuple

from diagnose.fluid.curve import Curve


class Grid(NamedTuple):
    rows: tuple[float, ...]
    curves: tuple[Curve, ...]

    @classmethod
    def of(cls, columns: Sequence[float], table: Sequence[tuple[float, Sequence[float]]]) -> Grid:
        """`table` holds each row's own entry and its values, one for each column."""
        curves = tuple(Curve.through(list(zip(columns, values, strict=True))) for _, values in table)
        return cls(tuple(row for row, _ in table), curves)

    def at(self, row: float, column: float) -> float:
        """The value at a row entry (within the table) and a column entry."""
        i = min(max(bisect_right(self.rows, row) - 1, 0), len(self.rows) - 2)
        share = (row - self.rows[i]) / (self.rows[i + 1] - self.rows[i])
        below = self.curves[i].at(column)
        return below + share * (self.curves[i + 1].at(column) - below)
