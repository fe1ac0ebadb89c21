"""What a reading means, checked against published tables, definitions and the practice of the workshop."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.findings.bands import band_shares
from diagnose.findings.model import Findings, Interval
from diagnose.rulebook.model import Book

Find = Callable[..., Findings]


def shares(findings: Findings, quantity: str) -> dict[str, float]:
    finding = findings.found[quantity]
    (reading,) = finding.readings
    return {band.id: round(s, 6) for band, s in zip(finding.quantity.bands, reading.shares, strict=True) if s}


def middle(findings: Findings, quantity: str) -> float:
    interval = findings.found[quantity].interval
    assert interval is not None
    return (interval.low + interval.high) / 2


class TestWorkedReading:
    """Extended-life coolant, the pad's colour between 9 and 11, 44 % (common practice, no source)."""

    def test_pad_between_9_and_11_is_out_for_extended_life(self, findings: Find) -> None:
        found = findings("ph 9..11 by pad", "mixture 44 %")
        assert shares(found, "ph") == {"high": 1.0}
        assert found.sure("ph") == "high"
        assert shares(found, "mixture") == {"good": 1.0}

    def test_the_same_pad_is_good_for_conventional(self, findings: Find) -> None:
        assert shares(findings("ph 9..11 by pad", family="conventional"), "ph") == {"good": 1.0}

    @pytest.mark.parametrize(
        ("value", "family", "band"),
        [
            # closed limits, 8.5 to 11 and 7 to 9 (common practice, no source)
            (8.5, "conventional", "good"),
            (11, "conventional", "good"),
            (8.49, "conventional", "low"),
            (11.01, "conventional", "high"),
            (7, "organic_acid", "good"),
            (9, "organic_acid", "good"),
            (6.99, "organic_acid", "acid"),
            (9.01, "organic_acid", "high"),
        ],
    )
    def test_limits_are_closed(self, book: Book, value: float, family: str, band: str) -> None:
        ph = book.quantities["ph"]
        found = band_shares(Interval(value, value), ph, family)
        assert [b.id for b, share in zip(ph.bands, found, strict=True) if share] == [band]

    def test_unknown_family_mixes_the_bands(self, findings: Find) -> None:
        """30 % of the cars are conventional in the test book: the pad is good in those and high in the rest."""
        assert shares(findings("ph 9..11", family="unknown"), "ph") == {"good": 0.3, "high": 0.7}

    def test_two_families_share_what_is_left(self, findings: Find) -> None:
        assert findings(family="[OAT, conventional]").families == {"conventional": 0.3, "organic_acid": 0.7}
        assert findings(family="OAT").families == {"organic_acid": 1.0}


class TestProtection:
    @pytest.mark.parametrize(
        ("written", "glycol", "percent"),
        [
            # ASHRAE Fundamentals, aqueous glycols, pairs of vol % and freezing point
            ("-7.8 degC", "ethylene", 18.1),
            ("-14.1 degC", "ethylene", 27.7),
            ("-22.3 degC", "ethylene", 37.5),
            ("-27.5 degC", "ethylene", 42.5),
            ("-48.3 degC", "ethylene", 57.8),
            ("-12.7 degC", "propylene", 29.4),
            ("-21.1 degC", "propylene", 39.6),
            ("-33.5 degC", "propylene", 49.9),
        ],
    )
    def test_freezing_points_of_ashrae(self, findings: Find, written: str, glycol: str, percent: float) -> None:
        found = findings(f"fill {written} by exact", more=f"system: {{base_glycol: {glycol}}}\n")
        assert middle(found, "fill") == pytest.approx(percent, abs=0.05)

    def test_fahrenheit_against_a_handbook(self, findings: Find) -> None:
        """Handbook table (Lange's, ethylene): 44 vol % at -28.9 degC, which is -20 degF; tables differ by 1 vol %."""
        assert middle(findings("fill -20 degF by exact"), "fill") == pytest.approx(44, abs=1)
        assert middle(findings("fill -20 °F by exact"), "fill") == middle(findings("fill -20 degF by exact"), "fill")

    def test_resolution_is_that_of_the_instrument_in_percent(self, findings: Find) -> None:
        interval = findings("fill -27.5 degC by prism").found["fill"].interval
        assert interval is not None
        assert (interval.low, interval.high) == pytest.approx((41, 44), abs=0.05)

    def test_a_glycol_nobody_spoke_of_is_as_the_book_assumes(self, findings: Find) -> None:
        told = findings("fill -21.1 degC by exact", more="system: {base_glycol: ethylene}\n")
        assert findings("fill -21.1 degC by exact").found["fill"].interval == told.found["fill"].interval

    def test_a_glycol_nobody_knows_may_be_either(self, findings: Find) -> None:
        asked = findings("fill -21.1 degC by exact", more="system: {base_glycol: unknown}\n")
        either = findings("fill -21.1 degC by exact", more="system: {base_glycol: ethylene or propylene}\n")
        assert asked.found["fill"].interval == either.found["fill"].interval

    def test_either_glycol_holds_both_answers(self, findings: Find) -> None:
        """ASHRAE: -21.1 degC is 39.6 vol % propylene; ethylene needs between 32.6 (-17.9) and 37.5 (-22.3)."""
        found = findings("fill -21.1 degC by exact", more="system: {base_glycol: ethylene or propylene}\n").found
        interval = found["fill"].interval
        assert interval is not None
        assert 35 < interval.low < 37.5
        assert interval.high == pytest.approx(39.6, abs=0.05)

    def test_interval_between_two_marks_turns_round(self, findings: Find) -> None:
        interval = findings("fill -27.5..-22.3 degC").found["fill"].interval
        assert interval is not None
        assert (interval.low, interval.high) == pytest.approx((37.5, 42.5), abs=0.05)
        assert not interval.low_in
        assert not interval.high_in

    def test_one_sided_protection(self, findings: Find) -> None:
        interval = findings("fill < -27.5 degC").found["fill"].interval
        assert interval is not None
        assert (interval.low, interval.high) == pytest.approx((42.5, 100), abs=0.05)

    def test_beyond_the_scale_is_strong_and_has_no_freezing_point(self, findings: Find) -> None:
        """60 vol % freezes at -52 degC (heavy-equipment maker's manual, 2013); beyond it nothing is said."""
        found = findings("fill -60 degC")
        assert shares(found, "fill") == {"strong": 1.0}
        assert "fill_freezing" not in found.found
        assert "fill_freezing" not in findings("fill 75 %").found

    @pytest.mark.parametrize(
        ("written", "percent"),
        [
            # CRC Handbook, 102nd edition (index at 20 degC), Brix by ICUMSA 1974, vol % by ASHRAE's pairs
            ("1.3523 nD", 18.1),
            ("1.3728 nD", 37.5),
            ("1.3831 nD", 47.6),
            ("25.3 Brix", 37.5),
            ("31.1 Brix", 47.6),
            ("12.9 Brix", 18.1),
        ],
    )
    def test_index_and_brix(self, findings: Find, written: str, percent: float) -> None:
        assert middle(findings(f"fill {written} by exact"), "fill") == pytest.approx(percent, abs=0.2)


