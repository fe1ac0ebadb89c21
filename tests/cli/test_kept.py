"""Books that are kept compiled: the same work-up, and never an old, a foreign or a damaged one."""

from __future__ import annotations

import os
import pickle
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from diagnose.case.from_yaml import read_case
from diagnose.cli import kept
from diagnose.pipeline import Bench
from diagnose.report import FORMATS
from diagnose.report.model import WorkUp
from diagnose.rulebook.find import find_book
from diagnose.rulebook.from_yaml import read_book
from diagnose.yamlfile import InputError

BOOK = "passenger-car"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache folder of the test's own."""
    home = tmp_path / "cache"
    monkeypatch.setenv(kept.FOLDER, str(home))
    return home


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A book of the user's own, which may be changed."""
    return Path(shutil.copytree(find_book(BOOK), tmp_path / "own" / BOOK))


def read_anew(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """The folders of which books are read from now on."""
    found: list[Path] = []

    def noted(folder: Path) -> object:
        found.append(folder)
        return read_book(folder)

    monkeypatch.setattr("diagnose.rulebook.from_yaml.read_book", noted)
    return found


def test_every_case_is_worked_up_alike_with_a_kept_book(top: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept.compiled(BOOK)
    read = read_anew(monkeypatch)
    book, belief = kept.compiled(BOOK)
    assert not read
    again, anew = Bench(book, "plain", belief=belief), Bench(read_book(find_book(BOOK)), "plain")
    for file in sorted((top / "cases").glob("*.yaml")):
        case = read_case(file, file.name)
        made = [WorkUp(bench.work_up(bench.visit(case)), bench.book) for bench in (again, anew)]
        one, other = (FORMATS["json"]([each]) for each in made)
        assert one == other, file.name


def test_a_changed_book_is_read_anew(own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept.compiled(str(own))
    head = own / "rulebook.yaml"
    head.write_text(head.read_text().replace('edition: "1"', 'edition: "7"'))
    assert kept.compiled(str(own))[0].edition == "7"
    read = read_anew(monkeypatch)
    assert kept.compiled(str(own))[0].edition == "7"
    assert not read


def test_a_book_that_became_wrong_is_refused_although_it_is_kept(own: Path) -> None:
    kept.compiled(str(own))
    (own / "more.yml").write_text("rules: []\n")
    with pytest.raises(InputError, match="wrong-ending"):
        kept.compiled(str(own))
    (own / "more.yml").unlink()
    kept.compiled(str(own))


def test_the_same_book_in_another_place_names_its_own_files(own: Path, tmp_path: Path) -> None:
    kept.compiled(str(own))
    moved = Path(shutil.copytree(own, tmp_path / "moved" / BOOK))
    assert kept.compiled(str(moved))[0].place.file.startswith(str(moved))


@pytest.mark.parametrize("spoil", ["cut", "turned", "empty"])
def test_a_damaged_file_is_as_good_as_none(home: Path, own: Path, spoil: str, monkeypatch: pytest.MonkeyPatch) -> None:
    kept.compiled(str(own))
    (file,) = home.iterdir()
    raw = file.read_bytes()
    middle = len(raw) // 2
    turned = raw[:middle] + bytes([raw[middle] ^ 1]) + raw[middle + 1 :]
    file.write_bytes({"cut": raw[:-100], "turned": turned, "empty": b""}[spoil])
    read = read_anew(monkeypatch)
    assert kept.compiled(str(own))[0].causes.keys() == read_book(own).causes.keys()
    assert read == [own]
    assert file.read_bytes() == raw
    assert len(list(home.iterdir())) == 1


class _Trap:
    """What would be done if a foreign file were loaded."""

    def __reduce__(self) -> tuple[object, ...]:
        return (os.mkdir, ("sprung",))


@pytest.mark.skipif(sys.platform == "win32", reason="rights to files are another matter there")
@pytest.mark.parametrize("open_to_all", ["file", "folder"])
def test_nothing_is_loaded_that_somebody_else_may_have_written(
    home: Path, own: Path, open_to_all: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    kept.compiled(str(own))
    (file,) = home.iterdir()
    trap = pickle.dumps(_Trap())
    file.write_bytes(file.read_bytes()[:24] + kept.crc32(trap).to_bytes(4, "big") + trap)
    (file if open_to_all == "file" else home).chmod(0o777)
    assert kept.compiled(str(own))[0].id == BOOK
    assert not (tmp_path / "sprung").exists()


def test_where_nothing_can_be_kept_the_book_is_read(own: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    blocked = tmp_path / "a file"
    blocked.write_text("")
    for folder in (str(blocked), str(blocked / "below"), ""):
        monkeypatch.setenv(kept.FOLDER, folder)
        assert kept.compiled(str(own))[0].id == BOOK


def test_a_full_disk_leaves_nothing_behind(home: Path, own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    assert kept.compiled(str(own))[0].id == BOOK
    assert not list(home.iterdir())


def test_two_starts_at_once(home: Path, top: Path) -> None:
    command = [sys.executable, "-m", "diagnose", "case", "cases/white-van-acid.yaml"]
    runs = [subprocess.Popen(command, cwd=top, stdout=subprocess.PIPE, text=True) for _ in range(3)]
    assert len({run.communicate()[0] for run in runs}) == 1
    assert {run.returncode for run in runs} == {0}
    assert len(list(home.iterdir())) == 1
