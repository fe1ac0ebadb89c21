"""`diagnose bench` as a person or a pipe drives it: killed, starved, narrow, and two at a time."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent.parent
ANSWERS = [
    "a blue estate",
    "loses_coolant",
    "no",
    "safe",
    "organic_acid",
    "low",
    "other look_and_smell",
    "brown",
    "none",
    "exhaust",
]


def command(*arguments: str) -> list[str]:
    return [sys.executable, "-m", "diagnose", "bench", *arguments, "--date", "2026-03-01", "--engine", "plain"]


def environment(**more: str) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(TOP), "PYTHONIOENCODING": "utf-8", "COLUMNS": "92", **more}


def bench(folder: Path, answers: list[str], name: str = "car", **env: str) -> subprocess.CompletedProcess[str]:
    text = "".join(f"{answer}\n" for answer in answers)
    return subprocess.run(
        command(name), cwd=folder, input=text, capture_output=True, text=True, check=False, env=environment(**env),
        encoding=env.get("PYTHONIOENCODING", "utf-8"), timeout=60,
    )  # fmt: skip


def test_a_piped_session_ends_in_the_work_up_and_the_case_can_be_worked_up(tmp_path: Path) -> None:
    done = bench(tmp_path, [*ANSWERS, "stop"])
    assert (done.returncode, done.stderr) == (0, "")
    for title in ("WHAT WAS READ", "THE WORK, IN ORDER", "STILL UNPROVEN", "Saved in car.yaml"):
        assert title in done.stdout
    assert [path.name for path in tmp_path.iterdir()] == ["car.yaml"]
    again = subprocess.run(
        [sys.executable, "-m", "diagnose", "case", "car.yaml", "--engine", "plain"],
        cwd=tmp_path, capture_output=True, text=True, check=False, env=environment(),
    )  # fmt: skip
    assert again.returncode == 0
    assert again.stdout in done.stdout


def test_the_end_of_input_loses_nothing(tmp_path: Path) -> None:
    for answer in ANSWERS:
        assert bench(tmp_path, [answer]).returncode == 0
    whole = tmp_path / "whole"
    whole.mkdir()
    bench(whole, ANSWERS)
    assert (whole / "car.yaml").read_text() == (tmp_path / "car.yaml").read_text()


@pytest.mark.skipif(sys.platform == "win32", reason="there is no kill -9")
def test_killed_at_every_prompt_it_goes_on_where_it_was(tmp_path: Path) -> None:
    quiet, killed = tmp_path / "quiet", tmp_path / "killed"
    quiet.mkdir()
    killed.mkdir()
    bench(quiet, ANSWERS)
    for answer in ANSWERS:
        process = subprocess.Popen(
            command("car"), cwd=killed, stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=environment(), bufsize=0
        )
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write(f"{answer}\n".encode())
        seen = b""
        while seen.count(b"Takes:") < 2 or not seen.endswith(b": "):  # the next question stands there
            byte = process.stdout.read(1)
            assert byte, seen.decode()
            seen += byte
        process.send_signal(signal.SIGKILL)
        process.communicate()
    assert (killed / "car.yaml").read_text() == (quiet / "car.yaml").read_text()
    assert (
        bench(killed, ["stop"]).stdout.partition("WHAT WAS READ")[2]
        == bench(quiet, ["stop"]).stdout.partition("WHAT WAS READ")[2]
    )


def test_a_break_from_the_keyboard_is_a_sentence(tmp_path: Path) -> None:
    bench(tmp_path, ANSWERS)
    process = subprocess.Popen(command("car"), cwd=tmp_path, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                               stderr=subprocess.PIPE, env=environment(), bufsize=0)  # fmt: skip
    assert process.stdout is not None
    seen = b""
    while not seen.endswith(b": ") or b"Takes:" not in seen:
        seen += process.stdout.read(1)
    process.send_signal(signal.SIGINT)
    out, err = process.communicate()
    assert b"Broken off" in out
    assert b"Traceback" not in err
    assert process.returncode == 0


def test_it_fits_a_phone(tmp_path: Path) -> None:
    done = bench(
        tmp_path,
        [*ANSWERS[:4], "why", "how", "list", "help", "other", "all", "back", *ANSWERS[4:], "stop"],
        COLUMNS="44",
    )
    typed = {f"Test: {answer}" for answer in ANSWERS}
    wide = [line for line in done.stdout.splitlines() if len(line) > 44 and line not in typed]
    assert [line for line in wide if not any(line.endswith(answer) for answer in (*ANSWERS, "why", "how"))] == []


def test_no_colour_and_no_moving_of_the_cursor(tmp_path: Path) -> None:
    for env in ({}, {"NO_COLOR": "1"}, {"TERM": "dumb"}):
        done = bench(tmp_path, ["stop"], "other-car", **env)
        assert "\x1b" not in done.stdout
        assert "\r" not in done.stdout


def test_an_old_console(tmp_path: Path) -> None:
    done = bench(tmp_path, ["a grün estate", *ANSWERS[1:], "stop"], PYTHONIOENCODING="cp1252")
    assert (done.returncode, done.stderr) == (0, "")
    assert "grün" in (tmp_path / "car.yaml").read_text("utf-8")


def test_two_sessions_do_not_overwrite_each_other(tmp_path: Path) -> None:
    first = subprocess.Popen(
        command("car"), cwd=tmp_path, stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=environment()
    )
    assert first.stdin is not None
    assert first.stdout is not None
    first.stdin.write(b"a blue estate\n")
    first.stdin.flush()
    while b"Takes" not in first.stdout.readline():
        pass
    second = bench(tmp_path, ["another car"])
    assert second.returncode == 2
    assert "in-use" in second.stderr
    first.communicate()
    assert "blue estate" in (tmp_path / "car.yaml").read_text()


def test_what_somebody_else_wrote_meanwhile_is_taken_over(tmp_path: Path) -> None:
    bench(tmp_path, ANSWERS[:5])
    path = tmp_path / "car.yaml"
    process = subprocess.Popen(command("car"), cwd=tmp_path, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                               env=environment(), bufsize=0)  # fmt: skip
    assert process.stdin is not None
    assert process.stdout is not None
    while b"Takes:" not in process.stdout.readline():
        pass
    path.write_text(path.read_text() + "note: by another hand  # mine\n")
    out, _ = process.communicate(b"unknown\nunknown\nstop\n")
    assert b"was changed by somebody else" in out
    assert "note: by another hand  # mine" in path.read_text()
    assert "value: unknown" in path.read_text()


@pytest.mark.parametrize("text", ["id: [\n", "id: car\n", "\xff\xfe", "- a\n", "id: car\ndate: x\ntitle: t\n"])
def test_a_damaged_case_is_named_with_its_place_and_stays_as_it_is(tmp_path: Path, text: str) -> None:
    path = tmp_path / "car.yaml"
    path.write_bytes(text.encode("latin-1"))
    done = bench(tmp_path, ["x"])
    assert done.returncode == 2
    assert done.stderr.startswith("car.yaml:")
    assert "Traceback" not in done.stderr
    assert path.read_bytes() == text.encode("latin-1")


NOBODY = 65534
"""A user who owns nothing."""
AS_NOBODY = f"""
import _strptime, os, sys, diagnose.cli.bench, diagnose.cli.main
if os.geteuid() == 0:
    try:
        os.setgroups([]), os.setgid({NOBODY}), os.setuid({NOBODY})
    except PermissionError:
        sys.exit(77)