class TestUnits:
    @pytest.mark.parametrize(
        ("written", "mg_per_litre"),
        [
            # public hardness sheet: 1 gpg = 17.118 mg/L CaCO3, 1 degree dH = 17.848; 170 mg/L = 9.93 gpg = 9.52 dH
            ("9.93 gpg", 170),
            ("9.52 degdH", 170),
            ("9.52 °dH", 170),
            ("170 mg/L", 170),
            ("170 ppm", 170),
            ("170", 170),
            # published: 329 ppm is 18.42 degrees dH
            ("18.42 degdH", 329),
        ],
    )
    def test_hardness(self, findings: Find, written: str, mg_per_litre: float) -> None:
        assert middle(findings(f"water_hardness {written} by drops"), "water_hardness") == pytest.approx(
            mg_per_litre, abs=0.3
        )

    def test_12_grains_are_hard_water(self, findings: Find) -> None:
        """12 x 17.118 = 205.4 mg/L, above the 200 mg/L of a car maker's water specification."""
        assert findings("water_hardness 12 gpg by drops").sure("water_hardness") == "hard"

    def test_grains_are_no_chloride(self, findings: Find) -> None:
        with pytest.raises(Exception, match="'gpg' is not a unit of chloride"):
            findings("chloride 12 gpg")

    def test_millivolts(self, findings: Find) -> None:
        assert findings("drop 300 mV").found["drop"].interval == Interval(0.3, 0.3)
        assert findings("drop 300mV").found["drop"].interval == findings("drop 0.3 V").found["drop"].interval

    def test_a_converted_value_is_what_it_says(self, findings: Find) -> None:
        """9 x 0.001 is 0.009000000000000001 to a computer."""
        assert findings("drop 9 mV").found["drop"].interval == Interval(0.009, 0.009)

    def test_durations_and_distances(self, findings: Find) -> None:
        """12 months to the year; 1 mile is 1.609344 km by definition."""
        givens = findings(more="history: {fill_age: 18 months, fill_distance: 60000 mi}\n").givens
        assert givens["fill_age"].interval == Interval(1.5, 1.5)
        assert givens["fill_distance"].interval == Interval(96560.64, 96560.64)
        assert findings(more="history: {fill_age: 3 years}\n").givens["fill_age"].interval == Interval(3, 3)


