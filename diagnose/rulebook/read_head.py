"""The head of a book: the mapping `rulebook` and the list of changes."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.rulebook.known import Known
from diagnose.rulebook.model import Change, Word
from diagnose.rulebook.parts import read_date
from diagnose.yamlfile import Record


@dataclass(frozen=True, slots=True)
class Head:
    id: str
    title: str
    edition: str
    language: str
    scope: str
    defers_to: str
    weights_are: str
    not_in_book: Word


def read_head(record: Record, known: Known, folder_name: str) -> Head:
    name = record.ident()
    if name and folder_name and name != folder_name:
        says = f"the book's id is '{name}' but its folder is called '{folder_name}'"
        known.problems.add(record.place_of("id"), "id-not-folder", says, "give both the same name")
    return Head(
        id=name,
        title=record.text("title"),
        edition=record.text("edition"),
        language=record.text("language"),
        scope=record.text("scope"),
        defers_to=record.text("defers_to"),
        weights_are=record.text("weights_are"),
        not_in_book=known.word(record, "not_in_book", known.how_common),
    )


def read_change(record: Record) -> Change:
    return Change(record.text("edition"), read_date(record, "date"), record.text("what"), record.place)
