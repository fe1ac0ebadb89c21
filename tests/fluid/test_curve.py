"""Curves through tables: through every point, never turning where the table doesn't."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.fluid.curve import Curve
from diagnose.fluid.grid import Grid
from diagnose.fluid.solve import where_rising

STEPS = st.lists(st.tuples(st.floats(0.1, 10), st.floats(0.01, 10)), min_size=2, max_size=12)


def points(steps: list[tuple[float, float]], sign: float = 1.0) -> list[tuple[float, float]]:
    x = y = 0.0
    found = [(x, y)]
    for right, up in steps:
        x, y = x + right, y + sign * up
        found.append((x, y))
    return found


@given(STEPS, st.sampled_from([1.0, -1.0]), st.floats(0, 1), st.floats(0, 1))
def test_monotone_between_points(steps: list[tuple[float, float]], sign: float, a: float, b: float) -> None:
    table = points(steps, sign)
    curve = Curve.through(table)
    low, high = sorted((a * table[-1][0], b * table[-1][0]))
    assert sign * curve.at(low) <= sign * curve.at(high) + 1e-9


@given(STEPS, st.sampled_from([1.0, -1.0]))
def test_through_every_point(steps: list[tuple[float, float]], sign: float) -> None:
    table = points(steps, sign)
    curve = Curve.through(table)
    for x, y in table:
        assert curve.at(x) == pytest.approx(y, abs=1e-9)


@given(STEPS, st.sampled_from([1.0, -1.0]), st.floats(0, 1))
def test_there_and_back(steps: list[tuple[float, float]], sign: float, share: float) -> None:
    table = points(steps, sign)
    curve = Curve.through(table)
    y = curve.at(share * table[-1][0])
    y = min(max(y, min(curve.y)), max(curve.y))
    assert curve.at(curve.where(y)) == pytest.approx(y, abs=1e-8)


def test_outside_the_table() -> None:
    with pytest.raises(ValueError, match="outside the table"):
        Curve.through([(0, 0), (1, 1), (2, 5)]).where(6)


def test_two_points_are_a_line() -> None:
    assert Curve.through([(0, 0), (2, 4)]).at(0.5) == pytest.approx(1)


def test_a_grid_is_straight_between_rows() -> None:
    grid = Grid.of((0.0, 1.0, 2.0), [(0.0, (0.0, 1.0, 2.0)), (10.0, (10.0, 11.0, 12.0))])
    assert grid.at(5.0, 1.0) == pytest.approx(6.0)
    assert grid.at(10.0, 2.0) == pytest.approx(12.0)


@given(st.floats(0, 10), st.floats(0, 10), st.floats(0.01, 1000))
def test_solving_a_rising_function(truth: float, start: float, slope: float) -> None:
    def cube(x: float) -> float:
        return x**3 + x

    found = where_rising(cube, cube(truth), 0.0, 10.0, start, slope, 1e-9)
    assert found == pytest.approx(truth, abs=1e-6)
