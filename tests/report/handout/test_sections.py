"""Every question and line once over all pages, in boxes that do not touch, at 9 pt at least."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest

from diagnose.graph.model import Graph
from diagnose.report.handout.boxes import SIZE, apart, blanks_among, boxes_of, can_be_blank, letters
from diagnose.report.handout.chart import HEIGHT, NOTE_LEADING, WIDTH
from diagnose.report.handout.sections import MOST_BOXES, TooLong, sections_of
from diagnose.report.handout.tree_sheets import TreeSheets
from diagnose.rulebook.model import Book

LEAST_TYPE = 9.0
"""Points; below it a class can't read a copy (found in trial prints, common practice, no source)."""


def test_every_question_and_every_line_stands_on_one_page(trees: TreeSheets, graph: Graph) -> None:
    asked = [box.id for section in trees.sections for box in section.questions]
    assert sorted(asked) == sorted({edge.source for edge in graph.edges})
    lines = [answer.edge for section in trees.sections for answer in section.answers]
    assert sorted(lines, key=str) == sorted(graph.edges, key=str)
    drawn = {box.node for section in trees.sections for box in section.boxes}
    assert drawn == {node.id for node in graph.nodes}


def test_where_ways_end_is_drawn_beside_each_question(graph: Graph, book: Book) -> None:
    """Lines from two questions to one box would cross others: the box is drawn twice, with the same number."""
    tree = boxes_of(graph, book)
    first, second = [name for name in tree.by_id if tree.is_question(name)][:2]
    end = next(name for name in tree.by_id if not tree.is_question(name))
    lines = [
        replace(tree.answers[0], edge=replace(tree.answers[0].edge, source=q, target=end)) for q in (first, second)
    ]
    boxes, answers = apart([tree.by_id[name] for name in (first, second, end)], lines)
    assert [box.node for box in boxes] == [first, second, end, end]
    assert len({box.id for box in boxes}) == 4
    assert len({box.address for box in boxes}) == 3
    assert [answer.edge.target for answer in answers] == [box.id for box in boxes[2:]]


def test_what_goes_on_elsewhere_says_where_and_is_asked_there(trees: TreeSheets) -> None:
    for section in trees.sections:
        asked = {box.id for box in section.questions}
        for box in section.boxes:
            elsewhere = trees.boxes.is_question(box.node) and box.node not in asked
            assert bool(box.foot) == elsewhere
            if elsewhere:
                assert trees.home(box.node).root == box.node


def test_type_is_printed_at_9_points_at_least_and_the_chart_fits(trees: TreeSheets) -> None:
    for section in trees.sections:
        chart = section.chart
        assert chart.scale * SIZE >= LEAST_TYPE
        assert chart.width * chart.scale <= WIDTH + 0.01
        assert chart.height * chart.scale + len(chart.notes) * NOTE_LEADING <= HEIGHT + 0.01
        assert len(section.boxes) <= MOST_BOXES


def test_boxes_stay_apart_and_inside(trees: TreeSheets) -> None:
    for section in trees.sections:
        for one, other in combinations(section.chart.boxes, 2):
            apart = abs(one.x - other.x) >= (one.w + other.w) / 2 or abs(one.y - other.y) >= (one.h + other.h) / 2
            assert apart, (section.letter, one.box.id, other.box.id)
        for box in section.chart.boxes:
            assert box.x - box.w / 2 >= -0.1
            assert box.x + box.w / 2 <= section.chart.width + 0.1


def test_lines_end_at_the_boxes_they_join(trees: TreeSheets) -> None:
    for section in trees.sections:
        places = {placed.box.id: placed for placed in section.chart.boxes}
        for line in section.chart.lines:
            for name, (x, y) in ((line.answer.edge.source, line.points[0]), (line.answer.edge.target, line.points[-1])):
                box = places[name]
                assert abs(x - box.x) <= box.w / 2 + 9
                assert abs(y - box.y) <= box.h / 2 + 9


def test_the_same_tree_gives_the_same_pages(trees: TreeSheets, graph: Graph, book: Book) -> None:
    assert TreeSheets(graph, book).sections == trees.sections


def test_a_text_that_no_page_holds_is_refused_with_its_box(graph: Graph, book: Book) -> None:
    pytest.importorskip("graphviz")
    long = replace(graph.nodes[1], label="word " * 2000)
    boxes = boxes_of(replace(graph, nodes=(graph.nodes[0], long, *graph.nodes[2:])), book)
    with pytest.raises(TooLong, match=r"TEST\s2"):
        sections_of(boxes, "seed")


NASTY = (
    'a "quoted" word',
    "it's <b>bold</b> &amp; &#65; <",
    "back\\slash\\n and \\N \\l",
    "a:b #c {d|e} [f] ;",
    "'",
    '"',
    "\\",
    "עברית and Ελληνικά",
    "x" * 60,
    "new\nline\ttab",
)
"""Words that a layout program could take for something else."""


@pytest.mark.parametrize("nasty", NASTY)
def test_words_come_back_as_they_were(nasty: str, graph: Graph, book: Book) -> None:
    pytest.importorskip("graphviz")
    edges = tuple(replace(edge, word=nasty) if edge.source == "q1" else edge for edge in graph.edges)
    nodes = tuple(replace(node, label=nasty) if node.id == "q1" else node for node in graph.nodes)
    sections = sections_of(boxes_of(replace(graph, nodes=nodes, edges=edges), book), "seed")
    lines = [line for section in sections for line in section.chart.lines if line.answer.edge.source == "q1"]
    assert len(lines) == sum(edge.source == "q1" for edge in graph.edges)
    for line in lines:
        assert "".join(line.word).replace(" ", "").replace("\u00a0", "") == "".join(line.answer.label.split())
        assert len(line.points) >= 4


def test_no_word_is_broken_that_has_room(trees: TreeSheets) -> None:
    for section in trees.sections:
        for line in section.chart.lines:
            assert " ".join(line.word).replace("\u00a0", " ") == line.answer.label
        for placed in section.chart.boxes:
            assert " ".join(placed.main).replace("\u00a0", " ") == placed.box.main


def test_letters_go_on_after_z() -> None:
    assert [letters(n) for n in (0, 1, 25, 26, 27, 51, 52, 701, 702)] == [
        "a", "b", "z", "aa", "ab", "az", "ba", "zz", "aaa",
    ]  # fmt: skip


def test_a_page_is_left_without_a_blank_only_where_nothing_on_it_fits_into_one(trees: TreeSheets) -> None:
    for section in trees.sections:
        first, *others = section.boxes
        blank = [placed.box for placed in section.chart.boxes if placed.blank]
        fits = [box for box in others if can_be_blank(box) and box.main != first.main]
        alike = {box.main for box in section.boxes if not can_be_blank(box)}
        assert blank or all(box.main in alike for box in fits), section.letter


def test_where_all_say_the_same_all_are_blank_at_once(trees: TreeSheets) -> None:
    fits = [box for box in trees.boxes.by_id.values() if can_be_blank(box)]
    first = fits[0]
    other = next(box for box in fits if box.main != first.main)
    same = [replace(other, id=f"x{n}") for n in range(3)]
    assert blanks_among([first, *same], "seed") == ["x0", "x1", "x2"]
    shown = replace(other, id="exit", foot="4")
    assert blanks_among([first, *same, shown], "seed") == []
