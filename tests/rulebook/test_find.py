"""Finding a book, and what a folder may hold: one clear sentence for everything that is no book."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

import diagnose
from diagnose.rulebook import files, find
from diagnose.rulebook.find import find_book, list_books, shipped_folder
from diagnose.rulebook.from_yaml import read_book
from diagnose.yamlfile import InputError

SMALL = Path(__file__).parent.parent / "books" / "small"


@pytest.fixture
def small(tmp_path: Path) -> Path:
    return Path(shutil.copytree(SMALL, tmp_path / "small"))


def refused(folder: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_book(folder, folder.name)
    assert all(problem.hint for problem in caught.value.problems if problem.check not in ("no-such-file", "unreadable"))
    return [f"{problem.place.file}: {problem.check}" for problem in caught.value.problems]


def test_shipped_books_stand_beside_the_package_or_in_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = Path(diagnose.__file__).parent
    assert shipped_folder() in (package / "rulebooks", package.parent / "rulebooks")
    monkeypatch.setattr(find, "_PACKAGE", tmp_path / "diagnose")
    (tmp_path / "rulebooks").mkdir()
    assert shipped_folder() == tmp_path / "rulebooks"
    (tmp_path / "diagnose" / "rulebooks").mkdir(parents=True)
    assert shipped_folder() == tmp_path / "diagnose" / "rulebooks"


def test_every_shipped_book_reads_and_is_found_by_name() -> None:
    assert "passenger-car" in {folder.name for folder in list_books()}
    for folder in list_books():
        assert find_book(folder.name) == folder
        assert read_book(folder).id == folder.name


def test_no_shipped_books_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(find, "_PACKAGE", tmp_path / "nowhere" / "diagnose")
    assert list_books() == ()
    with pytest.raises(InputError, match="no shipped rulebook and no folder"):
        find_book("passenger-car")


def test_a_folder_of_ones_own(small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert find_book(str(small)) == small
    monkeypatch.chdir(small.parent)
    assert find_book("small") == Path("small")
    assert read_book(Path("small")).id == "small"
    monkeypatch.chdir(small / "rules")
    assert read_book(Path("..")).id == "small"


def test_a_shipped_name_goes_before_a_folder_of_the_same_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "passenger-car").mkdir()
    monkeypatch.chdir(tmp_path)
    assert find_book("passenger-car") == shipped_folder() / "passenger-car"
    assert find_book("./passenger-car") == Path("passenger-car")


@pytest.mark.parametrize("name", ["passenger_car", "", " ", "../passenger-car-2", "x" * 5000, "a\0b", "no\nname"])
def test_unknown_names(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError) as caught:
        find_book(name)
    (problem,) = caught.value.problems
    assert problem.check == "no-such-book"
    assert len(problem.says) < 200
    assert "passenger-car" in problem.hint
    if name == "passenger_car":
        assert problem.hint.startswith("did you mean 'passenger-car'?")


def test_folders_that_are_no_book(tmp_path: Path, small: Path) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "file").write_text("x")
    assert refused(tmp_path / "missing") == ["missing: no-such-book"]
    assert refused(tmp_path / "empty") == ["empty: no-such-book"]
    assert refused(tmp_path / "file") == ["file: no-such-book"]
    assert refused(tmp_path / ("x" * 5000)) == ["x" * 5000 + ": no-such-book"]
    (small / "rulebook.yaml").unlink()
    assert refused(small) == ["small: no-such-book"]


def test_files_that_are_no_yaml(small: Path) -> None:
    (small / "rubbish.yaml").write_bytes(bytes(range(256)) * 100)
    (small / "large.yaml").write_bytes(b"# " + b"x" * 3_000_000)
    (small / "empty.yaml").touch()
    (small / "old.yml").touch()
    (small / "LOUD.YAML").touch()
    os.mkfifo(small / "pipe.yaml")
    assert refused(small) == [
        "small/LOUD.YAML: wrong-ending",
        "small/empty.yaml: empty",
        "small/large.yaml: too-large",
        "small/old.yml: wrong-ending",
        "small/pipe.yaml: not-a-file",
        "small/rubbish.yaml: not-text",
    ]


def test_other_files_and_hidden_ones_are_let_be(small: Path) -> None:
    (small / "notes.txt").write_text("not YAML: [")
    (small / ".draft.yaml").write_text("not YAML: [")
    (small / ".git").mkdir()
    (small / ".git" / "x.yaml").write_text("not YAML: [")
    assert read_book(small).id == "small"


def test_a_book_of_fifty_megabytes(small: Path) -> None:
    (small / "large.yaml").write_bytes(b"#" * 50_000_000)
    assert refused(small) == ["small: too-large"]


def test_too_many_files(small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "MAX_FILES", 2)
    assert refused(small) == ["small: too-many-files"]


def test_folders_nested_too_deep(small: Path) -> None:
    deep = small / "a/b/c/d/e/f"
    deep.mkdir(parents=True)
    (deep / "x.yaml").write_text("rules: []")
    assert refused(small) == ["small/a/b/c/d/e: too-deep"]


def test_links_that_lead_out_are_refused(small: Path, tmp_path: Path) -> None:
    (tmp_path / "secret.yaml").write_text("rules: []")
    (tmp_path / "folder").mkdir()
    (small / "out.yaml").symlink_to(tmp_path / "secret.yaml")
    (small / "up.yaml").symlink_to("../secret.yaml")
    (small / "nowhere.yaml").symlink_to(tmp_path / "nothing")
    (small / "rules" / "folder").symlink_to(tmp_path / "folder")
    (small / "ring").symlink_to(small)
    assert refused(small) == [
        "small/nowhere.yaml: link-in-book",
        "small/out.yaml: link-in-book",
        "small/ring: link-in-book",
        "small/rules/folder: link-in-book",
        "small/up.yaml: link-in-book",
    ]


def test_a_link_inside_the_book_and_a_link_to_the_book_are_fine(small: Path, tmp_path: Path) -> None:
    moved = small / "hidden.txt"
    (small / "knowledge.yaml").rename(moved)
    (small / "knowledge.yaml").symlink_to(moved)
    (tmp_path / "link").mkdir()
    (tmp_path / "link" / "small").symlink_to(small)
    assert read_book(tmp_path / "link" / "small").id == "small"


def test_a_folder_that_cannot_be_looked_into(small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.scandir

    def scandir(path: Path) -> object:
        if Path(path).name == "rules":
            raise PermissionError(13, "Permission denied")
        return real(path)

    monkeypatch.setattr(os, "scandir", scandir)
    assert "small/rules: unreadable" in refused(small)


def test_after_a_syntax_error_the_other_files_are_still_read(small: Path) -> None:
    (small / "knowledge.yaml").write_text("causes: [\n")
    rules = small / "rules" / "ph.yaml"
    rules.write_text(rules.read_text().replace("because: Exhaust gas makes acids.", "becuase: x"))
    # Names that may stand in the broken file are not called unknown.
    assert refused(small) == [
        "small/knowledge.yaml: syntax",
        "small/rules/ph.yaml: missing-key",
        "small/rules/ph.yaml: unknown-key",
    ]
