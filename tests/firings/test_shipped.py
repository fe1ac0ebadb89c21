"""Both matchers fire the same rules on every shipped book: in every shipped case, and in states drawn at random."""

from __future__ import annotations

import random
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from diagnose.case.from_yaml import read_case
from diagnose.cli.workshop import DEFAULT_BOOK
from diagnose.findings.from_case import find
from diagnose.findings.model import Findings
from diagnose.firings.from_findings import RuleEngine
from diagnose.rulebook.find import find_book
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Book

TOP = Path(__file__).parents[2]
BOOKS = sorted(path.parent for path in TOP.glob("rulebooks/*/rulebook.yaml"))
CASES = sorted(TOP.glob("cases/**/*.yaml"))


@cache
def read(folder: Path) -> Book:
    return read_book(folder)


@cache
def engines(folder: Path) -> tuple[RuleEngine, RuleEngine]:
    pytest.importorskip("diagnose.firings.durable", reason="durable-rules is not installed")
    return RuleEngine(read(folder), "durable"), RuleEngine(read(folder), "plain")


def same_rules_fire(folder: Path, findings: Findings) -> int:
    durable, plain = (engine.run(findings) for engine in engines(folder))
    assert durable.fired == plain.fired
    assert durable.findings == plain.findings
    assert durable.in_force == plain.in_force
    assert durable.concluded_by == plain.concluded_by
    return len(plain.fired)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_case(path: Path) -> None:
    case = read_case(path)
    folder = find_book(case.book or DEFAULT_BOOK)
    same_rules_fire(folder, find(case, read(folder)))


@pytest.mark.parametrize("folder", BOOKS, ids=lambda folder: folder.name)
def test_random_states(folder: Path, findings_of: Callable[..., Findings]) -> None:
    book, choose = read(folder), random.Random(11)
    fired = 0
    for _ in range(150):
        how_full = choose.random()
        recorded = {
            name: choose.choice(["unknown", *_some_bands([band.id for band in quantity.bands], choose)])
            for name, quantity in book.quantities.items()
            if quantity.role != "pattern" and choose.random() < how_full
        }
        families = choose.sample(sorted(book.families), choose.randint(1, len(book.families)))
        findings = findings_of(book, dict.fromkeys(families, 1 / len(families)), **recorded)
        fired += same_rules_fire(folder, findings)
    assert fired > 150


def _some_bands(bands: list[str], choose: random.Random) -> list[str | dict[str, float]]:
    """Every band, and some neighbours that a reading may straddle."""
    first = choose.randrange(len(bands))
    return [*bands, dict.fromkeys(bands[first : first + 2], 0.5)]