class TestForms:
    def test_interval_between_pads_is_open_and_not_widened(self, findings: Find) -> None:
        for written in ("9..11", "9 .. 11", "9 to 11", "between 9 and 11"):
            assert findings(f"ph {written}").found["ph"].interval == Interval(9, 11, False, False), written

    def test_point_is_widened_once(self, findings: Find) -> None:
        assert findings("ph 8 by pad").found["ph"].interval == Interval(7.5, 8.5)
        assert findings("ph 8").found["ph"].interval == Interval(7.5, 8.5)  # the book's first method
        assert findings("ph 8 by pH meter").found["ph"].interval == Interval(7.9, 8.1)

    def test_widening_does_not_reach_over_an_edge_by_rounding(self, findings: Find) -> None:
        """9.1 - 0.1 is 8.999999999999998 to a computer, and 9.0 is the edge of the range."""
        assert findings("ph 9.1 by meter").found["ph"].possible == ("high",)

    def test_widening_ends_at_what_is_possible(self, findings: Find) -> None:
        assert findings("ph 0.2").found["ph"].interval == Interval(0, 0.7)

    def test_one_sided(self, findings: Find) -> None:
        assert findings("volts_off > 29 V").found["volts_off"].interval == Interval(29, 30, False, True)
        assert findings("drop < 0.1 V").found["drop"].possible == ("good",)
        assert findings("water_hardness > 25 gpg").found["water_hardness"].possible == ("hard",)
        assert findings("water_hardness over 25 gpg").found["water_hardness"].possible == ("hard",)

    def test_one_sided_only_excludes(self, findings: Find) -> None:
        """Above 185 mg/L is not good; how far it reaches is not said, so borderline and hard count alike."""
        for written in ("> 185", "> 185 by drops", "more than 185 mg/L"):
            assert shares(findings(f"water_hardness {written}"), "water_hardness") == {"borderline": 0.5, "hard": 0.5}

    def test_below_a_voltage_means_close_to_nothing_on_a_meter_with_both_signs(self, findings: Find) -> None:
        assert findings("volts_off < 0.1 V").found["volts_off"].interval == Interval(0.0, 0.1, True, False)

    def test_straddling_shares(self, findings: Find) -> None:
        """8.5 with half a pH either way on extended life: half of 8.0 to 9.0 ... all good; 9.0: half out."""
        assert shares(findings("ph 8.5"), "ph") == {"good": 1.0}
        assert shares(findings("ph 9"), "ph") == {"good": 0.5, "high": 0.5}
        assert findings("ph 9").found["ph"].straddles

    def test_words(self, findings: Find) -> None:
        for written in ("glycol_found", "glycol found", "Glycol Found", "gly"):
            assert findings(f"oil {written}").sure("oil") == "glycol_found", written
        assert findings("oil as it should be").sure("oil") == "clean"
        assert findings("oil grey or white").sure("oil") == "milky"
        assert findings("oil milky or clean").found["oil"].possible == ("clean", "milky")
        assert shares(findings("ph good or low"), "ph") == {"low": 0.5, "good": 0.5}

    def test_unknown_and_not_done(self, findings: Find) -> None:
        found = findings("ph unknown", "oil not done", "drop not_done").found
        assert [found[name].status for name in ("ph", "oil", "drop")] == ["unknown", "not_done", "not_done"]
        assert all(not found[name].possible and not found[name].readings for name in found)
        assert found["ph"].shown == "not known"

    def test_a_reading_outweighs_not_done(self, findings: Find) -> None:
        assert findings("ph not done by meter", "ph 8 by pad").found["ph"].status == "known"

    @pytest.mark.parametrize(
        ("written", "shown"),
        [
            ("ph 9..11 by pad", "between 9 and 11, colour pad"),
            ("mixture 44 %", "44 %, refractometer"),
            ("mixture 44", "44 %, refractometer"),
            ("fill -29 degC", "-29 degC protection = 44 %, refractometer"),
            ("drop 300 mV", "300 mV = 0.3 V, voltmeter"),
            ("drop < 0.1 V", "below 0.1 V, voltmeter"),
            ("water_hardness 12 gpg by strip", "12 gpg = 205 mg/L, hardness strip"),
            ("level full", "at mark"),
            ("oil milky or glycol", "glycol found or milky, eye"),
            ("fill -60 degC", "-60 degC protection = above 60 %, refractometer"),
            ("fill -60..-52 degC", "between -60 and -52 degC protection = above 60 %, refractometer"),
            ("fill < -27.5 degC", "below -27.5 degC protection = above 42 %, refractometer"),
        ],
    )
    def test_shown(self, findings: Find, written: str, shown: str) -> None:
        assert findings(written).found[written.split()[0]].shown == shown

    def test_long_numbers_are_shown_in_digits(self, findings: Find) -> None:
        givens = findings(more="history: {fill_distance: 60000 mi}\n").givens
        assert givens["fill_distance"].shown == "60000 mi = 96561 km"

    @pytest.mark.parametrize(
        ("reading", "family", "shown"),
        [
            ("ph 8", "organic_acid", "7 to 9"),
            ("ph 8", "unknown", "8.5 to 11 or 7 to 9, by family"),
            ("mixture 50", "unknown", "40 to 60 %"),
            ("drop 1 V", "unknown", "up to 0.1 V"),
            ("level low", "unknown", "at mark"),
            ("volts_off 0", "unknown", ""),
        ],
    )
    def test_limits_shown(self, findings: Find, reading: str, family: str, shown: str) -> None:
        assert findings(reading, family=family).found[reading.split()[0]].limits_shown == shown


def test_only_readings_can_be_unused(findings: Find) -> None:
    """The test book has no rule on chloride."""
    assert findings("chloride 50", "ph 8").unused == ("chloride",)
    assert findings("chloride unknown", "ph 8").unused == ()
    assert findings("chloride not done", "ph 8").unused == ()
