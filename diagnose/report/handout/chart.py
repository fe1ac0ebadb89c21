"""One section of a tree laid out on the page: Graphviz finds the places, the sizes of the boxes are ours."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.report.diagram.dot import FONT, quoted
from diagnose.report.diagram.engine import layout
from diagnose.report.diagram.looks import DASHED
from diagnose.report.handout import metrics
from diagnose.report.handout.boxes import BLANK_LINES, BLANK_ROOM, SIZE, Answer, Box
from diagnose.report.handout.ellipse import around

WIDTH, HEIGHT = 509.0, 584.0
"""The share of a sheet for a drawing and what stands below it, in points: what Letter and A4 have in common, less
head, legend and word bank."""
NOTE_SIZE, NOTE_LEADING = 9.5, 12.0
LEADING = 12.0
RULED = 25.5
"""Room above each ruled line of a blank; 8 mm at the smallest size that is printed."""
NUMBER = 16.0
"""Room for the number of a blank, behind the first line."""
PAD_X, PAD_Y, TIP = 7.0, 4.0, 10.0
LEAST, MOST = 0.905, 1.05
"""How far a chart may be fitted: type of 10 pt is printed at 9 pt at least."""
ROOMS = ((100.0, 62.0), (112.0, 76.0), (150.0, 100.0), (190.0, 130.0), (86.0, 52.0))
"""Widths tried for the lines in boxes and on lines, in points; a word makes its own line wider up to WORD."""
WORD = 190.0


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
class Chart:
    """`scale` is what it is printed at; `notes` stand below it."""

    width: float
    height: float
    scale: float
    boxes: tuple[Placed, ...]
    lines: tuple[Line, ...]
    notes: tuple[str, ...]


def best_chart(
    boxes: Sequence[Box], answers: Sequence[Answer], blanks: Sequence[str], services: Mapping[str, str]
) -> Chart | None:
    """The layout that is printed largest, or None where none reaches 9 pt."""
    notes = notes_below(boxes, answers, services)
    lines = sum(len(metrics.fold(note, WIDTH - 30, NOTE_SIZE)) for note in notes)
    room = HEIGHT - NOTE_LEADING * lines - 3 * len(notes)
    best: Chart | None = None
    for way in ("LR", "TB"):
        for box_room, word_room in ROOMS:
            sized = [_sized(box, box_room, blanks) for box in boxes]
            if room < 100 or _hopeless(sized, answers, way, room):
                continue
            chart = _laid(sized, answers, way, word_room, room, notes)
            if best is None or chart.scale > best.scale:
                best = chart
            if best.scale >= MOST:
                return best
    return best if best is not None and best.scale >= LEAST else None


def notes_below(boxes: Sequence[Box], answers: Sequence[Answer], services: Mapping[str, str]) -> tuple[str, ...]:
    """Answers too long for a line, and what is done with the coolant at the ends of this page."""
    used = {box.service for box in boxes}
    long = [f"{answer.name}: {answer.edge.word}." for answer in answers if answer.long]
    return (*long, *(f"{number}: {text}." for number, text in services.items() if number in used))


def _hopeless(sized: Sequence[Placed], answers: Sequence[Answer], way: str, room: float) -> bool:
    """Whether the boxes alone, side by side, are more than the page holds."""
    area = sum(placed.w * placed.h for placed in sized)
    sources = {answer.edge.source for answer in answers}
    leaves = [placed for placed in sized if placed.box.id not in sources]
    along = sum(leaf.h if way == "LR" else leaf.w for leaf in leaves)
    return area * LEAST**2 > WIDTH * room or along * LEAST * 0.5 > (room if way == "LR" else WIDTH)


def _sized(box: Box, room: float, blanks: Sequence[str]) -> Placed:
    number = blanks.index(box.id) + 1 if box.id in blanks else 0
    room = max(room, *(_widest(text) for text in (box.head, box.main, *box.more, box.does)))
    head = tuple(metrics.fold(box.head, room - (NUMBER if number else 0), SIZE))
    main = tuple(metrics.fold(box.main, BLANK_ROOM if number else room, SIZE, bold=True))
    told = [*box.more, *([box.does] if box.does else [])]
    more = tuple(line for text in told for line in metrics.fold(text, room, SIZE))
    rows = _rows(box, head, main, more, number)
    if box.kind == "result":
        wide, high = around(rows)
    else:
        tip = TIP if box.kind in ("continue", "open") else 0.0
        wide, high = max(wide for wide, _ in rows) + 2 * PAD_X + tip, sum(high for _, high in rows) + 2 * PAD_Y
    return Placed(box, 0, 0, wide, high, head, main, more, number)


def _rows(
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


def _laid(
    sized: Sequence[Placed], answers: Sequence[Answer], way: str, word_room: float, room: float, notes: tuple[str, ...]
) -> Chart:
    words = [tuple(metrics.fold(answer.label, max(word_room, _widest(answer.label)), SIZE)) for answer in answers]
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
    return _read(text, sized, answers, words, room, notes)


def _read(
    text: str,
    sized: Sequence[Placed],
    answers: Sequence[Answer],
    words: Sequence[tuple[str, ...]],
    room: float,
    notes: tuple[str, ...],
) -> Chart:
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
    scale = min(MOST, WIDTH / width, room / height)
    in_order = tuple(line for _, line in sorted(lines, key=lambda pair: pair[0]))
    return Chart(width, height, scale, tuple(boxes), in_order, notes)


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
