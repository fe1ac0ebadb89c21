"""A whole tree over several sheets of paper, to be put together on a wall."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from diagnose.graph.model import Edge
from diagnose.report.handout.boxes import SIZE, Answer, Box, Boxes
from diagnose.report.handout.chart import LEAST, WIDTH
from diagnose.report.handout.placing import Drawing, Line, Placed, along, laid, sized_box
from diagnose.report.handout.sections import TooLong
from diagnose.report.handout.tiles import NoCut, pulled_apart
from diagnose.report.handout.tree_sheets import TreeSheets, box_data, line_data

SCALE = 0.92
"""Type of 10 pt is printed at 9.2 pt."""
FLAP = 28.0
"""Points of each sheet that lie under the next one, about 10 mm."""
ACROSS, DOWN = WIDTH - FLAP, 646.0
"""What a sheet shows of the poster, flap aside, in points on paper."""
ROOMS = ((86.0, 60.0), (110.0, 76.0), (130.0, 90.0), (150.0, 110.0))
"""Widths tried for the lines in boxes and on lines, in points. From left to right always: from the top down none of the
seven trees of the passenger-car book took fewer sheets."""
CAUTION_ROOM = 250.0
assert SCALE >= LEAST


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet: its row and column from 1, and what stands on it, at places within the whole drawing."""

    row: int
    column: int
    boxes: tuple[Placed, ...]
    words: tuple[Line, ...]
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Poster:
    """`tiles` row by row; a sheet on which nothing would stand is left out. `across` and `down` are what one sheet
    shows of the drawing, in its own points; `scale` is what they are printed at.
    """

    drawing: Drawing
    columns: int
    rows: int
    tiles: tuple[Tile, ...]
    across: float
    down: float
    scale: float


def poster_of(tree: Boxes, cautions: Sequence[str]) -> Poster:
    """The layout that takes the fewest sheets; `cautions` stand before the first box. Raises TooLong."""
    boxes, answers = _spelt_out(tree, cautions)
    labels = [f"{answer.name} {answer.edge.word}".strip() for answer in answers]
    best: Poster | None = None
    for box_room, word_room in ROOMS:
        sized = [sized_box(box, box_room if box.kind != "caution" else CAUTION_ROOM, ()) for box in boxes]
        try:
            poster = _tiled(laid(sized, answers, labels, "LR", word_room))
        except NoCut:
            continue
        if best is None or _size(poster) < _size(best):
            best = poster
    if best is None:
        raise TooLong("a box of this tree is larger than a sheet of paper at 9 pt: its text is too long")
    return best


def _size(poster: Poster) -> tuple[int, int]:
    """Sheets, and the room on the wall."""
    return len(poster.tiles), poster.rows * poster.columns


def _spelt_out(tree: Boxes, cautions: Sequence[str]) -> tuple[list[Box], list[Answer]]:
    """Boxes that say the service itself, the cautions before the first; a box that says no more than to go on stands
    once for each question that leads to it, since lines to one of them would cross the whole poster."""
    boxes = [replace(box, does=_service(box, tree)) for box in tree.by_id.values() if box.kind != "open"]
    answers: list[Answer] = []
    for answer in tree.answers:
        target = tree.by_id[answer.edge.target]
        if target.kind == "open":
            name = f"{target.id} from {answer.edge.source}"
            if all(box.id != name for box in boxes):
                boxes.append(replace(target, id=name))
            answer = replace(answer, edge=replace(answer.edge, target=name))
        answers.append(answer)
    if not cautions:
        return boxes, answers
    warning = Box("caution", "caution", "", "CAUTION", cautions[0], tuple(cautions[1:]))
    first = Edge(warning.id, tree.root, "before", "before any test")
    return [warning, *boxes], [Answer(first, ""), *answers]


def _service(box: Box, tree: Boxes) -> str:
    text = tree.services.get(box.service)
    return box.does.replace(f"Service {box.service}.", f"{text}.", 1) if text else box.does


def _tiled(drawing: Drawing) -> Poster:
    across, down = ACROSS / SCALE, DOWN / SCALE
    flap = FLAP / SCALE
    drawing, columns, rows = pulled_apart(drawing, across, down, flap)
    tiles = []
    for row in range(rows):
        for column in range(columns):
            left, top = column * across, row * down
            boxes = tuple(box for box in drawing.boxes if _in(box.x, left, across) and _in(box.y, top, down))
            words = tuple(
                line for line in drawing.lines if _in(line.at[0], left, across) and _in(line.at[1], top, down)
            )
            own = [line for line in drawing.lines if _passes(line, left, top, across, down)]
            if boxes or words or own:
                lines = tuple(w for w in drawing.lines if _passes(w, left, top, across + flap, down + flap))
                tiles.append(Tile(row + 1, column + 1, boxes, words, lines))
    return Poster(drawing, columns, rows, tuple(tiles), across, down, SCALE)


Point = tuple[float, float]


def _in(at: float, start: float, size: float) -> bool:
    return start <= at < start + size


def _passes(line: Line, left: float, top: float, wide: float, high: float) -> bool:
    """Whether a piece of the line lies on this part of the drawing."""
    return any(_crosses(a, b, (left, left + wide), (top, top + high)) for a, b in pairwise(along(line)))


def _crosses(a: Point, b: Point, across: Point, down: Point) -> bool:
    """Whether the straight piece from `a` to `b` has a point in the part from `across[0]` to `across[1]` and so on: the
    shares of it that lie within each pair of sides overlap.
    """
    first, last = 0.0, 1.0
    for start, end, (low, high) in ((a[0], b[0], across), (a[1], b[1], down)):
        if start == end:
            if not low <= start < high:
                return False
            continue
        near, far = sorted(((low - start) / (end - start), (high - start) / (end - start)))
        first, last = max(first, near), min(last, far)
    return first <= last


def poster_data(sheets: TreeSheets, poster: Poster) -> dict[str, object]:
    """What the template `poster` prints of a tree."""

    def told(tile: Tile) -> str:
        names = [box.box.head for box in tile.boxes]
        return f"Row {tile.row}, column {tile.column}: {'; '.join(names) or 'lines only'}."

    return {
        **sheets.front(),
        "columns": poster.columns,
        "rows": poster.rows,
        "across": poster.across,
        "down": poster.down,
        "scale": poster.scale,
        "size": SIZE * poster.scale,
        "sketch": [[b.x - b.w / 2, b.y - b.h / 2, b.w, b.h] for b in poster.drawing.boxes],
        "tiles": [
            {
                "row": tile.row,
                "column": tile.column,
                "boxes": [box_data(box) for box in tile.boxes],
                "lines": [line_data(line) for line in tile.lines],
                "words": [line_data(line) for line in tile.words],
                "alt": told(tile),
            }
            for tile in poster.tiles
        ],
    }
