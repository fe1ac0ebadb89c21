"""The files of a book: every `*.yaml` in its folder, sorted into the lists that make up a book."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path

from diagnose.yamlfile import (
    InputError,
    ListNode,
    MapNode,
    Node,
    Place,
    Problem,
    Problems,
    TextNode,
    did_you_mean,
    read_file,
    short,
)

LISTS = (
    "states",
    "changes",
    "sources",
    "families",
    "quantities",
    "givens",
    "derived",
    "patterns",
    "causes",
    "tests",
    "services",
    "cautions",
    "entries",
    "misconceptions",
    "lessons",
    "cards",
    "rules",
)
"""Top-level keys that hold a list and may stand in several files."""

SINGLE = ("rulebook", "how_often", "how_common", "reckoning", "repair_work")
"""Top-level keys that stand once in a book."""

THEME = "theme"
"""The top-level key that stands once in a file: how its rules are called."""

HEAD = "rulebook.yaml"
MAX_FILES = 500
MAX_BYTES = 10_000_000
MAX_LEVELS = 5


@dataclass(slots=True)
class Sections:
    """What the files hold. `complete` is false when a file could not be read, so that names may be missing."""

    lists: dict[str, list[Node]] = field(default_factory=lambda: {key: [] for key in LISTS})
    single: dict[str, Node] = field(default_factory=dict)
    themes: list[Node] = field(default_factory=list)
    complete: bool = True


def read_sections(folder: Path, shown_as: str, problems: Problems) -> Sections:
    """Read every file of the book at `folder`; what is wrong with files and top-level keys goes to `problems`."""
    sections = Sections()
    for path, name in _yaml_files(folder, shown_as, sections, problems):
        try:
            node = read_file(path, name)
        except InputError as error:
            problems.extend(error.problems)
            sections.complete = False
            continue
        if isinstance(node, MapNode):
            _sort_in(node, sections, problems)
        else:
            hint = "begin with one of the lists of a book, such as 'rules:'"
            problems.add(node.place, "wrong-shape", "a file of a book is a mapping of keys and lists", hint)
            sections.complete = False
    return sections


def _yaml_files(folder: Path, shown_as: str, sections: Sections, problems: Problems) -> list[tuple[Path, str]]:
    """Paths with the names to show, in a fixed order; links that lead out of the book are refused."""
    found: list[tuple[Path, str]] = []
    size, home = 0, os.path.realpath(folder)
    waiting = [(folder, shown_as, 1)]
    while waiting:
        here, shown, level = waiting.pop()
        for entry in _entries(here, shown, problems):
            name = f"{shown}/{entry.name}"
            wrong = _what_is_wrong(entry, level, home)
            if wrong is not None:
                problems.add(Place(name), *wrong)
                sections.complete = False
            elif entry.is_dir():
                waiting.append((Path(entry.path), name, level + 1))
            elif entry.name.endswith(".yaml"):
                found.append((Path(entry.path), name))
                size += entry.stat().st_size
    if size > MAX_BYTES or len(found) > MAX_FILES:
        check, much = "too-large", f"{MAX_BYTES // 1_000_000} MB"
        if len(found) > MAX_FILES:
            check, much = "too-many-files", f"{MAX_FILES} files"
        says = f"this folder holds more than {much}"
        raise InputError([Problem(Place(shown_as), check, says, "is it the folder of one book?")])
    return sorted(found, key=lambda pair: pair[1])


def _entries(folder: Path, shown: str, problems: Problems) -> list[os.DirEntry[str]]:
    try:
        with os.scandir(folder) as entries:
            return [entry for entry in entries if not entry.name.startswith(".")]
    except OSError as error:
        says = f"the folder can't be read: {error.strerror}"
        problems.add(Place(shown), "unreadable", says, "ask for the right to read it")
        return []


def _what_is_wrong(entry: os.DirEntry[str], level: int, home: str) -> tuple[str, str, str] | None:
    """Check, sentence and hint for what can't stand in the folder of a book."""
    if entry.is_dir():
        if entry.is_symlink():
            return "link-in-book", "a link to a folder is not followed", "put the files into the book itself"
        if level == MAX_LEVELS:
            return "too-deep", f"folders are nested more than {MAX_LEVELS} deep", "move the files up"
    elif entry.name.lower().endswith((".yaml", ".yml")):
        if not entry.name.endswith(".yaml"):
            return "wrong-ending", "the files of a book end in '.yaml'", "rename the file"
        if entry.is_symlink() and not _inside(os.path.realpath(entry.path), home):
            return "link-in-book", "this link leads out of the book's folder", "copy the file into the book"
        if not entry.is_file():
            return "not-a-file", "this is no ordinary file", "a book holds plain files only"
    return None


def _inside(path: str, home: str) -> bool:
    return path.startswith(home + os.sep)


def _sort_in(node: MapNode, sections: Sections, problems: Problems) -> None:
    for key, value in node:
        name = key.text
        if name in sections.lists:
            if isinstance(value, ListNode):
                sections.lists[name].extend(value.items)
            else:
                says = f"'{name}' is a list"
                problems.add(value.place, "wrong-shape", says, "begin each entry with '- '")
                sections.complete = False
        elif name in SINGLE:
            if name in sections.single:
                says = f"'{name}' stands twice in this book"
                hint = f"the first one is at {sections.single[name].place}; keep one"
                problems.add(key.place, "duplicate-key", says, hint)
            else:
                sections.single[name] = value
        elif name == THEME:
            sections.themes.append(value)
        else:
            _unknown(key, problems)
            sections.complete = False


def _unknown(key: TextNode, problems: Problems) -> None:
    known = (*SINGLE, THEME, *LISTS)
    hint = did_you_mean(key.text, known) or f"known keys: {', '.join(known)}"
    problems.add(key.place, "unknown-key", f"a book has no list called '{short(key.text)}'", hint)
