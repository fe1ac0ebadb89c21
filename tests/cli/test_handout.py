"""`diagnose handout`: what it writes, and what it says of wrong wishes."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from diagnose.cli.handout import handout
from diagnose.rulebook.from_yaml import read_book

SMALL = Path(__file__).parents[1] / "books" / "small"
SHIPPED = SMALL.parents[2] / "rulebooks" / "passenger-car"


def test_a_books_handouts(tmp_path: Path) -> None:
    pytest.importorskip("typst")
    pytest.importorskip("graphviz")
    run = CliRunner().invoke(handout, [str(SMALL), "-o", str(tmp_path / "new"), "--paper", "letter"])
    assert run.exit_code == 0, run.output
    entries = read_book(SMALL).entries
    trees = {f"small.tree.{name}.{mode}.letter.pdf" for name in entries for mode in ("charts", "worksheet", "answers")}
    assert {path.name for path in (tmp_path / "new").iterdir()} == {"small.tests.letter.pdf", *trees}
    assert "working up the tree" in run.stderr
    assert sorted(run.stdout.split()) == sorted(str(path) for path in (tmp_path / "new").iterdir())


def test_posters_are_printed_instead_of_the_charts(tmp_path: Path) -> None:
    pytest.importorskip("typst")
    pytest.importorskip("graphviz")
    run = CliRunner().invoke(handout, [str(SMALL), "--poster", "--entry", "ph_out", "-o", str(tmp_path)])
    assert run.exit_code == 0, run.output
    assert [path.name for path in tmp_path.iterdir()] == ["small.tree.ph_out.poster.a4.pdf"]


def test_one_lesson_alone_needs_no_tree(tmp_path: Path) -> None:
    pytest.importorskip("typst")
    run = CliRunner().invoke(handout, [str(SHIPPED), "--lesson", "5", "-o", str(tmp_path)])
    assert run.exit_code == 0, run.output
    assert [path.name for path in tmp_path.iterdir()] == ["passenger-car.lesson-5.a4.pdf"]
    assert run.stderr == ""


@pytest.mark.parametrize(
    ("wish", "says"),
    [
        (["--lesson", "99"], "no rule of this book stands in lesson '99'; lessons are: 1, 2,"),
        (["--entry", "ph_uot"], "this book has no entry 'ph_uot'; did you mean 'ph_out'?"),
        (["--lesson", "1", "--entry", "ph_out"], "choose one of '--lesson', '--entry' and '--case'"),
        (["--lesson", "1", "--poster"], "'--poster' prints trees: leave out '--lesson' and '--case', or '--poster'"),
        (["--paper", "a5"], "'a5' is not one of"),
    ],
)
def test_a_wrong_wish_is_told_in_a_sentence(wish: list[str], says: str, tmp_path: Path) -> None:
    run = CliRunner().invoke(handout, [str(SHIPPED), "-o", str(tmp_path), *wish])
    assert run.exit_code == 2
    assert says in run.stderr
    assert not list(tmp_path.iterdir())


def test_a_folder_that_can_not_be_made_is_named(tmp_path: Path) -> None:
    pytest.importorskip("typst")
    (tmp_path / "file").write_text("in the way")
    run = CliRunner().invoke(handout, [str(SHIPPED), "--lesson", "5", "-o", str(tmp_path / "file" / "in")])
    assert run.exit_code != 0
    assert "can't be written" in run.stderr
    assert "name another folder" in run.stderr


def test_a_missing_library_is_named_with_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)
    run = CliRunner().invoke(handout, [str(SHIPPED), "--lesson", "5", "-o", str(tmp_path)])
    assert run.exit_code != 0
    assert run.stderr == "Error: a PDF needs the library typst; install it with: pip install 'diagnose[draw]'\n"
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("library", ["typst", "graphviz"])
def test_a_missing_library_is_named_before_any_tree_is_worked_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, library: str
) -> None:
    pytest.importorskip("typst")
    pytest.importorskip("graphviz")
    monkeypatch.setitem(sys.modules, library, None)
    run = CliRunner().invoke(handout, [str(SHIPPED), "-o", str(tmp_path)])
    assert run.exit_code != 0
    assert f"needs the library {library}" in run.stderr
    assert "working up" not in run.stderr
    assert not list(tmp_path.iterdir())


def test_the_way_of_a_case_is_one_page_and_a_case_without_a_tree_is_told(tmp_path: Path) -> None:
    pytest.importorskip("typst")
    pytest.importorskip("graphviz")
    head = "id: trial\ndate: 2026-01-02\ntitle: A trial\nbook: small\nfamily: organic_acid\n"
    (tmp_path / "case.yaml").write_text(head + "readings:\n  - {quantity: ph, value: 6.1}\n", encoding="utf-8")
    (tmp_path / "other.yaml").write_text(head + "readings:\n  - {quantity: ph, value: 8.1}\n", encoding="utf-8")
    made = tmp_path / "made"
    run = CliRunner().invoke(handout, [str(SMALL), "--case", str(tmp_path / "case.yaml"), "-o", str(made)])
    assert run.exit_code == 0, run.output
    assert [path.name for path in made.iterdir()] == ["trial.path.a4.pdf"]
    run = CliRunner().invoke(handout, [str(SMALL), "--case", str(tmp_path / "other.yaml"), "-o", str(made)])
    assert run.exit_code == 2
    assert "nothing that this book has a tree for" in run.stderr
