"""No tests, no costs, answers that exclude each other: what the choice of tests can't live on, through the commands."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent.parent
SMALL = TOP / "tests" / "books" / "small"
ACID = "id: c\ndate: 2026-03-01\ntitle: acid\nreadings:\n  - {quantity: ph, value: 6.2}\n"
PINK = """\
id: c
date: 2026-03-01
title: pink, with a cooler of its own
system:
  transmission_cooler: separate
readings:
  - {quantity: opening, value: safe}
  - {quantity: film, value: transmission_oil}
"""
TIMES = re.compile(r"minutes: \d+")


def diagnose(folder: Path, *arguments: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    env = {**os.environ, "PYTHONPATH": str(TOP), "PYTHONIOENCODING": "utf-8", "COLUMNS": "92"}
    done = subprocess.run(
        [sys.executable, "-m", "diagnose", *arguments], cwd=folder, input=typed, capture_output=True, text=True,
        check=False, env=env, timeout=120,
    )  # fmt: skip
    assert "Traceback" not in done.stderr + done.stdout
    assert "nan" not in done.stdout.split()
    return done


def changed(folder: Path, file: str, change: dict[str, str]) -> None:
    """A copy of the small book with some of its text replaced, and a case with acid coolant."""
    if not (folder / "small").exists():
        shutil.copytree(SMALL, folder / "small")
    path = folder / "small" / file
    text = path.read_text(encoding="utf-8")
    for old, new in change.items():
        text, count = re.subn(old, new, text)
        assert count, old
    path.write_text(text, encoding="utf-8")
    (folder / "c.yaml").write_text(ACID, encoding="utf-8")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({r"(?s)\ntests:\n.*?\nservices:": "\ntests: []\nservices:"}, "missing-list: this book has no tests"),
        ({r"yields: \[\{quantity: ph, .*": "yields: []"}, "78:13: empty-value: the test 'ph_meter' yields nothing"),
        ({r"\n    yields: \[\{quantity: ph, .*": ""}, "missing-key: this test has no 'yields'"),
        ({r"yields: \[\{quantity: ph, .*": "yields: [{quantity: phh}]"}, "no quantity is called 'phh'"),
        ({r"\n    minutes: 4": ""}, "missing-key: this test has no 'minutes'"),
        ({r"minutes: 300, ": ""}, "9:17: missing-key: this comes_back has no 'minutes'"),
        ({r"part: hose, minutes: 90, ": "part: hose, "}, "missing-key: this repair has no 'minutes'"),
        ({r"minutes: 300": "minutes: -300"}, "below-zero: 'minutes' is below 0"),
        ({r"minutes: 300": "minutes: .nan"}, "minutes"),
    ],
)
def test_a_book_without_tests_or_costs_is_named_with_its_place(
    tmp_path: Path, change: dict[str, str], says: str
) -> None:
    changed(tmp_path, "knowledge.yaml", change)
    for rules in (tmp_path / "small" / "rules").glob("*.yaml") if "tests" in says else ():
        rules.write_text(re.sub(r"\n    next: .*", "", rules.read_text(encoding="utf-8")), encoding="utf-8")
    before = (tmp_path / "c.yaml").read_bytes()
    for command in (("case", "c.yaml", "--book", "small"), ("bench", "c", "--book", "small"), ("vet", "small")):
        done = diagnose(tmp_path, *command)
        assert done.returncode == (1 if command[0] == "vet" else 2)
        assert says in done.stderr + done.stdout
        assert "small/" in done.stderr + done.stdout
    assert (tmp_path / "c.yaml").read_bytes() == before


@pytest.mark.parametrize("kind", ["all", "tests", "repairs"])
def test_costs_of_nothing_divide_nothing(tmp_path: Path, kind: str) -> None:
    """Zero minutes are allowed: a glance, or a cause whose repair is free."""
    changed(tmp_path, "knowledge.yaml", {r", dismantling: \d+": ""})
    path = tmp_path / "small" / "knowledge.yaml"
    lines = path.read_text(encoding="utf-8").split("\n")
    for number, line in enumerate(lines):
        if kind == "all" or (kind == "tests") == line.startswith("    minutes:"):
            lines[number] = TIMES.sub("minutes: 0", line)
    path.write_text("\n".join(lines), encoding="utf-8")
    found = diagnose(
        tmp_path, "case", "c.yaml", "--book", "small", "--as", "json", "--rollout", "--ahead", "2", "--shake"
    )
    assert (found.returncode, found.stderr) == (0, "")
    case = json.loads(found.stdout)
    assert case["causes"]
    assert all(test["minutes"] >= 0 for test in case["next_tests"])
    done = diagnose(tmp_path, "bench", "car", "--book", "small", "--date", "2026-03-01", typed="a car\n")
    assert done.returncode == 0
    assert (tmp_path / "car.yaml").exists()


def test_answers_that_exclude_each_other_are_named_and_nothing_is_lost(tmp_path: Path) -> None:
    """Red oil in the coolant and pink fluid prove a cooler that this car has not: probability zero."""
    case = tmp_path / "c.yaml"
    case.write_text(f"{PINK}  - {{quantity: transmission_fluid, value: pink_milky}}\n", encoding="utf-8")
    before = case.read_bytes()
    for command in (("case", "c.yaml"), ("bench", "c", "--date", "2026-03-01")):
        done = diagnose(tmp_path, *command, typed="stop\n")
        assert done.returncode == 2
        assert re.search(r"c\.yaml:8:\d+: contradiction: film .* rules it out", done.stderr + done.stdout)
        assert "hint: check the reading and the facts about the car" in done.stderr + done.stdout
        assert case.read_bytes() == before


def test_an_answer_at_the_bench_that_excludes_the_others_is_refused_and_the_rest_stays(tmp_path: Path) -> None:
    case = tmp_path / "c.yaml"
    fluid = "  - {quantity: transmission_fluid, value: pink_milky}\n"
    film = "  - {quantity: film, value: transmission_oil}\n"
    case.write_text(f"complaint: {{complaint: looks_bad}}\n{PINK.replace(film, fluid)}", encoding="utf-8")
    typed = "organic_acid\nother look, film\nclear\ntransmission_oil\nnone\nstop\n"
    done = diagnose(tmp_path, "bench", "c", "--date", "2026-03-01", typed=typed)
    assert done.returncode == 0
    told = " ".join(done.stdout.split())
    assert "Not taken: film on the coolant" in told
    assert "rules it out (check the reading and the facts about the car)" in told
    text = case.read_text(encoding="utf-8")
    assert fluid in text
    assert "transmission_cooler: separate" in text
    assert "transmission_oil" not in text
    assert "{quantity: film, value: none" in text
