"""What somebody noted beside a reading, a fact of the history or a visit: for the workshop, word for word."""

from __future__ import annotations

from diagnose.case.model import Case, Work
from diagnose.rulebook.model import Book


def noted(case: Case, book: Book) -> tuple[str, ...]:
    """The notes of one visit: its own, then each with the name of what it stands beside."""
    own = [case.note.strip()] if case.note.strip() else []
    for entry in (*case.givens, *case.readings):
        quantity = book.quantities.get(entry.name)
        if entry.note.strip():
            own.append(f"{quantity.label if quantity is not None else entry.name}: {entry.note.strip()}")
    return tuple(dict.fromkeys(own))


def noted_then(case: Case, work: Work | None, book: Book) -> tuple[str, ...]:
    """The notes of an earlier visit, with what was noted on the work done at its end."""
    done = (f"work: {work.note.strip()}",) if work is not None and work.note.strip() else ()
    return (*noted(case, book), *done)
