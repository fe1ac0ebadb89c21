"""A limit that hangs on the coolant family: what settles it is finding the family out, not a better instrument.

The limits are the workshop's: conventional 8.5 to 11, extended life 7 to 9 (common practice, no source). Colour
tells no family (trade press of 2012 and a fleet magazine, as the book cites them).
"""

from __future__ import annotations

import pytest
from test_shipped_book import work_up

from diagnose.diagnosis.model import Diagnosis

FIND, METER = "find_the_family", "ph_meter"
UNKNOWN = "unknown"


def offered(found: Diagnosis) -> list[str]:
    return [choice.test.id for choice in found.next_tests]


@pytest.mark.parametrize(
    "reading", ["ph, value: 9.5, method: meter", "ph, value: 9.5, method: pad", "ph, value: 9..11"]
)
def test_where_only_the_family_settles_it_no_instrument_is_offered_for_it(reading: str) -> None:
    found = work_up(reading, "mixture, value: 50 %", family=UNKNOWN)
    assert offered(found)[0] == FIND
    assert METER not in offered(found)
    first = found.next_tests[0]
    assert (first.reason, first.minutes) == ("decides", 8)
    assert first.why == "the decision on the coolant waits for it, for the limit hangs on the coolant family"
    assert "PH-22" in first.asked_by


def test_where_the_pad_is_too_coarse_for_some_of_the_families_both_are_offered() -> None:
    """8.5 to 9.5 is right for conventional coolant and on both sides of 9 for the others."""
    found = work_up("ph, value: 8.6..9.4, method: pad", "mixture, value: 50 %", family=UNKNOWN)
    assert {FIND, METER} <= set(offered(found))


@pytest.mark.parametrize(
    ("reading", "family"),
    [
        ("ph, value: 9.5, method: meter", "conventional"),
        ("ph, value: 9.5, method: meter", "organic_acid"),
        ("ph, value: 9.5, method: meter", "[organic_acid, hybrid]"),  # the same limits for both
        ("ph, value: 6.2, method: meter", UNKNOWN),  # acid in any family
        ("ph, value: 8.8, method: meter", UNKNOWN),  # right in any family
        ("ph, value: 8.8..9.3, method: pad", "organic_acid"),
    ],
)
def test_where_the_family_changes_nothing_nobody_is_sent_to_look_for_it(reading: str, family: str) -> None:
    assert FIND not in offered(work_up(reading, "mixture, value: 50 %", family=family))


def test_two_families_with_other_limits_are_enough() -> None:
    found = work_up("ph, value: 9.5, method: meter", "mixture, value: 50 %", family="[conventional, organic_acid]")
    assert offered(found)[0] == FIND


@pytest.mark.parametrize("told", ["unknown", "colour"])
def test_what_was_looked_for_in_vain_is_not_offered_again_and_neither_is_the_meter(told: str) -> None:
    more = f"history: {{family_told_by: {told}}}\n"
    found = work_up("ph, value: 9.5, method: pad", "mixture, value: 50 %", family=UNKNOWN, more=more)
    assert {FIND, METER}.isdisjoint(offered(found))
    assert offered(found) == ["laboratory"]  # no paper tells it; the inhibitors still do, in days
    assert found.next_tests[0].reason == "decides"
    assert found.next_tests[0].away > 0


def test_where_no_laboratory_is_at_hand_either_nothing_is_made_up() -> None:
    more = "history: {family_told_by: unknown}\n"
    lab = "laboratory, value: unknown"
    found = work_up("ph, value: 9.5, method: pad", "mixture, value: 50 %", lab, family=UNKNOWN, more=more)
    assert offered(found) == []


def test_a_family_read_off_the_colour_is_called_a_guess() -> None:
    found = work_up("ph, value: 8.0, method: meter", more="history: {family_told_by: colour}\n")
    assert "HI-21" in {firing.rule.id for firing in found.firings.sure()}
