"""Text in an ellipse lies inside it, by the ellipse's own equation."""

from __future__ import annotations

from math import pi

from hypothesis import given
from hypothesis import strategies as st

from diagnose.report.handout.ellipse import around
from diagnose.report.handout.placing import rows_in
from diagnose.report.handout.tree_sheets import TreeSheets

ROWS = st.lists(st.tuples(st.floats(5, 200), st.floats(8, 30)), min_size=1, max_size=9)


def lies_inside(rows: list[tuple[float, float]], wide: float, high: float) -> bool:
    y = -sum(row for _, row in rows) / 2
    for width, row in rows:
        for corner in (y, y + row):
            if (width / wide) ** 2 + (2 * corner / high) ** 2 > 1 + 1e-9:
                return False
        y += row
    return True


@given(ROWS)
def test_every_row_lies_inside(rows: list[tuple[float, float]]) -> None:
    assert lies_inside(rows, *around(rows))


@given(ROWS)
def test_no_ellipse_with_the_sides_of_the_text_is_smaller_by_much(rows: list[tuple[float, float]]) -> None:
    """Around a rectangle the least ellipse has sides longer by the root of 2, so pi / 2 times the area."""
    wide, high = max(width for width, _ in rows) + 6, sum(row for _, row in rows) + 1
    assert pi / 4 * around(rows)[0] * around(rows)[1] <= 1.03 * pi / 2 * wide * high


def test_every_result_of_a_tree_is_an_ellipse_around_its_words(trees: TreeSheets) -> None:
    placed = [box for section in trees.sections for box in section.chart.boxes if box.box.kind == "result"]
    assert len(placed) >= 20
    for each in placed:
        rows = rows_in(each.box, each.head, each.main, each.more, each.blank)
        assert lies_inside(rows, each.w, each.h), each.box.address
        assert each.w > max(width for width, _ in rows) + 5
    smaller = [b for b in placed if lies_inside(rows_in(b.box, b.head, b.main, b.more, b.blank), b.w * 0.8, b.h * 0.8)]
    assert not smaller
