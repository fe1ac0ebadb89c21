"""Readings that no cause of the book, and no healthy car, can show together."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.firings.model import Firings
from diagnose.rulebook.model import Book
from diagnose.yamlfile import InputError, Problem


class Contradiction(InputError):
    """What was recorded has no explanation at all: probability zero for every set of causes."""


def unexplained(book: Book, firings: Firings, quantities: Sequence[str]) -> Contradiction:
    """The sentence for readings that can't stand together."""
    told = [_told(firings, name) for name in quantities]
    if not told:
        says = "the history rules out every cause, and nothing else explains the car"
        return _at(firings, quantities, says, "check the facts about the car and its history")
    says = f"nothing in the book '{book.id}' can explain {' together with '.join(told)}"
    return _at(firings, quantities, says, "take one of these readings again, or leave out the one you trust least")


def impossible_proof(
    book: Book, firings: Firings, cause: str, rules: Sequence[str], ruled_out_by: str
) -> Contradiction:
    """The sentence for a cause that a reading proves and the car rules out."""
    fired = next(firing for firing in firings.fired if firing.rule.id == rules[0])
    told = " and ".join(_told(firings, condition.quantity) for condition in fired.on)
    says = f"{told} proves '{book.causes[cause].short}', but {_told(firings, ruled_out_by)} rules it out"
    names = [condition.quantity for condition in fired.on] + [ruled_out_by]
    return _at(firings, names, says, "check the reading and the facts about the car")


def _told(firings: Firings, name: str) -> str:
    finding = firings.findings.get(name)
    if finding is None:
        return f"the {name}"
    recorded = " and ".join(f"'{reading.recorded}'" for reading in finding.readings) or finding.shown
    return f"{finding.quantity.label} ({recorded})"


def _at(firings: Firings, quantities: Sequence[str], says: str, hint: str) -> Contradiction:
    found = [finding for name in quantities if (finding := firings.findings.get(name)) is not None]
    places = [reading.place for finding in found for reading in finding.readings if reading.place is not None]
    place = places[0] if places else firings.findings.case.place
    return Contradiction([Problem(place, "contradiction", says, hint)])
