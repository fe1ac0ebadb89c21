"""A file is written whole or not at all, and never over somebody else's change."""

from __future__ import annotations

import errno
import os
import sys
from pathlib import Path
from typing import IO

import pytest

from diagnose.yamlfile import lock
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


def test_what_a_killed_program_left_half_written_is_cleared_away_and_nothing_else(tmp_path: Path) -> None:
    for name in (".a.yaml.k3_x9qzz.part", ".b.yaml.k3_x9qzz.part", ".a.yaml.part", "a.yaml", ".a.yaml.lock"):
        (tmp_path / name).write_text("half")
    SavedFile(tmp_path / "a.yaml", "a.yaml").clear_rests()
    assert left(tmp_path) == [".a.yaml.lock", ".a.yaml.part", ".b.yaml.k3_x9qzz.part", "a.yaml"]


@pytest.mark.skipif(sys.platform == "win32", reason="an open file can't be deleted there")
def test_the_lock_of_a_file_that_was_deleted_meanwhile_locks_nobody_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between opening and locking, the one who had the lock may delete the file: it is opened anew."""
    beside, take, opened = tmp_path / ".a.yaml.lock", lock._take, []

    def deleted_first(file: IO[bytes]) -> None:
        if not opened:
            beside.unlink()
        opened.append(file)
        take(file)

    monkeypatch.setattr(lock, "_take", deleted_first)
    with only_one(tmp_path / "a.yaml"):
        assert len(opened) == 2
        assert beside.exists()
        with pytest.raises(Taken), only_one(tmp_path / "a.yaml"):
            pass


class Windows:
    """Stands in for msvcrt: one lock for all, and a record of the calls. It was not run on Windows."""

    LK_NBLCK, LK_UNLCK = 2, 0

    def __init__(self, fails_with: int = 0) -> None:
        self.calls: list[tuple[int, int, int]] = []
        self.locked = False
        self.fails_with = fails_with

    def locking(self, handle: int, mode: int, length: int) -> None:
        self.calls.append((mode, os.lseek(handle, 0, os.SEEK_CUR), length))
        if mode == self.LK_UNLCK:
            self.locked = False
        elif self.fails_with or self.locked:
            number = self.fails_with or errno.EACCES
            raise OSError(number, os.strerror(number))
        else:
            self.locked = True


@pytest.fixture
def windows(monkeypatch: pytest.MonkeyPatch) -> Windows:
    stand_in = Windows()
    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.setitem(sys.modules, "msvcrt", stand_in)
    return stand_in


def test_on_windows_the_first_sign_is_locked_and_given_back_before_the_file_goes(
    tmp_path: Path, windows: Windows, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / ".a.yaml.lock").write_bytes(b"left by a program that was killed")
    deleted: list[bool] = []
    unlink = Path.unlink
    monkeypatch.setattr(Path, "unlink", lambda path: (deleted.append(windows.locked), unlink(path)))
    with only_one(tmp_path / "a.yaml"):
        assert windows.locked
        with pytest.raises(Taken), only_one(tmp_path / "a.yaml"):
            pass
        assert windows.locked
        assert deleted == []
    assert windows.calls == [(Windows.LK_NBLCK, 0, 1), (Windows.LK_NBLCK, 0, 1), (Windows.LK_UNLCK, 0, 1)]
    assert deleted == [False]
    assert left(tmp_path) == []


def test_on_windows_a_disk_without_locks_stops_nobody(tmp_path: Path, windows: Windows) -> None:
    windows.fails_with = errno.EINVAL
    with only_one(tmp_path / "a.yaml"):
        pass
    assert left(tmp_path) == []
