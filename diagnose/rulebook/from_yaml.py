"""A folder of YAML to a Book: the only way in. All problems come at once, each with its place."""

from __future__ import annotations

import gc
import os
import stat
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Protocol, TypeVar

from diagnose.rulebook.check_book import check_book
from diagnose.rulebook.files import HEAD, Sections, read_sections
from diagnose.rulebook.formula import check_formulas
from diagnose.rulebook.known import Known, gather_ids
from diagnose.rulebook.model import Book
from diagnose.rulebook.read_cause import read_cause
from diagnose.rulebook.read_entry import read_entry
from diagnose.rulebook.read_family import check_families, read_family, read_source, read_state
from diagnose.rulebook.read_head import read_change, read_head
from diagnose.rulebook.read_quantity import ROLES, read_quantity
from diagnose.rulebook.read_reckoning import read_reckoning
from diagnose.rulebook.read_rule import read_rule
from diagnose.rulebook.read_teaching import (
    read_card_group,
    read_lesson,
    read_misconception,
    read_themes,
    themes_by_label,
)
from diagnose.rulebook.read_test import read_caution, read_repair_work, read_service, read_test
from diagnose.rulebook.words import read_scale
from diagnose.yamlfile import InputError, Node, Place, Problem, Problems, Record


class _HasId(Protocol):
    @property
    def id(self) -> str: ...


T = TypeVar("T", bound=_HasId)
U = TypeVar("U")


def read_book(folder: Path, shown_as: str | None = None) -> Book:
    """Read the book in `folder`; places name its files as `shown_as`/... Raises InputError."""
    book, problems = read_with_problems(folder, shown_as)
    if problems or book is None:
        raise InputError(problems)
    return book


def read_with_problems(folder: Path, shown_as: str | None = None) -> tuple[Book | None, tuple[Problem, ...]]:
    """The book in `folder` with everything that is wrong in it, in the order found.

    Where something is wrong, parts of the book may be stand-ins; None where whole parts are missing.
    Raises InputError where there is no book at all.
    """
    collecting = gc.isenabled()
    gc.disable()  # a book is tens of thousands of small objects and no rubbish; looking for some costs a fifth
    try:
        return _read_book(folder, shown_as)
    finally:
        if collecting:
            gc.enable()


def _read_book(folder: Path, shown_as: str | None) -> tuple[Book | None, tuple[Problem, ...]]:
    shown = shown_as or str(folder)
    problems = Problems()
    _check_folder(folder, shown)
    sections = read_sections(folder, shown, problems)
    head_place = Place(f"{shown}/{HEAD}")
    known = Known(problems, gather_ids(sections, problems), sections.complete)
    for name in ("how_often", "how_common"):
        if name in sections.single or sections.complete:
            setattr(known, name, read_scale(sections.single.get(name), name, head_place, problems))
    head_node = sections.single.get("rulebook")
    if head_node is None:
        if sections.complete:
            says, hint = "this book has no 'rulebook'", "rulebooks/README.md shows how a book begins"
            problems.add(head_place, "missing-key", says, hint)
        return None, tuple(problems)
    book = _read(sections, head_node, known, (folder if folder.name.strip(".") else folder.resolve()).name)
    return book if known.complete else None, tuple(problems)


def _read(sections: Sections, head_node: Node, known: Known, folder_name: str) -> Book:
    lists, problems = sections.lists, known.problems
    head = _one(head_node, problems, "rulebook", lambda r: read_head(r, known, folder_name))
    changes = tuple(_each(lists["changes"], "change", problems, read_change))
    states = _by_id(_each(lists["states"], "state", problems, read_state))
    sources = _by_id(_each(lists["sources"], "source", problems, lambda r: read_source(r, known)))
    known.families = _by_id(_each(lists["families"], "family", problems, lambda r: read_family(r, known)))
    check_families(known.families, problems)
    for key, role in ROLES.items():
        word = "quantity" if role == "reading" else role
        found = _each(lists[key], word, problems, lambda r, role=role: read_quantity(r, role, known))  # type: ignore[misc]
        for quantity in found:
            known.quantities.setdefault(quantity.id, quantity)
    check_formulas(known.quantities, known)
    labels = read_themes(sections.themes, lists["rules"], problems)
    themes = themes_by_label(lists["rules"], labels)
    carded: set[str] = set()
    reckoning, work = sections.single.get("reckoning"), sections.single.get("repair_work")
    book = Book(
        id=head.id,
        title=head.title,
        edition=head.edition,
        language=head.language,
        scope=head.scope,
        defers_to=head.defers_to,
        weights_are=head.weights_are,
        how_often=known.how_often,
        how_common=known.how_common,
        not_in_book=head.not_in_book,
        sources=sources,
        families=known.families,
        quantities=known.quantities,
        states=states,
        causes=_by_id(_each(lists["causes"], "cause", problems, lambda r: read_cause(r, known))),
        tests=_by_id(_each(lists["tests"], "test", problems, lambda r: read_test(r, known, states))),
        services=_by_id(_each(lists["services"], "service", problems, lambda r: read_service(r, known))),
        cautions=_by_id(_each(lists["cautions"], "caution", problems, lambda r: read_caution(r, known))),
        rules=_by_id(_each(lists["rules"], "rule", problems, lambda r: read_rule(r, known, states))),
        place=head_node.place,
        changes=changes,
        excused=tuple(known.excused),
        reckoning=_one(reckoning, problems, "reckoning", lambda r: read_reckoning(r, known)) if reckoning else None,
        repair_work=_one(work, problems, "repair work", lambda r: read_repair_work(r, known)) if work else None,
        entries=_by_id(_each(lists["entries"], "entry", problems, lambda r: read_entry(r, known))),
        misconceptions=_by_id(
            _each(lists["misconceptions"], "misconception", problems, lambda r: read_misconception(r, known))
        ),
        lessons=_by_id(_each(lists["lessons"], "lesson", problems, lambda r: read_lesson(r, known, themes))),
        theme_labels=labels,
        cards=tuple(_each(lists["cards"], "card group", problems, lambda r: read_card_group(r, known, carded))),
    )
    if known.complete:
        check_book(book, problems)
    return book


def _each(nodes: list[Node], kind: str, problems: Problems, make: Callable[[Record], U]) -> list[U]:
    return [_one(node, problems, kind, make) for node in nodes]


def _one(node: Node, problems: Problems, kind: str, make: Callable[[Record], U]) -> U:
    record = Record(node, problems, kind)
    made = make(record)
    record.done()
    return made


def _by_id(entries: Iterable[T]) -> dict[str, T]:
    """The first entry of each id; later ones were reported when the ids were gathered."""
    found: dict[str, T] = {}
    for entry in entries:
        found.setdefault(entry.id, entry)
    return found


def _check_folder(folder: Path, shown: str) -> None:
    says = hint = ""
    try:
        is_folder = stat.S_ISDIR(folder.stat().st_mode)
    except (OSError, ValueError):  # no such name, no right to look, a name no file system takes
        says, hint = "there is no such folder, or it can't be read", "name a shipped book or the folder of a book"
    else:
        if not is_folder:
            says, hint = "this is a file, not the folder of a book", f"name the folder that holds {HEAD}"
        elif not os.access(folder, os.R_OK | os.X_OK):
            says, hint = "this folder can't be read", "ask for the right to read it"
        elif not (folder / HEAD).exists():
            says = f"this folder has no {HEAD}, so it is not a book"
            hint = "rulebooks/README.md shows how a book begins"
    if says:
        raise InputError([Problem(Place(shown), "no-such-book", says, hint)])
