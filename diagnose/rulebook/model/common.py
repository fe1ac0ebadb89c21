"""What every part of a book is written with: sources, words for shares, amounts, conditions."""

from __future__ import annotations

from typing import Literal, NamedTuple

from diagnose.yamlfile import Place

DAY = 1440.0
"""Minutes."""
FAMILY = "family"
"""The name under which conditions and examples speak of the coolant family."""
SourceKind = Literal["standard", "handbook", "published", "common-practice", "judgement"]
MayDrive = Literal["yes", "short", "no"]


class Source(NamedTuple):
    id: str
    title: str
    publisher: str
    year: str
    kind: SourceKind
    where: str
    place: Place


class Citation(NamedTuple):
    """A source, and where in it (`at`: page, section, table; may be empty)."""

    source: str
    at: str
    place: Place


class Word(NamedTuple):
    """A frequency as the author wrote it ('often', '12 %') and as a fraction."""

    text: str
    value: float
    place: Place


class Amount(NamedTuple):
    """A number with its unit as written in the book, such as a family's value or interval."""

    value: float
    unit: str
    sources: tuple[Citation, ...]
    place: Place


class Scale(NamedTuple):
    """Words for frequencies, as fractions, in the order the book lists them."""

    words: tuple[tuple[str, float], ...]

    def value(self, word: str) -> float | None:
        return next((value for name, value in self.words if name == word), None)


class Condition(NamedTuple):
    """True where the quantity is in one of the bands (a family: is one of the ids)."""

    quantity: str
    bands: tuple[str, ...]
    place: Place


class Drive(NamedTuple):
    may: MayDrive
    because: str


class Excuse(NamedTuple):
    """An exception to a check of a whole book, written at the entry `entry` of kind `kind` (rule, cause, ...)."""

    kind: str
    entry: str
    check: str
    because: str
    date: str
    place: Place
