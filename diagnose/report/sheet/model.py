"""A sheet of paper as its parts, before it is text, a page for the screen or a PDF."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

Verdict = Literal["right", "low", "high", "wrong", "unclear"]


@dataclass(frozen=True, slots=True)
class Bar:
    """A reading against its limits. Places are shares of the scale, 0 to 1; `good` is what is right.

    `word` says what the reading means, `limits` what is right. `scale` names both ends. Without `good` and
    `reading` (told in words, or not to be drawn) there is no line to be drawn.
    """

    label: str
    shown: str
    word: str
    verdict: Verdict
    limits: str
    scale: tuple[str, str] = ("", "")
    good: tuple[float, float] | None = None
    reading: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph; `strong` for what must not be overlooked."""

    text: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Points:
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Job:
    """One step of work: a box to tick, what is done, how, and cautions."""

    title: str
    lines: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Jobs:
    """Steps in order."""

    jobs: tuple[Job, ...]


@dataclass(frozen=True, slots=True)
class Bars:
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """`rows` under `head`; an empty cell is left to be written in by hand."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Blanks:
    """Fields to be filled in by hand; `ticks` are boxes to tick behind them."""

    names: tuple[str, ...]
    ticks: tuple[str, ...] = ()


Block: TypeAlias = Text | Points | Jobs | Bars | Table | Blanks


@dataclass(frozen=True, slots=True)
class Section:
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """`about` stands under the title, `foot` at the foot of every page."""

    title: str
    about: str
    language: str
    sections: tuple[Section, ...]
    foot: str
