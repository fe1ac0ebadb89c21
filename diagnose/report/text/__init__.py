"""The work-up as plain text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.plan.model import Plan
from diagnose.report.layout import WIDTH
from diagnose.report.model import WorkUp
from diagnose.report.text.moved import render as render_moved
from diagnose.report.text.work_up import work_up
from diagnose.rulebook.model import Book


def render(plan: Plan, book: Book, width: int = WIDTH) -> str:
    """One work-up, ending in a newline."""
    return "\n".join(work_up(plan, book, width)) + "\n"


def render_one(made: WorkUp) -> str:
    """One work-up, with what moved since the visit before."""
    return render(made.plan, made.book) + (render_moved(made.moved) if made.moved is not None else "")


def joined(rendered: Iterable[str], many: bool) -> Iterator[str]:
    """Work-ups one after the other, a ruled line between them."""
    for number, each in enumerate(rendered):
        yield f"\n{'=' * WIDTH}\n\n{each}" if number else each
