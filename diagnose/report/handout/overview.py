"""The overview of a tree: its sections as boxes, one below the other, and the answers that lead from one to the next.

The places are ours. Graphviz would spread a deep tree over more than a page; set in steps, a section takes one row.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from diagnose.report.diagram.looks import DASHED
from diagnose.report.handout import metrics
from diagnose.report.handout.boxes import Answer, Boxes
from diagnose.report.handout.chart import WIDTH
from diagnose.report.handout.sections import Section

TYPE = 10.0
"""Points; it is never set smaller."""
ROOM = 604.0
"""What a page has for the overview, less its heading and legend."""
SPACING = ((13.0, 19.0, 5.0), (11.5, 16.0, 2.5))
"""Room for the answer above a box, for the box itself, and below it; the second is for many sections."""
STEP, LEAST_STEP = 28.0, 16.0
"""How far each section stands to the right of the one that leads to it; less where the tree is deep."""
PAD, BETWEEN = 6.0, 8.0
LIST_ROW = 15.0


@dataclass(frozen=True, slots=True)
class Row:
    """A section, or the way to one that is drawn elsewhere (`again`). `letters` are several where one question fills
    several pages. `word` is the answer that leads here from the row `above`, both empty at the beginning.
    """

    letters: tuple[str, ...]
    title: str
    questions: str
    word: str
    dashed: bool
    above: int
    again: bool
    x: float
    y: float
    w: float


@dataclass(frozen=True, slots=True)
class Overview:
    """Rows from the top, each at its place in points; `height` is what they take, `word` and `box` what the answer and
    the box take of each. `fits` tells whether a page holds them, `listed` whether a list of
    the sections has room below.
    """

    rows: tuple[Row, ...]
    height: float
    word: float
    box: float
    fits: bool
    listed: bool


@dataclass(frozen=True, slots=True)
class _Group:
    """The sections in which one question's answers are drawn."""

    sections: tuple[Section, ...]

    @property
    def answers(self) -> list[Answer]:
        return [answer for section in self.sections for answer in section.answers]


def overview_of(sections: Sequence[Section], tree: Boxes) -> Overview:
    """Sections in the order in which they are met, each once, and every answer that leads from one to another."""
    groups: dict[str, _Group] = {}
    for section in sections:
        groups[section.root] = _Group((*(groups[section.root].sections if section.root in groups else ()), section))
    met = list(_met(tree.root, -1, None, groups, set()))
    word, box, gap = next((each for each in SPACING if len(met) * sum(each) - each[0] <= ROOM), SPACING[-1])
    step = min(STEP, max(LEAST_STEP, WIDTH / 2 / max(1, *(depth for depth, *_ in met))))
    rows: list[Row] = []
    last: dict[int, int] = {}  # the row that was met last at each depth
    y = 0.0
    for depth, root, answer, again in met:
        last[depth] = len(rows)
        y += word if answer is not None else 0.0
        rows.append(_row(groups[root], tree, answer, again, last.get(depth - 1, -1), depth * step, y))
        y += box + gap
    listed = y + LIST_ROW * (len(sections) + 2) <= ROOM
    return Overview(tuple(rows), y, word, box, fits=y <= ROOM, listed=listed)


def _met(
    root: str, depth: int, answer: Answer | None, groups: dict[str, _Group], done: set[str]
) -> Iterator[tuple[int, str, Answer | None, bool]]:
    again = root in done
    done.add(root)
    yield depth + 1, root, answer, again
    if not again:
        order = list(groups)
        exits = [answer for answer in groups[root].answers if answer.edge.target in groups]
        for each in sorted(exits, key=lambda answer: order.index(answer.edge.target)):
            yield from _met(each.edge.target, depth + 1, each, groups, done)


def _row(group: _Group, tree: Boxes, answer: Answer | None, again: bool, above: int, x: float, y: float) -> Row:
    first = group.sections[0]
    numbers = [int(box.address) for section in group.sections for box in section.questions]
    questions = runs(sorted(set(numbers)))
    letters = ", ".join(section.letter for section in group.sections)
    pages = ", ".join("00" for _ in group.sections)
    title, w = tree.by_id[first.root].main, WIDTH - x
    beside = metrics.width(f"pages {pages}questions {questions}", TYPE) + metrics.width(f"{letters}, ", TYPE, bold=True)
    room = w - 2 * PAD - beside - 2 * BETWEEN
    return Row(
        letters=tuple(section.letter for section in group.sections),
        title=one_line(title, max(room, 60.0), TYPE),
        questions=questions,
        word=one_line(f"{answer.name} {answer.edge.word}", w - 4, TYPE, bold=False) if answer is not None else "",
        dashed=answer is not None and answer.edge.kind in DASHED,
        above=above,
        again=again,
        x=x,
        y=y,
        w=w,
    )


def one_line(text: str, room: float, size: float, bold: bool = True) -> str:
    """As much of a text as one line holds, with dots where something is left out."""
    whole = metrics.fold(text, room, size, bold)
    if len(whole) == 1:
        return whole[0]
    return f"{metrics.fold(text, room - metrics.width(' ...', size, bold), size, bold)[0]} ..."


def runs(numbers: Sequence[int]) -> str:
    """'3 to 5, 9'."""
    found: list[list[int]] = []
    for number in numbers:
        if found and number == found[-1][-1] + 1:
            found[-1].append(number)
        else:
            found.append([number])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in found)
