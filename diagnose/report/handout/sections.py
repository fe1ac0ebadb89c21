"""A tree cut into sections that can be read on paper, one a page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from diagnose.report.handout.boxes import Answer, Box, Boxes, apart, blanks_among, letters
from diagnose.report.handout.chart import Chart, best_chart

MOST_BOXES = 16
"""A section with more boxes is cut, however small they are."""


class TooLong(ValueError):
    """A text that no page holds at 9 pt; says which."""


@dataclass(frozen=True, slots=True)
class Section:
    """The part of a tree below `root`, as far as `answers` go. `part` counts from 1 where one question's answers fill
    several pages (`parts`). `origin` names the answers that lead here (3b), '' at the beginning.
    """

    letter: str
    root: str
    answers: tuple[Answer, ...]
    boxes: tuple[Box, ...]
    chart: Chart
    part: int
    parts: int
    origin: str

    @property
    def questions(self) -> list[Box]:
        """Those that are asked here; what goes on elsewhere is only named."""
        asked = {answer.edge.source for answer in self.answers}
        return [box for box in self.boxes if box.id in asked]


@dataclass(frozen=True, slots=True)
class _Cut:
    root: str
    answers: tuple[Answer, ...]


@dataclass(frozen=True, slots=True)
class _Laid:
    cut: _Cut
    chart: Chart
    boxes: tuple[Box, ...]


def sections_of(tree: Boxes, seed: str) -> tuple[Section, ...]:
    """Sections in the order of their first questions. Raises TooLong."""
    several = [answer.edge.target for answer in tree.answers]
    shared = [n for n in dict.fromkeys(several) if tree.is_question(n) and several.count(n) > 1]
    waiting = [_Cut(root, tuple(_reached(root, tree, set(shared) - {root}))) for root in (tree.root, *shared)]
    done: list[_Laid] = []
    while waiting:
        cut = waiting.pop()
        laid = _laid(cut, tree, seed)
        if laid is None:
            waiting += _split(cut, tree)
        else:
            done.append(laid)
    order, answers = list(tree.by_id), list(tree.answers)
    done.sort(key=lambda each: (order.index(each.cut.root), answers.index(each.cut.answers[0])))
    done = _joined(done, tree, seed)
    roots = [each.cut.root for each in done]
    return tuple(_section(number, roots, each, tree) for number, each in enumerate(done))


def _laid(cut: _Cut, tree: Boxes, seed: str) -> _Laid | None:
    """The page of a cut, or None where no page holds it."""
    boxes, answers = apart(_boxes(cut, tree), cut.answers)
    if len(boxes) > MOST_BOXES:
        return None
    chart = best_chart(boxes, answers, blanks_among(boxes, seed), tree.services)
    return None if chart is None else _Laid(cut, chart, boxes)


def _joined(done: Sequence[_Laid], tree: Boxes, seed: str) -> list[_Laid]:
    """Cutting at the half leaves pages half empty: a part goes back to the page that it was cut from where both fit.

    From the last page to the first, so that what hangs together deepest is joined first.
    """
    left = list(done)
    roots = [each.cut.root for each in done]
    for part in reversed(done):
        root = part.cut.root
        into = [each for each in left if any(answer.edge.target == root for answer in each.cut.answers)]
        if len(into) != 1 or roots.count(root) > 1:
            continue  # it is come to from several pages, or fills several itself
        part = next(each for each in left if each.cut.root == root)
        taken = {*into[0].cut.answers, *part.cut.answers}
        both = _laid(_Cut(into[0].cut.root, tuple(a for a in tree.answers if a in taken)), tree, seed)
        if both is not None and into[0] is not part:
            left[left.index(into[0])] = both
            left.remove(part)
    return left


def _reached(root: str, tree: Boxes, stops: set[str]) -> list[Answer]:
    found: list[Answer] = []
    waiting = [root]
    seen = {root}
    while waiting:
        name = waiting.pop(0)
        for answer in tree.below(name):
            found.append(answer)
            target = answer.edge.target
            if target not in stops and target not in seen:
                seen.add(target)
                waiting.append(target)
    return found


def _boxes(cut: _Cut, tree: Boxes) -> tuple[Box, ...]:
    """The boxes of a section; a question that is asked elsewhere says where."""
    asked = {answer.edge.source for answer in cut.answers}
    names = [cut.root, *(answer.edge.target for answer in cut.answers)]
    found = []
    for name in dict.fromkeys(names):
        box = tree.by_id[name]
        elsewhere = tree.is_question(name) and name not in asked
        found.append(replace(box, kind="exit", foot=box.address) if elsewhere else box)
    return tuple(found)


def _split(cut: _Cut, tree: Boxes) -> list[_Cut]:
    """Cut off the question whose own part is nearest to half; of a single question, the later half of its answers."""
    asked = list(dict.fromkeys(answer.edge.source for answer in cut.answers))
    if len(asked) == 1:
        if len(cut.answers) == 1:
            box = tree.by_id[cut.root]
            raise TooLong(f"'{box.head}' and what follows it can't be printed at 9 pt: its texts are too long")
        half = (len(cut.answers) + 1) // 2
        return [
            _Cut(cut.root, cut.answers[:half]),
            _Cut(cut.root, cut.answers[half:]),
        ]
    inside = set(asked)
    parts = {name: _inside(name, cut.answers, inside) for name in asked if name != cut.root}
    name = min(parts, key=lambda each: abs(2 * len(parts[each]) - len(cut.answers)))
    taken = parts[name]
    return [_Cut(cut.root, tuple(a for a in cut.answers if a not in taken)), _Cut(name, tuple(taken))]


def _inside(root: str, answers: Sequence[Answer], asked: set[str]) -> list[Answer]:
    names = {root}
    found: list[Answer] = []
    for answer in answers:  # in the order in which they are reached
        if answer.edge.source in names:
            found.append(answer)
            if answer.edge.target in asked:
                names.add(answer.edge.target)
    return found


def _section(number: int, roots: Sequence[str], laid: _Laid, tree: Boxes) -> Section:
    cut = laid.cut
    origin = ", ".join(answer.name for answer in tree.answers if answer.edge.target == cut.root)
    part, parts = roots[: number + 1].count(cut.root), roots.count(cut.root)
    return Section(letters(number).upper(), cut.root, cut.answers, laid.boxes, laid.chart, part, parts, origin)
