"""Each format against files that a person has read; `pytest --renew` writes them anew.

The knowledge is the small book's: a change of the shipped book changes nothing here.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.case.from_yaml import read_case
from diagnose.pipeline import Bench
from diagnose.report import FORMATS
from diagnose.report.model import WorkUp

HERE = Path(__file__).parent / "golden"
BOOK = Path(__file__).parent.parent / "books" / "small"
ENDINGS = {"text": "txt", "json": "json"}


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(BOOK, engine="plain", shown_as="small")


def test_every_format_has_expected_files() -> None:
    assert FORMATS.keys() == ENDINGS.keys()


@pytest.mark.parametrize("form", sorted(ENDINGS))
@pytest.mark.parametrize("case", sorted(HERE.glob("*.yaml")), ids=lambda path: path.stem)
def test_as_expected(bench: Bench, case: Path, form: str, renew: bool) -> None:
    whole = read_case(case, case.name)
    plan = bench.work_up(bench.visit(whole))
    moved = bench.moved(whole, len(whole.visits), plan)
    found = FORMATS[form]([WorkUp(plan, bench.book, moved)], many=False)
    expected = case.with_suffix(f".{ENDINGS[form]}")
    if renew:
        expected.write_text(found, encoding="utf-8")
    assert found == expected.read_text(encoding="utf-8")
