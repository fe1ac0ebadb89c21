"""What must hold for any readings of the small book, as a technician would write them."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.case.from_yaml import case_from_text
from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.contradiction import Contradiction
from diagnose.diagnosis.from_firings import diagnose
from diagnose.diagnosis.model import Diagnosis
from diagnose.findings.from_case import find
from diagnose.firings.from_findings import RuleEngine
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Book

SMALL = Path(__file__).parent.parent / "books" / "small"

PH = st.one_of(
    st.floats(2, 12).map(lambda value: f"{{quantity: ph, value: {value:.1f}, method: pad}}"),
    st.floats(2, 12).map(lambda value: f"{{quantity: ph, value: {value:.2f}, method: meter}}"),
    st.sampled_from([f"{{quantity: ph, value: {low}..{low + 2}}}" for low in range(5, 10)]),
)
MIXTURE = st.integers(0, 90).map(lambda value: f"{{quantity: mixture, value: {value} %}}")
RESERVE = st.floats(0, 9).map(lambda value: f"{{quantity: reserve_alkalinity, value: {value:.1f}}}")
LEVEL = st.sampled_from(
    [f"{{quantity: level, value: {word}}}" for word in ("ok", "low", "empty", "unknown", "not done")]
)
READINGS = st.tuples(*(st.none() | each for each in (PH, MIXTURE, RESERVE, LEVEL)))
CLEANER = st.sampled_from(["", "history: {cleaner_used: acid}\n", "history: {cleaner_used: none}\n"])
FAMILY = st.sampled_from(["unknown", "organic_acid", "conventional"])


@cache
def bench() -> tuple[Book, RuleEngine, Belief]:
    book = read_book(SMALL)
    return book, RuleEngine(book, "plain"), Belief(book)


def work_up(readings: list[str], head: str) -> Diagnosis:
    book, engine, belief = bench()
    listed = "".join(f"\n  - {reading}" for reading in readings) or " []"
    text = f"id: c\ndate: 2026-01-01\ntitle: any\n{head}readings:{listed}\n"
    return diagnose(engine.run(find(case_from_text(text, "c.yaml"), book)), belief)


def told(found: Diagnosis) -> object:
    """All that a diagnosis says, to twelve digits."""
    suspects = [
        (s.cause.id, round(s.probability, 12), round(s.as_root, 12), s.state, s.root, s.story, s.roots)
        for s in found.suspects
    ]
    tests = [(choice.test.id, round(choice.bits, 12), choice.why) for choice in found.next_tests]
    return suspects, tests, found.later, round(found.nothing_wrong, 12), round(found.not_in_book, 12)


@settings(max_examples=80, deadline=None)
@given(READINGS, CLEANER, FAMILY, st.randoms())
def test_the_order_of_readings_does_not_matter(
    readings: tuple[str | None, ...], said: str, family: str, random: Random
) -> None:
    known = [reading for reading in readings if reading]
    head = f"family: {family}\n{said}"
    shuffled = random.sample(known, len(known))
    assert told(work_up(known, head)) == told(work_up(shuffled, head))


@settings(max_examples=40, deadline=None)
@given(READINGS, FAMILY)
def test_a_reading_that_no_rule_asks_for_changes_nothing(readings: tuple[str | None, ...], family: str) -> None:
    """Reserve alkalinity alone gives no share of what the mixture should have, and no rule asks for it."""
    known = [reading for reading in readings if reading and "reserve" not in reading and "mixture" not in reading]
    head = f"family: {family}\n"
    more = [*known, "{quantity: reserve_alkalinity, value: 2.2}"]
    plain, with_it = work_up(known, head), work_up(more, head)
    assert told(plain)[0] == told(with_it)[0]  # type: ignore[index]
    assert told(plain)[3:] == told(with_it)[3:]  # type: ignore[index]


@settings(max_examples=80, deadline=None)
@given(READINGS, CLEANER, FAMILY)
def test_probabilities_are_probabilities(readings: tuple[str | None, ...], said: str, family: str) -> None:
    try:
        found = work_up([reading for reading in readings if reading], f"family: {family}\n{said}")
    except Contradiction:
        pytest.fail("the small book explains every single reading")
    for suspect in found.suspects:
        assert 0 <= suspect.as_root <= suspect.probability + 1e-12
        assert suspect.probability <= 1 + 1e-12
    assert 0 <= found.nothing_wrong + found.not_in_book <= 1 + 1e-12
    for first in found.next_tests[:1]:
        assert first.reason != "pays" or first.saves > 0
    for choice in found.next_tests:
        assert choice.bits >= 0
        assert choice.minutes >= choice.test.minutes
        total = sum(outlook.probability for outlook in choice.outlook)
        assert 0.9 < total < 1 + 1e-9
    if found.listed():
        assert found.listed()[0].root


def test_the_same_case_twice_is_the_same_to_the_last_bit() -> None:
    readings = ["{quantity: ph, value: 6.4}", "{quantity: mixture, value: 33 %}", "{quantity: level, value: low}"]
    first, second = (work_up(readings, "family: unknown\n") for _ in range(2))
    assert (first.suspects, first.next_tests) == (second.suspects, second.next_tests)
