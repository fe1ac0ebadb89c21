"""A file is written whole or not at all, and never over somebody else's change."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from diagnose.yamlfile.lock import Taken, only_one
from diagnose.yamlfile.saved import ChangedOutside, NotSaved, SavedFile


def left(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_what_was_saved_is_there_and_nothing_else(tmp_path: Path) -> None:
    file = SavedFile(tmp_path / "a.yaml", "a.yaml")
    assert file.load() == ""
    file.save("one\n")
    file.save("two °\n")
    assert (tmp_path / "a.yaml").read_text("utf-8") == "two °\n"
    assert left(tmp_path) == ["a.yaml"]


def test_a_change_by_somebody_else_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("one")
    file = SavedFile(path, "a.yaml")
    file.load()
    path.write_text("theirs")
    with pytest.raises(ChangedOutside):
        file.save("mine")
    assert path.read_text() == "theirs"
    assert file.load() == "theirs"
    file.save("mine")
    assert path.read_text() == "mine"


def test_a_file_that_appeared_meanwhile_is_not_overwritten(tmp_path: Path) -> None:
    file = SavedFile(tmp_path / "a.yaml", "a.yaml")
    file.load()
    (tmp_path / "a.yaml").write_text("theirs")
    with pytest.raises(ChangedOutside):
        file.save("mine")


@pytest.mark.parametrize("step", ["fsync", "write"])
def test_a_full_disk_leaves_the_old_file_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str) -> None:
    file = SavedFile(tmp_path / "a.yaml", "a.yaml")
    file.load()
    file.save("old")

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync" if step == "fsync" else "fdopen", full)
    with pytest.raises(NotSaved, match="No space left"):
        file.save("new")
    monkeypatch.undo()
    assert (tmp_path / "a.yaml").read_text() == "old"
    assert left(tmp_path) == ["a.yaml"]
    file.save("new")
    assert (tmp_path / "a.yaml").read_text() == "new"


def test_a_link_stays_a_link_and_rights_stay_as_they_are(tmp_path: Path) -> None:
    real = tmp_path / "real.yaml"
    real.write_text("one")
    real.chmod(0o640)
    link = tmp_path / "link.yaml"
    link.symlink_to(real)
    file = SavedFile(link, "link.yaml")
    file.load()
    file.save("two")
    assert link.is_symlink()
    assert real.read_text() == "two"
    assert real.stat().st_mode & 0o777 == 0o640


def test_a_mark_at_the_beginning_of_the_file_stays(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(b"\xef\xbb\xbfid: a\r\n")
    file = SavedFile(path, "a.yaml")
    assert file.load() == "id: a\r\n"
    file.save("id: b\r\n")
    assert path.read_bytes() == b"\xef\xbb\xbfid: b\r\n"


def test_signs_that_no_file_can_hold_are_refused(tmp_path: Path) -> None:
    file = SavedFile(tmp_path / "a.yaml", "a.yaml")
    file.load()
    with pytest.raises(NotSaved):
        file.save("\udcff")
    assert left(tmp_path) == []


def test_only_one_at_a_time(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    with only_one(path):
        with pytest.raises(Taken), only_one(path):
            pass
        with only_one(tmp_path / "b.yaml"):
            pass
    with only_one(path):
        pass
    assert left(tmp_path) == []
