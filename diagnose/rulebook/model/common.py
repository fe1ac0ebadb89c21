"""What every part of a book is written with: sources, words for shares, amounts, conditions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diagnose.yamlfile import Place

DAY = 1440.0
"""Minutes."""
FAMILY = "family"
"""The name under which conditions and examples speak of the coolant family."""
SourceKind = Literal["standard", "handbook", "published", "common-practice", "judgement"]
MayDrive = Literal["yes", "short", "no"]


@dataclass(frozen=True, slots=True)
class Source:
    id: str
    title: str
    publisher: str
    year: str
    kind: SourceKind
    where: str
    place: Place


@dataclass(frozen=True, slots=True)
class Citation:
    """A source, and where in it (`at`: page, section, table; may be empty)."""

    source: str
    at: str
    place: Place


@dataclass(frozen=True, slots=True)
class Word:
    """A frequency as the author wrote it ('often', '12 %') and as a fraction."""

    text: str
    value: float
    place: Place


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with its unit as written in the book, such as a family's value or interval."""

    value: float
    unit: str
    sources: tuple[Citation, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Scale:
    """Words for frequencies, as fractions, in the order the book lists them."""

    words: tuple[tuple[str, float], ...]

    def value(self, word: str) -> float | None:
        return next((value for name, value in self.words if name == word), None)


@dataclass(frozen=True, slots=True)
class Condition:
    """True where the quantity is in one of the bands (a family: is one of the ids)."""

    quantity: str
    bands: tuple[str, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Drive:
    may: MayDrive
    because: str


@dataclass(frozen=True, slots=True)
class Excuse:
    """An exception to a check of a whole book, written at the entry `entry` of kind `kind` (rule, cause, ...)."""

    kind: str
    entry: str
    check: str
    because: str
    date: str
    place: Place
