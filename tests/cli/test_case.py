"""The commands on cases, driven as a person would drive them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent.parent
GOOD = "cases/white-van-acid.yaml"
TWICE = "cases/dry-since-the-new-pump.yaml"


def diagnose(*arguments: str, folder: Path = TOP) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "diagnose", *arguments]
    env = {
        "DIAGNOSE_CACHE": os.environ["DIAGNOSE_CACHE"],
        "PYTHONPATH": str(TOP),
        "PATH": "/usr/bin:/bin",
        "PYTHONIOENCODING": "utf-8",
    }
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False, env=env)


def test_one_case_as_text() -> None:
    done = diagnose("case", GOOD)
    assert (done.returncode, done.stderr) == (0, "")
    for title in ("WHAT WAS READ", "WHAT PROBABLY HAPPENED", "WHAT TO TEST NEXT", "THE WORK, IN ORDER", "CAUTIONS"):
        assert title in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 92


def test_one_case_as_json_is_one_object_with_what_the_format_promises() -> None:
    found = json.loads(diagnose("case", GOOD, "--as", "json").stdout)
    promised = {
        "format",
        "case",
        "book",
        "engine",
        "findings",
        "fired",
        "causes",
        "next_tests",
        "plan",
        "cautions",
        "unused",
    }
    assert promised <= found.keys()
    assert {"id", "label", "probability", "state", "for", "against", "root"} <= found["causes"][0].keys()
    assert {"decision", "because", "steps"} <= found["plan"].keys()
    assert {cause["state"] for cause in found["causes"]} <= {"proven", "probable", "possible", "unlikely", "impossible"}


def test_several_cases_as_json_are_a_list() -> None:
    found = json.loads(diagnose("case", GOOD, GOOD, "--as", "json").stdout)
    assert [one["case"]["id"] for one in found] == ["white-van-acid", "white-van-acid"]


def test_what_moved_since_the_visit_before_is_told_with_its_own_case() -> None:
    done = diagnose("case", TWICE, GOOD)
    own, _, other = done.stdout.partition("=" * 92)
    assert own.split()[-3:] == ["coolant", "comes", "out)."]
    assert "WHAT MOVED SINCE 18 March 2025" in own
    assert "It held" in own
    assert "WHAT MOVED" not in other


def test_json_tells_what_moved_as_the_text_does() -> None:
    told, plain = json.loads(diagnose("case", TWICE, GOOD, "--as", "json").stdout)
    assert plain["moved"] is None
    moved = told["moved"]
    assert (moved["since"], moved["until"], moved["coolant_renewed"]) == ("2025-03-18", "2026-03-24", False)
    assert [(each["cause"], each["verdict"]) for each in moved["repairs"]] == [("leak_pump_seal", "held")]
    level = next(each for each in moved["readings"] if each["quantity"] == "level")
    assert (level["then"], level["now"], level["moved"]) == ("low", "at mark", True)
    assert moved["loss"].startswith("The earlier reading and this one may be the same")


def test_a_batch_prints_the_good_cases_and_then_says_what_is_wrong_with_the_others(tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("id: bad\ndate: 2026-01-02\ntitle: t\nreadings:\n  - {quantity: ph, value: 19}\n")
    done = diagnose("case", str(bad), GOOD, str(tmp_path / "missing.yaml"))
    assert done.returncode == 2
    assert "Case white-van-acid" in done.stdout
    assert f"{bad}:5:27" in done.stderr
    assert "missing.yaml" in done.stderr
    assert "Traceback" not in done.stderr


def test_it_works_from_any_folder_with_a_book_of_ones_own(tmp_path: Path) -> None:
    case = tmp_path / "c.yaml"
    case.write_text("id: c\ndate: 2026-01-02\ntitle: t\nreadings:\n  - {quantity: ph, value: 6.2}\n")
    done = diagnose("case", "c.yaml", "--book", str(TOP / "tests" / "books" / "small"), folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "Rulebook small" in done.stdout


def test_an_unknown_book_is_named_with_the_one_that_was_meant() -> None:
    done = diagnose("case", GOOD, "--book", "passenger-cra")
    assert done.returncode == 2
    assert "passenger-car" in done.stderr


@pytest.mark.parametrize("stage", ["findings", "firings", "causes", "plan"])
def test_every_stage_can_be_printed_alone_with_places(stage: str) -> None:
    done = diagnose("explain", GOOD, "--at", stage)
    assert (done.returncode, done.stderr) == (0, "")
    assert "passenger-car/" in done.stdout
    assert ".yaml:" in done.stdout


def test_wrong_usage_exits_with_2() -> None:
    assert [diagnose("case").returncode, diagnose("explain", GOOD, "--at", "nothing").returncode] == [2, 2]


def test_books_lists_what_is_shipped() -> None:
    done = diagnose("books")
    assert done.returncode == 0
    assert done.stdout.startswith("passenger-car")


@pytest.mark.parametrize("engine", ["durable", "plain"])
def test_the_engine_that_was_used_is_named(engine: str) -> None:
    if engine == "durable":
        pytest.importorskip("durable", reason="durable-rules is not installed")
    found = json.loads(diagnose("case", GOOD, "--as", "json", "--engine", engine).stdout)
    assert engine in found["engine"]


def test_both_engines_give_the_same_work_up_but_for_their_name() -> None:
    pytest.importorskip("durable", reason="durable-rules is not installed")
    one, other = (
        json.loads(diagnose("case", GOOD, "--as", "json", "--engine", e).stdout) for e in ("durable", "plain")
    )
    assert one.pop("engine") != other.pop("engine")
    assert one == other
