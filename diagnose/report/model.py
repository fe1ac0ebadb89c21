"""What a report is made from."""

from __future__ import annotations

from typing import NamedTuple

from diagnose.plan.model import Plan
from diagnose.plan.moved import Moved
from diagnose.rulebook.model import Book


class WorkUp(NamedTuple):
    """A plan with the book it was made by; `moved` is None where the case has one visit only."""

    plan: Plan
    book: Book
    moved: Moved | None = None
