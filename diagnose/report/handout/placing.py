"""Boxes and lines of a tree at their places: the sizes of the boxes are ours, Graphviz finds where they stand."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.report.diagram.dot import FONT, quoted
from diagnose.report.diagram.engine import layout
from diagnose.report.diagram.looks import DASHED
from diagnose.report.handout import metrics
from diagnose.report.handout.boxes import BLANK_LINES, BLANK_ROOM, LONG_ANSWER, SIZE, Answer, Box
from diagnose.report.handout.ellipse import around

LEADING = 12.0
RULED = 25.5
"""Room above each ruled line of a blank; 8 mm at the smallest size that is printed."""
NUMBER = 16.0
"""Room for the number of a blank, behind the first line."""
PAD_X, PAD_Y, TIP = 7.0, 4.0, 10.0
CLOSE = 40
"""Points that are looked at on each curve of a line."""
WORD = 190.0
"""A word makes its own line wider up to this, in points."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A box with its middle and size in points; `blank` is its number on the worksheet, 0 where it has none."""

    box: Box
    x: float
    y: float
    w: float
    h: float
    head: tuple[str, ...]
    main: tuple[str, ...]
    more: tuple[str, ...]
    blank: int


@dataclass(frozen=True, slots=True)
class Line:
    """Points of a chain of curves; the tip points at the box it leads to."""

    answer: Answer
    points: tuple[tuple[float, float], ...]
    word: tuple[str, ...]
    at: tuple[float, float]
    dashed: bool


@dataclass(frozen=True, slots=True)
class Drawing:
    """Size in points, boxes, and lines in the order of their answers."""

    width: float
    height: float
    boxes: tuple[Placed, ...]
    lines: tuple[Line, ...]


def sized_box(box: Box, room: float, blanks: Sequence[str]) -> Placed:
    """The box around its text, folded to a width; it has no place yet."""
    number = blanks.index(box.id) + 1 if box.id in blanks else 0
    room = max(room, *(_widest(text) for text in (box.head, box.main, *box.more, box.does)))
    head = tuple(metrics.fold(box.head, room - (NUMBER if number else 0), SIZE))
    main = tuple(metrics.fold(box.main, BLANK_ROOM if number else room, SIZE, bold=True))
    told = [*box.more, *([box.does] if box.does else [])]
    more = tuple(line for text in told for line in metrics.fold(text, room, SIZE))
    rows = rows_in(box, head, main, more, number)
    if box.kind == "result":
        wide, high = around(rows)
    else:
        tip = TIP if box.kind in ("continue", "open") else 0.0
        wide, high = max(wide for wide, _ in rows) + 2 * PAD_X + tip, sum(high for _, high in rows) + 2 * PAD_Y
    return Placed(box, 0, 0, wide, high, head, main, more, number)


def rows_in(
    box: Box, head: Sequence[str], main: Sequence[str], more: Sequence[str], number: int
) -> list[tuple[float, float]]:
    """Width and height of everything that stands in a box, from the top."""
    rows = [(metrics.width(line, SIZE) + (NUMBER if number else 0), LEADING) for line in head]
    if number:
        rows += [(BLANK_ROOM + 2, RULED)] * (BLANK_LINES - 1) + [(BLANK_ROOM + 2, RULED + 3)]
    else:
        rows += [(metrics.width(line, SIZE, bold=True), LEADING) for line in main]
    rows += [(metrics.width(line, SIZE), LEADING) for line in more]
    if box.foot:
        rows.append((metrics.width(f"► go to {box.foot}, page 00", SIZE, bold=True), LEADING + 3))
    return rows


def _widest(text: str) -> float:
    return min(WORD, metrics.widest(text, SIZE, bold=True))


def along(line: Line) -> Iterator[tuple[float, float]]:
    """Points on the curves of a line, close to each other, by the cubic formula of Bezier."""
    yield line.points[0]
    for start in range(0, len(line.points) - 3, 3):
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = line.points[start : start + 4]
        for n in range(1, CLOSE + 1):
            t, u = n / CLOSE, 1 - n / CLOSE
            yield (
                u**3 * ax + 3 * u * u * t * bx + 3 * u * t * t * cx + t**3 * dx,
                u**3 * ay + 3 * u * u * t * by + 3 * u * t * t * cy + t**3 * dy,
            )


