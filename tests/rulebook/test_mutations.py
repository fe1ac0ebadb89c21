"""Whatever happens to the lines of a book, reading it gives a Book or an InputError with places, never a crash."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from diagnose.rulebook import files
from diagnose.rulebook.find import shipped_folder
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Book
from diagnose.yamlfile import InputError, Node, Problem, read_file

SMALL = Path(__file__).parent.parent / "books" / "small"
SHIPPED = shipped_folder() / "passenger-car"


def delete(lines: list[str], random: Random) -> None:
    start = random.randrange(len(lines))
    del lines[start : start + random.choice((1, 1, 1, 2, 5))]


def swap(lines: list[str], random: Random) -> None:
    first, second = random.randrange(len(lines)), random.randrange(len(lines))
    lines[first], lines[second] = lines[second], lines[first]


def double(lines: list[str], random: Random) -> None:
    lines.insert(random.randrange(len(lines)), random.choice(lines))


def indent(lines: list[str], random: Random) -> None:
    number = random.randrange(len(lines))
    lines[number] = random.choice(("  ", " ", "    ")) + lines[number]


def cut(lines: list[str], random: Random) -> None:
    number = random.randrange(len(lines))
    lines[number] = lines[number][: random.randrange(len(lines[number]) + 1)]


def drop_a_word(lines: list[str], random: Random) -> None:
    number = random.randrange(len(lines))
    words = lines[number].split(" ")
    words[random.randrange(len(words))] = random.choice(("", "[]", "{}", "0", "-1", "100 %", "family", "no: no"))
    lines[number] = " ".join(words)


def book_or_problems(folder: Path) -> Book | tuple[Problem, ...]:
    try:
        return read_book(folder, folder.name)
    except InputError as error:
        return error.problems


WAYS: tuple[Callable[[list[str], Random], None], ...] = (delete, delete, swap, swap, double, indent, cut, drop_a_word)


@pytest.mark.parametrize(("book", "times"), [(SMALL, 2000), (SHIPPED, 2000)], ids=["small", "shipped"])
def test_a_book_or_an_input_error(book: Path, times: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    random = Random(20261124)
    folder = tmp_path / book.name
    shutil.copytree(book, folder)
    # Only the changed file is read anew; the nodes of the others are kept, or this would take minutes.
    kept: dict[Path, Node] = {}
    changed = folder

    def read(path: Path, shown_as: str | None = None) -> Node:
        if path == changed:
            return read_file(path, shown_as)
        if path not in kept:
            kept[path] = read_file(path, shown_as)
        return kept[path]

    monkeypatch.setattr(files, "read_file", read)
    refused = 0
    for _ in range(times):
        changed = random.choice(sorted(folder.rglob("*.yaml")))
        text = changed.read_text(encoding="utf-8")
        lines = text.split("\n")
        random.choice(WAYS)(lines, random)
        changed.write_text("\n".join(lines), encoding="utf-8")
        result = book_or_problems(folder)
        changed.write_text(text, encoding="utf-8")
        if isinstance(result, Book):
            continue
        refused += 1
        assert result
        for problem in result:
            assert problem.place.file.startswith(book.name)
            assert problem.place.line >= 1
            assert problem.says
            assert "\n" not in problem.says
    assert refused > times / 3
