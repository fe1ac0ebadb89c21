"""The engine and the plain matcher agree, on rulebooks that nobody would write."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from diagnose.firings.matcher import Rules
from diagnose.firings.plain import PlainMatcher

TERM = st.integers(0, 30).map(lambda number: f"quantity {number}: low or 'high'")
RULES = st.dictionaries(st.text("abc-. _$ö", min_size=1, max_size=6), st.frozensets(TERM, max_size=6), max_size=30)


def by_definition(rules: Rules, terms: frozenset[str]) -> frozenset[str]:
    """A rule fires when all its terms hold: the sentence of the protocol, with nothing clever in it."""
    return frozenset(rule for rule, needed in rules.items() if all(term in terms for term in needed))


@given(rules=RULES, terms=st.frozensets(TERM))
def test_plain_matcher_does_what_the_protocol_says(rules: Rules, terms: frozenset[str]) -> None:
    assert PlainMatcher(rules).fire(terms) == by_definition(rules, terms)


@settings(max_examples=150, deadline=None)
@given(rules=RULES, cases=st.lists(st.frozensets(TERM), min_size=1, max_size=5))
@example(rules={"opened_": frozenset("a"), "closed_": frozenset("b")}, cases=[frozenset("a")])
@example(rules={"R-1": frozenset("id"), "R-2": frozenset({"sid", "$s"})}, cases=[frozenset({"sid", "$s", "i", "d"})])
@example(rules={"always": frozenset()}, cases=[frozenset()])
def test_both_matchers_fire_the_same_rules(rules: Rules, cases: list[frozenset[str]]) -> None:
    durable = pytest.importorskip("diagnose.firings.durable", reason="durable-rules is not installed")
    engine, plain = durable.DurableMatcher(rules), PlainMatcher(rules)
    for terms in cases:
        assert engine.fire(terms) == plain.fire(terms)
