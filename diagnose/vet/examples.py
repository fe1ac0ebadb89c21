"""Readings beside each other, as a rule's example lists them, made into a case."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from diagnose.case.model import Case, Entry, Named
from diagnose.findings.words import UNKNOWN
from diagnose.rulebook.model import FAMILY, Book, Example
from diagnose.yamlfile import Place

METHOD = "method"
"""Names the instrument of those quantities of an example that have it."""
_NO_DAY = date(2000, 1, 1)
"""Nothing that is asked of an example depends on its date."""


def case_of(example: Example, book: Book, name: str) -> Case:
    """The case that an example stands for; `name` becomes its id."""
    said = {key: (text, place) for key, text, place in example.readings}
    family, at = said.get(FAMILY, (UNKNOWN, example.place))
    method, method_at = said.get(METHOD, ("", example.place))
    entries = []
    for key, text, place in example.readings:
        if key in (FAMILY, METHOD):
            continue
        quantity = book.quantities[key]
        own = method if any(method in (each.id, each.label) for each in quantity.methods) else ""
        entries.append(Entry(key, text, own, "", "", place, place, method_at))
    return Case(
        id=name,
        date=_NO_DAY,
        title=name,
        book=book.id,
        families=() if family == UNKNOWN else (Named(family, at),),
        givens=tuple(entry for entry in entries if book.quantities[entry.name].role == "given"),
        readings=tuple(entry for entry in entries if book.quantities[entry.name].role != "given"),
        state=(),
        note="",
        expect=None,
        outcome=None,
        place=example.place,
    )


def written(readings: Iterable[tuple[str, str]]) -> str:
    """Readings as an example is written in a book."""
    return "{" + ", ".join(f"{name}: {text}" for name, text in readings) + "}"


def example_of(readings: Iterable[tuple[str, str]], place: Place) -> Example:
    return Example(tuple((name, text, place) for name, text in readings), place)
