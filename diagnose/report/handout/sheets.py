"""Everything that is printed for a class: a template, its data, and the paper. One sheet is one PDF."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from typing import Literal

from diagnose.graph.from_diagnosis import Path
from diagnose.plan.model import Plan
from diagnose.report.handout import metrics
from diagnose.report.handout.lesson_sheets import cards_data, lesson_data, misconceptions_data
from diagnose.report.handout.poster import poster_data, poster_of
from diagnose.report.handout.strip import strip_data
from diagnose.report.handout.tree_sheets import MODES, TreeSheets
from diagnose.report.paper.press import press
from diagnose.rulebook.model import Book

_TIED = re.compile(r" (?=- )|(?<=[0-9]) (?=(?:second|minute|hour|day|month|year|litre)s?\b)")
Paper = Literal["letter", "a4"]
PAPERS: tuple[Paper, ...] = ("letter", "a4")
TEMPLATES: dict[str, tuple[str, ...]] = {
    "tree": ("base", "chart", "tree"),
    "poster": ("base", "chart", "poster"),
    "strip": ("base", "strip"),
    "cards": ("base", "cards"),
    "misconceptions": ("base", "misconceptions", "misconceptions_page"),
    "lesson": ("base", "misconceptions", "lesson"),
}
"""The files that make up a template, in the order in which they are read."""


class NoGlyph(ValueError):
    """A character that the shipped typeface can't print; says which and where."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """`name` is the file's name without paper and ending."""

    name: str
    template: str
    data: Mapping[str, object]


def sheets_for_tree(trees: TreeSheets) -> tuple[Sheet, ...]:
    return tuple(Sheet(f"{trees.graph.id}.{mode}", "tree", trees.data(mode)) for mode in MODES)


def sheet_for_poster(trees: TreeSheets) -> Sheet:
    """The whole tree over several sheets of paper. Raises TooLong."""
    return Sheet(f"{trees.graph.id}.poster", "poster", poster_data(trees, poster_of(trees.boxes, trees.gate())))


def sheets_for_book(book: Book) -> tuple[Sheet, ...]:
    """Those that need no tree, lessons aside."""
    found = [Sheet(f"{book.id}.tests", "cards", cards_data(book))]
    if book.misconceptions:
        found.append(Sheet(f"{book.id}.misconceptions", "misconceptions", misconceptions_data(book)))
    return tuple(found)


def sheet_for_case(trees: TreeSheets, path: Path, plan: Plan) -> Sheet:
    return Sheet(f"{plan.diagnosis.firings.findings.case.id}.path", "strip", strip_data(trees, path, plan))


def sheet_for_lesson(book: Book, lesson: str) -> Sheet:
    return Sheet(f"{book.id}.lesson-{lesson}", "lesson", lesson_data(book, lesson))


def printed(sheet: Sheet, book: Book, paper: Paper) -> bytes:
    """The PDF. Raises NoGlyph, and NoPress where typst is not installed."""
    edition_day = book.changes[-1].date if book.changes else ""
    about = ", ".join(filter(None, (book.title, f"edition {book.edition}", edition_day)))
    data = {
        "kind": "",
        "foot": sheet.data["title"],
        **sheet.data,
        "paper": paper,
        "language": book.language,
        "book": about,
    }
    _check(data)
    return press(source_of(sheet.template), glued(data))


def source_of(template: str) -> str:
    folder = files("diagnose.report.handout")
    return "\n".join((folder / f"{name}.typ").read_text(encoding="utf-8") for name in TEMPLATES[template])


def texts(value: object) -> Iterator[str]:
    """Every text in the data, in order."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for each in value.values():
            yield from texts(each)
    elif isinstance(value, Sequence):
        for each in value:
            yield from texts(each)


def glued(value: object) -> object:
    """The same data with units as they are printed; charts were folded with them already.

    No line begins with a dash, and none parts '15' from 'minutes'.
    """
    if isinstance(value, str):
        return _TIED.sub("\u00a0", metrics.glue(value)) if " " in value else value
    if isinstance(value, Mapping):
        return {key: glued(each) for key, each in value.items()}
    if isinstance(value, Sequence):
        return [glued(each) for each in value]
    return value


def _check(data: Mapping[str, object]) -> None:
    for text in texts(data):
        missing = metrics.lacks(text)
        if missing:
            told = ", ".join(f"'{char}' (U+{ord(char):04X})" for char in missing)
            raise NoGlyph(f"the typeface of handouts has no {told}, which stands in '{text[:60]}'")
