"""The template for cases is read by the program, so that it can't promise what isn't there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from diagnose.case.from_yaml import case_from_text
from diagnose.case.visits import count
from diagnose.pipeline import Bench
from diagnose.vet.trial import try_case
from diagnose.yamlfile import InputError

TOP = Path(__file__).parent.parent.parent
TEXT = (TOP / "cases" / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```yaml\n(.*?)```", TEXT, re.DOTALL)
HEAD = "id: c\ndate: 2026-03-12\ntitle: t\n"
WITH_ANOTHER_KEY = {
    "a case": "zzz: 1\n",
    "a visit": "visits: [{date: 2026-04-12, zzz: 1}]\n",
    "a reading": "readings: [{quantity: ph, value: 8, zzz: 1}]\n",
    "an expect": "expect: {zzz: 1}\n",
    "an outcome": "outcome: {causes: [], known_by: seen, zzz: 1}\n",
    "a work": "work: {zzz: 1}\n",
}


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(TOP / "rulebooks" / "passenger-car")


def test_there_are_examples() -> None:
    assert len(BLOCKS) >= 2


@pytest.mark.parametrize("block", BLOCKS)
def test_every_example_is_worked_up_at_each_visit(bench: Bench, block: str) -> None:
    whole = case_from_text(block, "README.yaml")
    for number in range(count(whole)):
        plan = bench.work_up(bench.visit(whole, number))
        assert plan.diagnosis.firings.findings.unused == ()


@pytest.mark.parametrize("block", BLOCKS)
def test_every_example_meets_what_it_expects(bench: Bench, block: str) -> None:
    trials = try_case(case_from_text(block, "README.yaml"), bench)
    assert [str(problem) for trial in trials for problem in trial.problems] == []


@pytest.mark.parametrize("what", WITH_ANOTHER_KEY)
def test_every_key_that_may_be_written_is_told_of(what: str) -> None:
    """The program names the keys it knows when it meets one that it does not."""
    with pytest.raises(InputError, match=f"{what} has no key 'zzz'") as refused:
        case_from_text(HEAD + WITH_ANOTHER_KEY[what], "c.yaml")
    (problem,) = refused.value.problems
    known = problem.hint.removeprefix("known keys: ").split(", ")
    assert len(known) > 2
    assert [key for key in known if not re.search(rf"[`\s{{]{key}[`:]", TEXT)] == []
