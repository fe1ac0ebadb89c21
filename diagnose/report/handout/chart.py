"""One section of a tree laid out on the page, in several ways of which the largest is kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnose.report.handout import metrics
from diagnose.report.handout.boxes import Answer, Box
from diagnose.report.handout.placing import Line, Placed, laid, sized_box

WIDTH, HEIGHT = 509.0, 584.0
"""The share of a sheet for a drawing and what stands below it, in points: what Letter and A4 have in common, less
head, legend and word bank."""
NOTE_SIZE, NOTE_LEADING = 9.5, 12.0
LEAST, MOST = 0.905, 1.05
"""How far a chart may be fitted: type of 10 pt is printed at 9 pt at least."""
ROOMS = ((100.0, 62.0), (112.0, 76.0), (150.0, 100.0), (190.0, 130.0), (86.0, 52.0), (200.0, 62.0), (230.0, 62.0))
"""Widths tried for the lines in boxes and on lines, in points."""


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
            sized = [sized_box(box, box_room, blanks) for box in boxes]
            if room < 100 or _hopeless(sized, answers, way, room):
                continue
            drawn = laid(sized, answers, [answer.label for answer in answers], way, word_room)
            scale = min(MOST, WIDTH / drawn.width, room / drawn.height)
            chart = Chart(drawn.width, drawn.height, scale, drawn.boxes, drawn.lines, notes)
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
