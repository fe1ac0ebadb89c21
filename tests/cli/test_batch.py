"""Many cases at once: the same, in the same order, whether one process works or several."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from diagnose.cli import batch
from diagnose.cli.main import main


@pytest.fixture
def files(top: Path, tmp_path: Path) -> list[str]:
    """Eight cases, one of which can't be used, and one that is not there."""
    good = [str(file) for file in sorted((top / "cases").glob("*.yaml"))[::14]]
    bad = tmp_path / "bad.yaml"
    bad.write_text("id: bad\ndate: 2026-01-02\ntitle: t\nreadings:\n  - {quantity: ph, value: 19}\n")
    return [good[0], str(bad), *good[1:], str(tmp_path / "missing.yaml")]


def worked_up(files: list[str], *more: str, cores: int, monkeypatch: pytest.MonkeyPatch) -> Result:
    monkeypatch.setattr(batch, "PAYS", 0.0)
    monkeypatch.setattr(batch, "_cores", lambda: cores)
    return CliRunner().invoke(main, ["case", *files, *more])


@pytest.mark.parametrize("form", ["text", "json"])
def test_several_processes_say_what_one_says(files: list[str], form: str, monkeypatch: pytest.MonkeyPatch) -> None:
    one = worked_up(files, "--as", form, cores=1, monkeypatch=monkeypatch)
    two = worked_up(files, "--as", form, cores=2, monkeypatch=monkeypatch)
    assert (two.exit_code, two.stdout, two.stderr) == (one.exit_code, one.stdout, one.stderr)
    assert one.exit_code == 2
    assert "bad.yaml:5:27: impossible-value" in one.stderr
    assert "missing.yaml:1:1: no-such-file" in one.stderr
    if form == "json":
        assert len(json.loads(one.stdout)) == len(files) - 2


def test_a_book_that_is_not_there_is_said_once_for_each_case_and_no_process_is_left(
    files: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    done = worked_up(files, "--book", "nowhere", cores=2, monkeypatch=monkeypatch)
    assert (done.exit_code, done.exception.__class__) == (2, SystemExit)
    assert "nowhere" in done.stderr


def test_few_cases_are_worked_up_by_one_process(files: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("concurrent.futures.ProcessPoolExecutor", None)
    assert CliRunner().invoke(main, ["case", *files]).exit_code == 2
