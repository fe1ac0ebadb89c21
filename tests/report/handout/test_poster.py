"""A poster: every box whole on one sheet, nothing lost between sheets, as many sheets as it says."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Iterable, Iterator
from itertools import combinations, pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.graph.model import Edge
from diagnose.report.handout.boxes import SIZE, Answer, Box
from diagnose.report.handout.placing import Drawing, Line, Placed, along
from diagnose.report.handout.poster import ACROSS, DOWN, FLAP, Poster, poster_data, poster_of
from diagnose.report.handout.sheets import Sheet, printed
from diagnose.report.handout.tiles import NoCut, pulled_apart, size_of_word
from diagnose.report.handout.tree_sheets import TreeSheets
from diagnose.rulebook.model import Book

LEAST_TYPE = 9.0
TEXT_AREA = (509.0, 700.0)
"""Points: what A4 and Letter have in common, less the margins of `base.typ`."""
needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler's tools are not installed")


@pytest.fixture(scope="module")
def poster(trees: TreeSheets, book: Book) -> Poster:
    return poster_of(trees.boxes, [book.cautions["hot_system"].text, book.cautions["first_stop"].text])


@pytest.fixture(scope="module")
def sheet(trees: TreeSheets, poster: Poster) -> Sheet:
    pytest.importorskip("typst")
    return Sheet("trial.poster", "poster", poster_data(trees, poster))


@pytest.fixture(scope="module")
def pdf(sheet: Sheet, book: Book, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("poster") / "poster.pdf"
    path.write_bytes(printed(sheet, book, "a4"))
    return path


def test_every_box_and_every_word_once_over_all_sheets(poster: Poster, trees: TreeSheets) -> None:
    """A box that says no more than to go on stands once for each question that leads to it."""
    told = [box.box for tile in poster.tiles for box in tile.boxes]
    once = [box.id for box in told if box.kind not in ("open", "caution")]
    assert sorted(once) == sorted(box.id for box in trees.boxes.by_id.values() if box.kind != "open")
    open_to = {a.edge.source for a in trees.boxes.answers if trees.boxes.by_id[a.edge.target].kind == "open"}
    assert sum(box.kind == "open" for box in told) == len(open_to)
    assert sum(box.kind == "caution" for box in told) == 1
    words = [line.answer.name for tile in poster.tiles for line in tile.words]
    assert sorted(words) == sorted(["", *(answer.name for answer in trees.boxes.answers)])


def test_boxes_and_words_lie_whole_on_their_sheet(poster: Poster) -> None:
    flap = FLAP / poster.scale
    for tile in poster.tiles:
        left, top = (tile.column - 1) * poster.across, (tile.row - 1) * poster.down
        places = [(b.x, b.y, b.w, b.h) for b in tile.boxes]
        places += [(*line.at, *size_of_word(line)) for line in tile.words]
        for x, y, w, h in places:
            assert left + (flap if tile.column > 1 else 0) - 0.1 <= x - w / 2
            assert x + w / 2 <= left + poster.across + 0.1
            assert top + (flap if tile.row > 1 else 0) - 0.1 <= y - h / 2
            assert y + h / 2 <= top + poster.down + 0.1


def test_boxes_stay_apart_and_lines_end_at_them(poster: Poster) -> None:
    for one, other in combinations(poster.drawing.boxes, 2):
        assert (
            abs(one.x - other.x) >= (one.w + other.w) / 2 - 0.1 or abs(one.y - other.y) >= (one.h + other.h) / 2 - 0.1
        )
    places = {placed.box.id: placed for placed in poster.drawing.boxes}
    for line in poster.drawing.lines:
        for name, (x, y) in ((line.answer.edge.source, line.points[0]), (line.answer.edge.target, line.points[-1])):
            assert abs(x - places[name].x) <= places[name].w / 2 + 9
            assert abs(y - places[name].y) <= places[name].h / 2 + 9


def finely(points: Iterable[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Points on the straight pieces of a line, close enough that no corner of a sheet is passed over."""
    for (ax, ay), (bx, by) in pairwise(points):
        for n in range(201):
            yield ax + (bx - ax) * n / 200, ay + (by - ay) * n / 200


