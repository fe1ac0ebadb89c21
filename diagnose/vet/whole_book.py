"""A book that was read, with what several checks ask of it, each reckoned once."""

from __future__ import annotations

from functools import cached_property

from diagnose.diagnosis.belief import Belief
from diagnose.firings.from_findings import RuleEngine
from diagnose.rulebook.model import Book
from diagnose.vet.uses import Uses, uses_of


class WholeBook:
    def __init__(self, book: Book) -> None:
        self.book = book

    @cached_property
    def uses(self) -> Uses:
        """Which names the book itself makes use of."""
        return uses_of(self.book)

    @cached_property
    def belief(self) -> Belief:
        return Belief(self.book)

    @cached_property
    def engine(self) -> RuleEngine:
        """The plain matcher: what is judged here is the book and not the engine."""
        return RuleEngine(self.book, "plain")
