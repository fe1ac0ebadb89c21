"""The work-up as plain text."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.plan.model import Plan
from diagnose.report.layout import WIDTH
from diagnose.report.text.work_up import work_up
from diagnose.rulebook.model import Book


def render(plan: Plan, book: Book, width: int = WIDTH) -> str:
    """One work-up, ending in a newline."""
    return "\n".join(work_up(plan, book, width)) + "\n"


def render_all(plans: Sequence[tuple[Plan, Book]], many: bool = False) -> str:
    """Work-ups one after the other, a ruled line between them."""
    return f"\n{'=' * WIDTH}\n\n".join(render(plan, book) for plan, book in plans)
