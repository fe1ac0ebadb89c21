"""The template for cases is read by the program, so that it can't promise what isn't there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from diagnose.case.from_yaml import case_from_text
from diagnose.pipeline import Bench

TOP = Path(__file__).parent.parent.parent
BLOCKS = re.findall(r"```yaml\n(.*?)```", (TOP / "cases" / "README.md").read_text(encoding="utf-8"), re.DOTALL)


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(TOP / "rulebooks" / "passenger-car")


def test_there_are_examples() -> None:
    assert len(BLOCKS) >= 2


@pytest.mark.parametrize("block", BLOCKS)
def test_every_example_is_worked_up(bench: Bench, block: str) -> None:
    plan = bench.work_up(case_from_text(block, "README.yaml"))
    assert plan.diagnosis.firings.findings.unused == ()
