"""What a repair at the visit before tells of the history, and what that does to the suspects of the next one.

That a head gasket renewed without planing the head blows again, and that a crack gives the same signs, is common
practice, no source; the figures are the book's judgement.
"""

from __future__ import annotations

import pytest

from diagnose.case.from_yaml import case_from_text
from diagnose.findings.earlier import visit_of
from diagnose.pipeline import Bench
from diagnose.rulebook.find import find_book

GIVEN = "head_gasket_renewed"
FIRST = """\
id: c
date: 2026-03-12
title: t
complaint: overheats
family: organic_acid
readings: [{quantity: combustion_gas, value: found, method: analyser}]
work: {service: replace, repaired: %s, mixture: 50 %%}
visits:
  - date: 2026-09-01
    complaint: overheats
    readings: [{quantity: combustion_gas, value: found, method: analyser}]
"""


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(find_book("passenger-car"), engine="plain")


def told(bench: Bench, text: str, visit: int | None = None) -> list[str]:
    whole = case_from_text(text, "case")
    at = len(whole.visits) if visit is None else visit
    return [entry.text for entry in visit_of(whole, at, bench.book).givens if entry.name == GIVEN]


@pytest.mark.parametrize(
    ("repaired", "says"),
    [("head_gasket_gas", ["yes"]), ("head_gasket_oil", ["yes"]), ("weak_cap", []), ("nothing", [])],
)
def test_a_repair_tells_the_history_of_the_next_visit(bench: Bench, repaired: str, says: list[str]) -> None:
    assert told(bench, FIRST % repaired) == says
    assert told(bench, FIRST % repaired, 0) == []


def test_what_somebody_tells_counts_more(bench: Bench) -> None:
    text = FIRST % "head_gasket_gas" + f"    history: {{{GIVEN}: no}}\n"
    assert told(bench, text) == ["no"]


def test_gas_after_a_new_gasket_makes_a_crack_more_probable_than_gas_alone(bench: Bench) -> None:
    shares = {}
    for repaired in ("head_gasket_gas", "weak_cap"):
        whole = case_from_text(FIRST % repaired, "case")
        found = bench.diagnosis(bench.visit(whole))
        gasket, crack = (found.suspect(name).probability for name in ("head_gasket_gas", "cracked_casting_gas"))
        shares[repaired] = crack / gasket
    assert shares["head_gasket_gas"] > 3 * shares["weak_cap"]
