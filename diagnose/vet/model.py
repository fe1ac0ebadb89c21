"""What comes of vetting a book."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.rulebook.model import Book, Excuse
from diagnose.yamlfile import Problem


@dataclass(frozen=True, slots=True)
class Vetting:
    """`problems` are to be mended, `excused` are let pass with the excuse that stands at the entry.

    `book` is None where the mistakes leave nothing that could be judged as a whole; then the checks
    of whole books are still to come. `mechanisms` counts the different ones that the rules tell.
    """

    name: str
    book: Book | None
    problems: tuple[Problem, ...]
    excused: tuple[tuple[Problem, Excuse], ...]
    mechanisms: int
