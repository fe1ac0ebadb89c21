"""The work-up as plain text."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.plan.model import Plan
from diagnose.report.layout import WIDTH
from diagnose.report.model import WorkUp
from diagnose.report.text.moved import render as render_moved
from diagnose.report.text.work_up import work_up
from diagnose.rulebook.model import Book


def render(plan: Plan, book: Book, width: int = WIDTH) -> str:
    """One work-up, ending in a newline."""
    return "\n".join(work_up(plan, book, width)) + "\n"


def render_all(made: Sequence[WorkUp], many: bool = False) -> str:
    """Work-ups one after the other, each with what moved since the visit before, a ruled line between them."""
    return f"\n{'=' * WIDTH}\n\n".join(render(one.plan, one.book) + _moved(one) for one in made)


def _moved(one: WorkUp) -> str:
    return render_moved(one.moved) if one.moved is not None else ""
