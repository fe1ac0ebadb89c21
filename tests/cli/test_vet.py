"""`vet` and `try`, driven as an instructor would drive them."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent.parent
SMALL = TOP / "tests" / "books" / "small"


def diagnose(*arguments: str, folder: Path = TOP) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "diagnose", *arguments]
    env = {
        "DIAGNOSE_CACHE": os.environ["DIAGNOSE_CACHE"],
        "PYTHONPATH": str(TOP),
        "PATH": "/usr/bin:/bin",
        "PYTHONIOENCODING": "utf-8",
    }
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False, env=env)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    folder = tmp_path / "books" / "small"
    shutil.copytree(SMALL, folder)
    return folder


def test_a_clean_book_exits_0_and_says_so() -> None:
    done = diagnose("vet", "passenger-car")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("passenger-car, edition 1: nothing to mend.\n")
    assert "different mechanisms" in done.stdout


def test_problems_exit_1_with_places_that_can_be_opened_from_here(book: Path, tmp_path: Path) -> None:
    done = diagnose("vet", "books/small", folder=tmp_path)
    assert (done.returncode, done.stderr) == (1, "")
    first = done.stdout.splitlines()[0]
    file, line, column, check, _ = first.split(":", 4)
    assert (tmp_path / file).is_file()
    assert int(line) > 0
    assert int(column) > 0
    assert check.strip() in diagnose("vet", "--checks").stdout
    assert "problems" in done.stdout


def test_what_the_reader_refuses_comes_in_the_same_form(book: Path, tmp_path: Path) -> None:
    rules = book / "rules" / "ph.yaml"
    rules.write_text(rules.read_text().replace("gas: often", "gaz: often", 1))
    done = diagnose("vet", "books/small", folder=tmp_path)
    assert done.returncode == 1
    assert done.stdout.startswith("books/small/rules/ph.yaml:5:17: unknown-name: no cause is called 'gaz'\n    hint: ")
    assert "The checks of the whole book come once these are mended." in done.stdout
    assert done.stderr == ""


@pytest.mark.parametrize("command", ["vet", "try"])
@pytest.mark.parametrize("name", ["no-such-book", "README.md", "cases", ""])
def test_no_book_exits_2_with_one_sentence(command: str, name: str) -> None:
    done = diagnose(command, name)
    assert (done.returncode, done.stdout) == (2, "")
    assert "Traceback" not in done.stderr
    assert done.stderr


def test_vet_as_json(book: Path) -> None:
    found = json.loads(diagnose("vet", str(book), "--as", "json").stdout)
    assert found["book"] == {"id": "small", "edition": "1"}
    assert found["judged_as_a_whole"] is True
    assert {"file", "line", "column", "check", "says", "hint"} == found["problems"][0].keys()
    assert found["counts"]["rules"] == found["counts"]["mechanisms"] == 12


def test_every_check_is_listed_with_what_it_asks() -> None:
    done = diagnose("vet", "--checks")
    assert done.returncode == 0
    for check in ("unknown-name", "missing-decision", "idle-excuse"):
        assert any(line.strip().startswith(f"{check} ") for line in done.stdout.splitlines())


def test_try_names_the_example_that_does_not_hold(book: Path) -> None:
    done = diagnose("try", str(book))
    assert done.returncode == 1
    assert f"{book}/rules/ph.yaml:10:64: example-fails: 'PH-1' should be silent" in done.stdout
    assert "23 of 24 examples hold." in done.stdout


def test_try_on_cases_in_files_and_folders(book: Path, tmp_path: Path) -> None:
    cases = tmp_path / "cases" / "deep"
    cases.mkdir(parents=True)
    head = "id: c\ndate: 2026-01-02\ntitle: t\n"
    reading = "readings: [{quantity: level, value: low}]\n"
    (cases / "good.yaml").write_text(f"{head}book: small\n{reading}expect: {{first: leak}}\n")
    (cases / "wrong.yaml").write_text(f"{head}book: small\n{reading}expect: {{first: gas}}\n")
    (cases / "other.yaml").write_text(f"{head}{reading}")
    (cases / "bad.yaml").write_text(f"{head}book: small\nexpect: {{first: gaz}}\n")
    done = diagnose("try", str(book), "cases", folder=tmp_path)
    assert done.returncode == 2
    assert "cases/deep/bad.yaml:5:17: unknown-name: no cause is called 'gaz'" in done.stderr
    assert "cases/deep/wrong.yaml:6:9: expectation-fails: gas should come first, but leak is" in done.stdout
    assert "1 of 2 visits with an expectation meet it." in done.stdout
    assert "Left alone, since written for another book: 1." in done.stdout
    found = json.loads(diagnose("try", str(book), "cases/deep/good.yaml", "--as", "json", folder=tmp_path).stdout)
    visit = {"visit": "2026-01-02", "as_expected": True}
    assert found["cases"] == [{"id": "c", **visit, "first": "leak", "outcome": [], "first_is_outcome": None}]
    assert "MI-1" in found["in_no_case"]
    assert found["never_fired"] == []


def test_try_on_a_book_that_can_not_be_read(book: Path) -> None:
    (book / "z.yaml").write_text("rules: 3\n")
    done = diagnose("try", str(book))
    assert (done.returncode, done.stdout) == (2, "")
    assert "z.yaml:1:8: wrong-shape" in done.stderr


@pytest.mark.parametrize("command", ["vet", "try"])
def test_help_has_an_example(command: str) -> None:
    done = diagnose(command, "--help")
    assert done.returncode == 0
    assert f"Example: diagnose {command} passenger-car" in " ".join(done.stdout.split())