def test_every_line_is_seen_on_each_sheet_it_passes_and_no_sheet_is_empty(poster: Poster) -> None:
    sheets = {(tile.row, tile.column): tile for tile in poster.tiles}
    touched = set()
    for line in poster.drawing.lines:
        for x, y in finely(along(line)):
            place = (int(y // poster.down) + 1, int(x // poster.across) + 1)
            assert line in sheets[place].lines
            touched.add(place)
    assert all(tile.boxes or tile.words or tile.lines for tile in poster.tiles)
    boxed = {place for place, tile in sheets.items() if tile.boxes or tile.words}
    assert set(sheets) - touched - boxed == set()


def test_a_sheet_holds_it_at_9_points_at_least(poster: Poster) -> None:
    assert SIZE * poster.scale >= LEAST_TYPE
    assert poster.across * poster.scale + FLAP <= TEXT_AREA[0] + 0.01
    assert poster.down * poster.scale + FLAP + 21 <= TEXT_AREA[1] + 0.01  # a head of 12 points and 9 below it
    assert (poster.across, poster.down) == pytest.approx((ACROSS / poster.scale, DOWN / poster.scale))


def test_the_ends_say_what_is_done_and_not_by_number(poster: Poster, trees: TreeSheets) -> None:
    told = [box.box.does for tile in poster.tiles for box in tile.boxes if box.box.kind == "result"]
    assert told
    for text in told:
        assert any(text.startswith(service) for service in trees.boxes.services.values())


def _run(*command: str) -> str:
    return subprocess.run(command, check=True, capture_output=True, text=True, encoding="utf-8").stdout


@needs_poppler
def test_the_paper_says_as_many_sheets_as_there_are_and_names_their_places(
    pdf: Path, poster: Poster, sheet: Sheet, book: Book
) -> None:
    assert printed(sheet, book, "a4") == pdf.read_bytes()
    about = _run("pdfinfo", str(pdf))
    pages = int(re.search(r"^Pages:\s+([0-9]+)", about, re.MULTILINE)[1])  # type: ignore[index]
    assert b"pdfuaid" in pdf.read_bytes()
    first = _run("pdftotext", "-layout", "-f", "1", "-l", "1", str(pdf), "-")
    assert f"Poster of {len(poster.tiles)} sheets" in first
    assert f"edition {book.edition}" in first
    assert "Ellipse: a result" in first
    for number, tile in enumerate(poster.tiles, pages - len(poster.tiles) + 1):
        told = _run("pdftotext", "-raw", "-f", str(number), "-l", str(number), str(pdf), "-")
        assert f"row {tile.row}, column {tile.column} of {poster.rows} x {poster.columns}" in told
        heads = [re.sub(r"\s+", " ", box.box.head.split(",")[0]) for box in tile.boxes]
        flat = re.sub(r"\s+", " ", told)
        assert all(head in flat for head in heads)
        assert len(re.findall(r"\bTEST [0-9]+\b", flat)) == sum(box.box.kind == "question" for box in tile.boxes)


def test_no_type_is_smaller_than_9_points(pdf: Path) -> None:
    layout = pytest.importorskip("pdfminer.high_level")
    from pdfminer.layout import LTChar, LTContainer

    def sizes(item: object) -> list[float]:
        if isinstance(item, LTChar):
            return [item.size]
        return [size for each in item for size in sizes(each)] if isinstance(item, LTContainer) else []

    found = [size for page in layout.extract_pages(pdf) for size in sizes(page)]
    assert len(found) > 1000
    assert min(found) >= LEAST_TYPE - 0.01


def drawing_of(places: list[tuple[float, float]], size: float) -> Drawing:
    boxes = tuple(
        Placed(Box(str(n), "question", "", "", "", ()), x, y, size, size, (), (), (), 0)
        for n, (x, y) in enumerate(places)
    )
    edges = [Edge(str(n), str(n + 1), "answer", "word") for n in range(len(boxes) - 1)]
    lines = tuple(
        Line(Answer(edge, ""), (a, a, b, b), ("a",), ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), dashed=False)
        for edge, a, b in zip(edges, places, places[1:], strict=False)
    )
    return Drawing(max(x for x, _ in places) + size, max(y for _, y in places) + size, boxes, lines)


@given(st.lists(st.tuples(st.floats(20, 3000), st.floats(20, 3000)), min_size=2, max_size=30))
def test_wherever_boxes_stand_none_is_cut_and_their_order_stays(places: list[tuple[float, float]]) -> None:
    before = drawing_of(places, 40)
    after, columns, rows = pulled_apart(before, 400, 500, 30)
    assert (after.width, after.height) == (columns * 400, rows * 500)
    for one in after.boxes:
        for middle, pitch in ((one.x, 400), (one.y, 500)):
            assert int((middle - 20 + 1e-6) // pitch) == int((middle + 20 - 1e-6) // pitch)
    for (one, other), (old, older) in zip(combinations(after.boxes, 2), combinations(before.boxes, 2), strict=True):
        assert (one.x <= other.x) == (old.x <= older.x) or old.x == older.x
        assert (one.y <= other.y) == (old.y <= older.y) or old.y == older.y
        assert abs(one.x - other.x) >= abs(old.x - older.x) - 1e-6
        assert abs(one.y - other.y) >= abs(old.y - older.y) - 1e-6


def test_a_box_larger_than_a_sheet_is_refused() -> None:
    with pytest.raises(NoCut):
        pulled_apart(drawing_of([(300.0, 300.0), (1000.0, 300.0)], 600), 400, 500, 30)
