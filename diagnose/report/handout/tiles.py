"""A large drawing pulled apart so that no cut between two sheets of paper goes through a box or a word."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from diagnose.report.handout import metrics
from diagnose.report.handout.boxes import SIZE
from diagnose.report.handout.placing import LEADING, Drawing, Line

FINE = 4.0
"""Points between the places at which a cut is tried."""
SOFT = 40.0
"""Points of a line on either side of a cut over which it is stretched."""

Extent = tuple[float, float]


class NoCut(ValueError):
    """A box is larger than a sheet."""


@dataclass(frozen=True, slots=True)
class _Cut:
    """What lies beyond `at` is moved by `gap`; places are those of the drawing as it was."""

    at: float
    gap: float


def pulled_apart(drawing: Drawing, wide: float, high: float, flap: float) -> tuple[Drawing, int, int]:
    """The same drawing with every box and word whole on one sheet, and its columns and rows of sheets.

    Sheets show `wide` x `high` points of it, and `flap` more of the next sheet at the right and below, in which
    nothing but lines may stand. Raises NoCut.
    """
    across = [(box.x - box.w / 2, box.x + box.w / 2) for box in drawing.boxes]
    down = [(box.y - box.h / 2, box.y + box.h / 2) for box in drawing.boxes]
    for line in drawing.lines:
        w, h = size_of_word(line)
        across.append((line.at[0] - w / 2, line.at[0] + w / 2))
        down.append((line.at[1] - h / 2, line.at[1] + h / 2))
    cuts_x, cuts_y = _cuts(across, wide, flap), _cuts(down, high, flap)
    boxes = tuple(replace(b, x=b.x + _moved(b.x, cuts_x), y=b.y + _moved(b.y, cuts_y)) for b in drawing.boxes)
    before = {box.box.id: (box.x, box.y) for box in drawing.boxes}
    lines = tuple(_stretched(line, before, cuts_x, cuts_y) for line in drawing.lines)
    lines = tuple(
        _beside(line, old, before, (cuts_x, cuts_y), (wide, high), flap)
        for line, old in zip(lines, drawing.lines, strict=True)
    )
    return Drawing(wide * (len(cuts_x) + 1), high * (len(cuts_y) + 1), boxes, lines), len(cuts_x) + 1, len(cuts_y) + 1


def size_of_word(line: Line) -> tuple[float, float]:
    """Width and height of what stands on a line."""
    return max(metrics.width(text, SIZE) for text in line.word) + 4, len(line.word) * LEADING


def _cuts(extents: Sequence[Extent], pitch: float, flap: float) -> list[_Cut]:
    """From the first sheet to the last, each cut where least room is lost."""
    found: list[_Cut] = []
    moved, start, before = 0.0, 0.0, 0.0
    while max(high for low, high in extents) + moved > start + pitch:
        best: _Cut | None = None
        at = start + pitch - moved
        while at > before:
            first = max((high for low, high in extents if (low + high) / 2 <= at), default=at)
            last = min((low for low, high in extents if (low + high) / 2 > at), default=at)
            if first + moved <= start + pitch:
                gap = start + pitch + flap - (last + moved)
                if last > before and (best is None or gap < best.gap):
                    best = _Cut(at, max(gap, 0.0))
            at -= FINE
        if best is None:
            raise NoCut
        found.append(best)
        moved += best.gap
        start += pitch
        before = best.at
    return found


def _moved(middle: float, cuts: Sequence[_Cut]) -> float:
    return sum(cut.gap for cut in cuts if middle > cut.at)


def _eased(at: float, cuts: Sequence[_Cut]) -> float:
    return sum(cut.gap * min(1.0, max(0.0, (at - cut.at + SOFT) / (2 * SOFT))) for cut in cuts)


def _stretched(
    line: Line, before: dict[str, tuple[float, float]], cuts_x: Sequence[_Cut], cuts_y: Sequence[_Cut]
) -> Line:
    """The ends go with their boxes, what lies between is eased over the cuts."""
    ends = {0: line.answer.edge.source, 1: line.answer.edge.source}
    ends |= {len(line.points) - 2: line.answer.edge.target, len(line.points) - 1: line.answer.edge.target}
    points = []
    for number, (x, y) in enumerate(line.points):
        if number in ends:
            box_x, box_y = before[ends[number]]
            points.append((x + _moved(box_x, cuts_x), y + _moved(box_y, cuts_y)))
        else:
            points.append((x + _eased(x, cuts_x), y + _eased(y, cuts_y)))
    at = (line.at[0] + _moved(line.at[0], cuts_x), line.at[1] + _moved(line.at[1], cuts_y))
    return replace(line, points=tuple(points), at=at)


def _beside(
    line: Line,
    old: Line,
    before: dict[str, tuple[float, float]],
    cuts: tuple[Sequence[_Cut], Sequence[_Cut]],
    pitch: tuple[float, float],
    flap: float,
) -> Line:
    """The word follows its line where a cut went between them and both ends of the line went the same way."""
    at = list(line.at)
    source, target = before[line.answer.edge.source], before[line.answer.edge.target]
    for axis in (0, 1):
        one, other = _moved(source[axis], cuts[axis]), _moved(target[axis], cuts[axis])
        there, half = old.at[axis] + one, size_of_word(old)[axis] / 2
        start = (there - half) % pitch[axis]
        free = start >= (flap if there - half >= pitch[axis] else 0) and start + 2 * half <= pitch[axis]
        if one == other and free:
            at[axis] = there
    return replace(line, at=(at[0], at[1]))
