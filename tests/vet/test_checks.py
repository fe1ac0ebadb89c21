"""The checks of whole books: one book in bad/ for each mistake, and near misses in good/ that are none.

All are the mended small book with one thing changed (see tests/overlay.py). The shipped books vet clean.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from overlay import change, parts_of

from diagnose.rulebook.checks import CHECKS as READ_CHECKS
from diagnose.rulebook.find import list_books
from diagnose.vet.from_book import HARMLESS, vet
from diagnose.vet.registry import CHECKS, every_check
from diagnose.yamlfile import InputError

HERE = Path(__file__).parent
BAD = sorted((HERE / "bad").glob("*.yaml"))
GOOD = sorted((HERE / "good").glob("*.yaml"))


@pytest.mark.parametrize("bad", BAD, ids=lambda path: path.stem)
def test_the_mistake_is_found_and_nothing_else(bad: Path, mended: Path, tmp_path: Path) -> None:
    shutil.copytree(mended, tmp_path / "small")
    expected = change(bad, tmp_path / "small")
    found = vet(tmp_path / "small", "small").problems
    assert [line.strip() for problem in found for line in str(problem).splitlines()] == expected


@pytest.mark.parametrize("good", GOOD, ids=lambda path: path.stem)
def test_what_is_no_mistake_is_let_pass(good: Path, mended: Path, tmp_path: Path) -> None:
    shutil.copytree(mended, tmp_path / "small")
    assert change(good, tmp_path / "small") == []
    assert vet(tmp_path / "small", "small").problems == ()


def test_the_book_that_all_of_them_change_is_clean(mended: Path) -> None:
    vetting = vet(mended, "small")
    assert vetting.problems == vetting.excused == ()
    assert vetting.book is not None
    assert vetting.mechanisms == len(vetting.book.rules)


def test_every_check_has_a_book_that_trips_it() -> None:
    told = {line.split(": ")[1] for bad in BAD for line in parts_of(bad)[0] if not line.startswith("hint:")}
    assert set(every_check()) <= told


def test_ids_are_kebab_case_used_once_and_every_check_is_one_line() -> None:
    ids = [check.id for check in CHECKS]
    assert len(set(ids)) == len(ids)
    assert not set(every_check()) & set(READ_CHECKS)
    assert set(READ_CHECKS) >= HARMLESS
    for check, asks in every_check().items():
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", check)
        assert 10 < len(asks) < 80


@pytest.mark.parametrize("folder", list_books(), ids=lambda folder: folder.name)
def test_the_shipped_books_are_clean(folder: Path) -> None:
    vetting = vet(folder, folder.name)
    assert [str(problem) for problem in vetting.problems] == []
    assert vetting.book is not None


def test_a_repeated_mechanism_counts_once(mended: Path, tmp_path: Path) -> None:
    shutil.copytree(mended, tmp_path / "small")
    change(HERE / "bad" / "repeated-because.yaml", tmp_path / "small")
    vetting = vet(tmp_path / "small", "small")
    assert vetting.book is not None
    assert vetting.mechanisms == len(vetting.book.rules) - 1


def test_an_excuse_lets_pass_what_it_names_at_its_entry_and_keeps_the_reason(mended: Path, tmp_path: Path) -> None:
    shutil.copytree(mended, tmp_path / "small")
    change(HERE / "good" / "excused.yaml", tmp_path / "small")
    ((problem, excuse),) = vet(tmp_path / "small", "small").excused
    assert (problem.check, excuse.entry, excuse.because) == ("unused-caution", "gloves", "the next edition needs it")


def test_mistakes_that_leave_no_whole_book_come_first_and_alone(mended: Path, tmp_path: Path) -> None:
    shutil.copytree(mended, tmp_path / "small")
    change(HERE / "bad" / "mistakes-that-hide-the-whole.yaml", tmp_path / "small")
    vetting = vet(tmp_path / "small", "small")
    assert vetting.book is None
    assert {problem.check for problem in vetting.problems} == {"unknown-name"}


def test_no_book_at_all(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no-such-book"):
        vet(tmp_path, "empty")
