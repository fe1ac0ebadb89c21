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
    method, method_at = said.get(METHOD, ("", example.place))
    entries = []
    for key, text, place in example.readings:
        if key not in (FAMILY, METHOD):
            methods = book.quantities[key].methods
            own = method if any(method in (each.id, each.label) for each in methods) else ""
            entries.append(Entry(key, text, own, "", "", place, place, method_at))
    family, at = said.get(FAMILY, (UNKNOWN, example.place))
    return case_with(entries, family, book, at, name)


def case_with(entries: Iterable[Entry], family: str, book: Book, place: Place, name: str = "example") -> Case:
    """A case of readings and givens only."""
    sorted_out: tuple[list[Entry], list[Entry]] = ([], [])
    for entry in entries:
        sorted_out[book.quantities[entry.name].role == "given"].append(entry)
    return Case(
        id=name,
        date=_NO_DAY,
        title=name,
        book=book.id,
        families=() if family == UNKNOWN else (Named(family, place),),
        givens=tuple(sorted_out[True]),
        readings=tuple(sorted_out[False]),
        state=(),
        note="",
        expect=None,
        outcome=None,
        place=place,
    )


def written(example: Example) -> str:
    """An example as it is written in a book."""
    return "{" + ", ".join(f"{name}: {text}" for name, text, _ in example.readings) + "}"