def laid(
    sized: Sequence[Placed], answers: Sequence[Answer], labels: Sequence[str], way: str, word_room: float
) -> Drawing:
    """Boxes and lines at their places; `way` is LR or TB, `labels` are the texts on the lines."""
    rooms = [max(word_room * (2 if len(label) > LONG_ANSWER else 1), _widest(label)) for label in labels]
    words = [tuple(metrics.fold(label, room, SIZE)) for label, room in zip(labels, rooms, strict=True)]
    numbers = {placed.box.id: number for number, placed in enumerate(sized)}
    lines = [
        "digraph {",
        f"graph [rankdir={way} ranksep={0.2 if way == 'LR' else 0.22} nodesep=0.11 margin=0]",
        'node [shape=box fixedsize=true label=""]',
        f'edge [fontname="{FONT}" fontsize={SIZE:g} arrowsize=0.7]',
    ]
    for number, placed in enumerate(sized):
        shape = " shape=ellipse" if placed.box.kind == "result" else ""
        lines.append(f"{number} [width={placed.w / 72:.4f} height={placed.h / 72:.4f}{shape}]")
    for answer, word in zip(answers, words, strict=True):
        label = quoted("\n".join(f" {line} " for line in word)).replace("\n", "\\n")
        lines.append(f"{numbers[answer.edge.source]} -> {numbers[answer.edge.target]} [label={label}]")
    text = layout("\n".join([*lines, "}"]), "plain").decode()
    return _read(text, sized, answers, words)


def _read(
    text: str,
    sized: Sequence[Placed],
    answers: Sequence[Answer],
    words: Sequence[tuple[str, ...]],
) -> Drawing:
    rows = [shlex.split(row) for row in text.replace("\\\n", "").splitlines()]
    width, height = (float(value) * 72 for value in next(row for row in rows if row[0] == "graph")[2:4])
    boxes = list(sized)
    for row in rows:
        if row[0] == "node":
            placed = boxes[int(row[1])]
            boxes[int(row[1])] = replace(placed, x=float(row[2]) * 72, y=height - float(row[3]) * 72)
    waiting = _by_ends(answers, sized)
    lines = []
    for row in rows:
        if row[0] == "edge":
            number = waiting[int(row[1]), int(row[2])].pop(0)
            lines.append((number, _line(row, answers[number], words[number], height)))
    in_order = tuple(line for _, line in sorted(lines, key=lambda pair: pair[0]))
    return Drawing(width, height, tuple(boxes), in_order)


def _by_ends(answers: Sequence[Answer], sized: Sequence[Placed]) -> Mapping[tuple[int, int], list[int]]:
    """Edges between the same two boxes come back in the order in which they were given."""
    numbers = {placed.box.id: number for number, placed in enumerate(sized)}
    found: dict[tuple[int, int], list[int]] = {}
    for number, answer in enumerate(answers):
        ends = (numbers[answer.edge.source], numbers[answer.edge.target])
        found.setdefault(ends, []).append(number)
    return found


def _line(row: Sequence[str], answer: Answer, word: tuple[str, ...], height: float) -> Line:
    count = int(row[3])
    numbers = [float(value) * 72 for value in row[4 : 4 + 2 * count]]
    points = tuple(_pairs(numbers, height))
    rest = row[4 + 2 * count :]
    at = (float(rest[1]) * 72, height - float(rest[2]) * 72) if len(rest) >= 5 else points[len(points) // 2]
    return Line(answer, points, word, at, answer.edge.kind in DASHED)


def _pairs(numbers: Sequence[float], height: float) -> Iterator[tuple[float, float]]:
    for x, y in zip(numbers[::2], numbers[1::2], strict=True):
        yield (x, height - y)
