"""One broken case per mistake: its first lines say, in full, what a person is told."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from diagnose.case.from_yaml import case_from_text, read_case
from diagnose.findings.earlier import visit_of
from diagnose.findings.from_case import find
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Book
from diagnose.yamlfile import InputError

HERE = Path(__file__).parent
BAD = sorted((HERE / "bad").glob("*.yaml"))
HEAD = "id: bad\ndate: 2026-03-12\ntitle: a broken case\n"


@pytest.fixture(scope="module")
def book() -> Book:
    return read_book(HERE.parent / "books" / "small")


def expected(path: Path) -> str:
    said = re.findall(r"^# (expect|   +hint): (.*)$", path.read_text("utf-8"), re.MULTILINE)
    return "\n".join(text if what == "expect" else f"    hint: {text}" for what, text in said)


def worked_up(path: Path, book: Book) -> None:
    """The last visit of a case, as far as its readings are put into bands."""
    whole = read_case(path, path.name)
    find(visit_of(whole, len(whole.visits), book), book)


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_bad_case(path: Path, book: Book) -> None:
    assert expected(path)
    with pytest.raises(InputError) as refused:
        worked_up(path, book)
    assert str(refused.value) == expected(path)


def test_there_are_enough() -> None:
    assert len(BAD) >= 25


def test_all_problems_come_at_once_and_in_order(book: Book) -> None:
    text = HEAD + "family: oat\nreadings:\n- {quantity: ph, value: 19}\n- {quantity: level, value: 3}\ncar: {x: 1}\n"
    with pytest.raises(InputError) as refused:
        find(case_from_text(text, "c.yaml"), book)
    assert [(p.place.line, p.check) for p in refused.value.problems] == [
        (6, "impossible-value"),
        (7, "not-a-word"),
        (8, "unknown-name"),
    ]


RUBBISH = {
    "empty": (b"", "the file is empty"),
    "comment only": (b"# nothing\n", "the file is empty"),
    "binary": (bytes(range(128, 256)) * 50, "this is not text in UTF-8"),
    "nothing but zeros": (b"\0" * 5000, r"does not print stands here \(U\+0000\)"),
    "50 MB": (b"a" * 50_000_000, "the file is larger than 200 kB"),
    "alias bomb": (b"a: &a [x]\n" + b"".join(b"b%d: &b%d [*a, *a]\n" % (n, n) for n in range(9)), "is not used here"),
    "deep": (b"[" * 100_000, "nest"),
    "many keys": (b"".join(b"k%d: 1\n" % n for n in range(18_000)), "a case has no key 'k0'"),
    "one key many times": (b"a: 1\n" * 39_000, "'a' stands twice"),
    "many bad readings": (b"readings:\n" + b"- {}\n" * 30_000, "this reading has no 'quantity'"),
    "a list": (b"- 1\n", "a case is a mapping of keys and values"),
    "one word": (b"hello", "a case is a mapping of keys and values"),
}


@pytest.mark.parametrize("name", RUBBISH)
def test_rubbish_is_refused(name: str, tmp_path: Path) -> None:
    raw, says = RUBBISH[name]
    path = tmp_path / "case.yaml"
    path.write_bytes(raw)
    with pytest.raises(InputError, match=says) as refused:
        read_case(path, "case.yaml")
    assert len(str(refused.value)) < 30_000
    assert all(problem.place.file == "case.yaml" for problem in refused.value.problems)


def test_folder_and_missing_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="this is a folder, not a file"):
        read_case(tmp_path)
    with pytest.raises(InputError, match="there is no such file"):
        read_case(tmp_path / "none.yaml")
