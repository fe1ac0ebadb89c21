"""Several readings of one quantity: repeats, better instruments, disagreement."""

from __future__ import annotations

from collections.abc import Callable

from diagnose.findings.model import Findings, Interval

Find = Callable[..., Findings]


def test_repeats_with_the_same_tool_are_one_reading(findings: Find) -> None:
    finding = findings("ph 8 by pad", "ph 9 by pad").found["ph"]
    assert [reading.interval for reading in finding.readings] == [Interval(7.5, 9.5)]
    assert finding.readings[0].recorded == "8; 9"
    assert finding.shown == "8 and 9, colour pad"


def test_a_repeat_that_says_the_same_changes_nothing(findings: Find) -> None:
    once, twice = findings("ph 8").found["ph"], findings("ph 8", "ph 8").found["ph"]
    assert once.readings[0].shares == twice.readings[0].shares
    assert once.interval == twice.interval


def test_repeated_words_allow_both(findings: Find) -> None:
    finding = findings("oil clean", "oil milky").found["oil"]
    assert len(finding.readings) == 1
    assert finding.possible == ("clean", "milky")


def test_a_repeat_of_a_one_sided_reading_has_no_far_end_either(findings: Find) -> None:
    """190 +/- 20 and above 400: somewhere from 170 up, borderline or hard."""
    (reading,) = findings("water_hardness 190", "water_hardness > 400").found["water_hardness"].readings
    assert reading.shares == (0, 0.5, 0.5)


def test_the_better_instrument_says_what_is_possible(findings: Find) -> None:
    finding = findings("ph 9 by pad", "ph 8.5 by meter").found["ph"]
    assert finding.possible == ("good",)
    assert finding.interval == Interval(8.4, 8.6)
    assert not finding.disagree
    assert finding.shown == "9, colour pad; 8.5, pH meter"


def test_a_lesser_instrument_that_excludes_the_better_disagrees(findings: Find) -> None:
    finding = findings("ph 11 by pad", "ph 8 by meter").found["ph"]
    assert finding.possible == ("good",)
    assert finding.disagree


def test_readings_that_agree_in_no_family_disagree(findings: Find) -> None:
    """8 by pad and 10.5 by meter: low and good for conventional, good and high for the other."""
    assert findings("ph 7.9 by pad", "ph 10.5 by meter", family="unknown").found["ph"].disagree
    assert not findings("ph 10 by pad", "ph 10.5 by meter", family="unknown").found["ph"].disagree


def test_instruments_of_the_same_trust(findings: Find) -> None:
    """The test book ranks floating balls and refractometer nowhere: both count where both can be right."""
    agreeing = findings("fill 39 by balls", "fill 40 by prism").found["fill"]
    assert agreeing.possible == ("thin", "good")
    assert agreeing.interval == Interval(38.5, 41)
    assert not agreeing.disagree
    apart = findings("fill 30 by balls", "fill 50 by prism").found["fill"]
    assert apart.possible == ("thin", "good")
    assert apart.interval == Interval(28, 51.5)
    assert apart.disagree


def test_what_both_allow_is_possible(findings: Find) -> None:
    """38.5 +/- 2 may be thin or good, 42 +/- 1.5 only good."""
    assert findings("fill 38.5 by balls", "fill 42 by prism").found["fill"].possible == ("good",)


def test_trust_reaches_over_an_instrument_that_was_not_used(findings: Find) -> None:
    """The hydrometer yields to the refractometer, and that to the laboratory."""
    finding = findings("fill 37 by float", "fill 41.5 by exact").found["fill"]
    assert finding.possible == ("good",)
    assert finding.interval == Interval(41.5, 41.5)
    assert not finding.disagree


def test_readings_stand_in_the_order_of_the_book(findings: Find) -> None:
    finding = findings("ph 8 by meter", "ph 8 by pad").found["ph"]
    assert [reading.method for reading in finding.readings] == ["pad", "meter"]
