"""Every section and every way from one to another stands in the overview, on one page, at 9 pt at least."""

from __future__ import annotations

from itertools import pairwise

import pytest

from diagnose.report.handout import metrics
from diagnose.report.handout.chart import WIDTH
from diagnose.report.handout.overview import PAD, ROOM, TYPE, Overview, overview_of, runs
from diagnose.report.handout.tree_sheets import TreeSheets

LEAST_TYPE = 9.0


@pytest.fixture(scope="module")
def overview(trees: TreeSheets) -> Overview:
    return overview_of(trees.sections, trees.boxes)


def test_every_section_once_and_every_way_between_two(overview: Overview, trees: TreeSheets) -> None:
    told = [letter for row in overview.rows if not row.again for letter in row.letters]
    assert sorted(told) == sorted(section.letter for section in trees.sections)
    roots = {section.root for section in trees.sections}
    ways = [a for section in trees.sections for a in section.answers if a.edge.target in roots]
    words = [row.word.split(" ")[0].split("\u00a0")[0] for row in overview.rows[1:]]
    assert sorted(words) == sorted(answer.name for answer in ways)
    assert len(ways) >= 5


def test_each_row_hangs_on_the_section_in_which_its_answer_is_given(overview: Overview, trees: TreeSheets) -> None:
    for row in overview.rows[1:]:
        above = overview.rows[row.above]
        name = row.word.split(" ")[0]
        answer = next(a for a in trees.boxes.answers if a.name == name)
        assert trees.home(answer.edge.target).letter in row.letters
        given = [s.letter for s in trees.sections if any(a.name == name for a in s.answers)]
        assert set(given) <= set(above.letters)
        assert above.x < row.x
        assert above.y < row.y


def test_it_fits_the_page_and_nothing_overlaps(overview: Overview) -> None:
    assert overview.fits == (overview.height <= ROOM)
    assert TYPE >= LEAST_TYPE
    for one, other in pairwise(overview.rows):
        assert one.y + overview.box <= other.y - overview.word
    for row in overview.rows:
        assert row.x + row.w <= WIDTH + 0.01
        told = f"{', '.join(row.letters)}, pages {', '.join('00' for _ in row.letters)} {row.title} questions"
        assert metrics.width(f"{told} {row.questions}", TYPE) <= row.w - 2 * PAD
        assert metrics.width(row.word, TYPE) <= row.w


def test_numbers_that_follow_each_other_are_told_as_a_run() -> None:
    assert runs([1, 3, 4, 5, 9, 10]) == "1, 3 to 5, 9, 10"
