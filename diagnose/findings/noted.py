"""Words that were noted behind a reading, and said again where the book names them."""

from __future__ import annotations

from diagnose.case.model import Case
from diagnose.findings.words import NOT_DONE, UNKNOWN, plain
from diagnose.rulebook.model import Book, Quantity

_NOTHING = ("none", "no", "nothing", "no one", UNKNOWN, NOT_DONE)


def noted(case: Case, quantity: Quantity) -> str:
    """What was noted behind the readings of a quantity; '' where nothing, or that there is nothing."""
    notes = dict.fromkeys(entry.note.strip() for entry in case.readings if entry.name == quantity.id)
    return "; ".join(note for note in notes if note and plain(note) not in _NOTHING)


def said_at(case: Case, book: Book, name: str) -> list[str]:
    """'The circuit noted: amplifier', for each note that is said again at the quantity or the cause `name`."""
    told = []
    for quantity in book.noting:
        asked = quantity.note
        if asked is not None and name in (*asked.said_at, *asked.causes) and (words := noted(case, quantity)):
            told.append(f"The {asked.label} noted: {words}.")
    return told