sys.argv[0] = "diagnose"
diagnose.cli.main.run()
"""
"""The program, run as somebody for whom a folder can be read-only; for root none is."""


@pytest.fixture
def read_only() -> Iterator[Path]:
    """A folder with a case in it in which nobody but root can write."""
    with tempfile.TemporaryDirectory() as name:  # pytest's own folders are closed to other users
        folder = Path(name)
        bench(folder, ANSWERS[:3])
        (folder / "car.yaml").chmod(0o644)
        folder.chmod(0o555)
        yield folder
        folder.chmod(0o755)


@pytest.mark.skipif(sys.platform == "win32", reason="rights of folders work otherwise there")
def test_a_read_only_folder_is_a_sentence(read_only: Path) -> None:
    before = (read_only / "car.yaml").read_bytes()
    done = subprocess.run(
        [sys.executable, "-c", AS_NOBODY, *command("car")[3:]], cwd=read_only, input="no\n", capture_output=True,
        text=True, check=False, env=environment(), timeout=60,
    )  # fmt: skip
    if done.returncode == 77:
        pytest.skip("root can't become another user here")
    assert done.returncode == 2
    assert done.stderr.startswith("car.yaml:1:1: not-writable: nothing can be written in this folder")
    assert (read_only / "car.yaml").read_bytes() == before
    assert [path.name for path in read_only.iterdir()] == ["car.yaml"]


@pytest.mark.skipif(sys.platform == "win32", reason="no limit can be set there")
def test_a_disk_that_is_full_in_the_midst_of_a_session_loses_nothing_for_root_either(tmp_path: Path) -> None:
    """No file may grow beyond what the case has now, so the answer can't be written, whoever asks."""
    import resource

    bench(tmp_path, ANSWERS[:4])
    before = (tmp_path / "car.yaml").read_bytes()

    def full() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (len(before) + 5, len(before) + 5))

    done = subprocess.run(
        command("car"), cwd=tmp_path, input="organic_acid\nlist\nstop\n", capture_output=True, text=True, check=False,
        env=environment(PYTHONDONTWRITEBYTECODE="1"), timeout=60, preexec_fn=full,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    said = " ".join(done.stdout.split())
    assert "car.yaml could not be written: File too large. The file is as it was before this answer" in said
    assert said.count("Which coolant family is in it") == 3
    assert (tmp_path / "car.yaml").read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == ["car.yaml"]
    assert bench(tmp_path, ["organic_acid", "stop"]).returncode == 0
    assert "family: organic_acid" in (tmp_path / "car.yaml").read_text()


def test_a_sign_that_is_none_in_the_consoles_encoding_is_asked_again(tmp_path: Path) -> None:
    done = subprocess.run(
        command("car"), cwd=tmp_path, input=b"caf\xe9 estate\nblue estate\nstop\n", capture_output=True, check=False,
        env=environment(), timeout=60,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"does not print; type it again" in done.stdout
    assert "title: blue estate" in (tmp_path / "car.yaml").read_text()


@pytest.mark.parametrize("name", ["a b", "-x", "nowhere/car", "..", "x" * 300])
def test_a_name_that_can_not_be_used_is_a_sentence(tmp_path: Path, name: str) -> None:
    done = bench(tmp_path, ["x"], name)
    assert done.returncode == 2
    assert done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def run_without_a_name(folder: Path, answers: list[str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "diagnose", "bench", "--date", "2026-03-01", "--engine", "plain"], cwd=folder,
        input="".join(f"{answer}\n" for answer in answers), capture_output=True, text=True, check=False,
        env=environment(), timeout=60,
    )  # fmt: skip


def test_where_a_name_is_asked_for_a_word_to_the_program_is_no_name(tmp_path: Path) -> None:
    done = run_without_a_name(tmp_path, ["help", "list", "stop"])
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.count("Write a short name") == 2
    assert list(tmp_path.iterdir()) == []


def test_help_and_stop_at_the_first_question_make_no_case(tmp_path: Path) -> None:
    done = bench(tmp_path, ["help", "stop"])
    assert (done.returncode, done.stderr) == (0, "")
    assert "This question takes: a few words." in done.stdout
    assert "Nothing was recorded." in done.stdout
    assert not (tmp_path / "car.yaml").exists()


def test_one_letter_does_not_open_the_system(tmp_path: Path) -> None:
    done = bench(tmp_path, [*ANSWERS[:3], "s", "stop"])
    assert done.returncode == 0
    assert "the word is written in full here" in " ".join(done.stdout.split())
    assert "value: safe" not in (tmp_path / "car.yaml").read_text()


def test_no_id_stands_on_the_screen_in_a_whole_session(tmp_path: Path) -> None:
    answers = [
        "blue estate",
        "loses coolant",
        "no",
        "safe",
        "unknown",
        "low",
        "other all",
        "back",
        "why",
        "how",
        "xx",
        "list",
    ]
    for _ in range(6):
        answers += ["unknown", "why", "_"]
    done = bench(tmp_path, [*answers, "stop"])
    said = done.stdout.partition("WHAT WAS READ")[0]
    said = said.replace("'_'", "").replace(": _\n", ": \n")
    assert [word for word in said.split() if "_" in word] == []
