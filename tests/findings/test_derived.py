"""Quantities computed from others."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.findings.model import Findings, Interval
from diagnose.yamlfile import InputError

Find = Callable[..., Findings]


def interval(findings: Findings, name: str) -> tuple[float, float]:
    finding = findings.found[name]
    assert finding.derived
    assert [reading.method for reading in finding.readings] == [""]
    assert finding.interval is not None
    return finding.interval.low, finding.interval.high


class TestReserveShare:
    """New 2.5 mL at 50 %, so 1.65 at 33 %: 1.6 is only diluted, 0.8 is worn (from the definition of the share)."""

    def test_diluted_is_not_worn(self, findings: Find) -> None:
        found = findings("reserve_alkalinity 1.6", "mixture 33 %")
        low, high = interval(found, "reserve_share")
        assert low < 1.6 / 1.65 < high
        assert found.sure("reserve_share") == "good"

    def test_half_of_it_is_worn(self, findings: Find) -> None:
        found = findings("reserve_alkalinity 0.8", "mixture 33 %")
        low, high = interval(found, "reserve_share")
        assert low < 0.8 / 1.65 < high
        assert found.sure("reserve_share") == "worn"

    def test_bounds_are_those_of_the_instruments(self, findings: Find) -> None:
        """(1.6 +/- 0.1) / (2.5 x (33 +/- 1.5) / 50), worst against worst."""
        low, high = interval(findings("reserve_alkalinity 1.6", "mixture 33 %"), "reserve_share")
        assert low == pytest.approx(1.5 / (2.5 * 34.5 / 50))
        assert high == pytest.approx(1.7 / (2.5 * 31.5 / 50))

    def test_unknown_family_mixes_what_each_would_give(self, findings: Find) -> None:
        """5 mL new for 30 % of the cars: 1.6 mL at 33 % is then 0.48 and worn, for the other 70 % it is good."""
        found = findings("reserve_alkalinity 1.6", "mixture 33 %", family="unknown").found["reserve_share"]
        shares = dict(zip((band.id for band in found.quantity.bands), found.readings[0].shares, strict=True))
        assert shares == {"spent": 0, "worn": pytest.approx(0.3), "good": pytest.approx(0.7)}
        assert found.possible == ("worn", "good")

    def test_missing_term(self, findings: Find) -> None:
        for readings in (["mixture 33 %"], ["reserve_alkalinity 1.6"], ["reserve_alkalinity 1.6", "mixture unknown"]):
            assert "reserve_share" not in findings(*readings).found

    def test_a_word_with_two_edges_counts_as_its_range(self, findings: Find) -> None:
        low, high = interval(findings("reserve_alkalinity 2.5", "mixture good"), "reserve_share")
        assert (low, high) == pytest.approx((2.4 / 3, 2.6 / 2))

    def test_a_word_without_an_end_gives_no_value(self, findings: Find) -> None:
        assert "reserve_share" not in findings("reserve_alkalinity 2.5", "mixture thin").found

    def test_hardly_any_coolant_leaves_the_upper_end_open(self, findings: Find) -> None:
        low, high = interval(findings("reserve_alkalinity 0.5", "mixture 1 %"), "reserve_share")
        assert low == pytest.approx(0.4 / (2.5 * 2.5 / 50))
        assert high == 20

    @pytest.mark.parametrize(
        ("reserve", "mixture", "bands"),
        [
            ("> 1.25", "50 %", ["worn", "good"]),  # 1.25 / 2.5 is half, and up from there
            ("2.5", "> 50 %", ["worn", "good"]),  # 1 at 50 %, half of it at 100 %
            ("0.1", "1 %", ["spent", "worn", "good"]),  # nothing or much of nothing
        ],
    )
    def test_open_ends_stay_open(self, findings: Find, reserve: str, mixture: str, bands: list[str]) -> None:
        found = findings(f"reserve_alkalinity {reserve}", f"mixture {mixture}").found["reserve_share"]
        (reading,) = found.readings
        assert list(found.possible) == bands
        assert [share for share in reading.shares if share] == pytest.approx([1 / len(bands)] * len(bands))


class TestVolts:
    def test_difference_and_spread(self, findings: Find) -> None:
        found = findings("volts_off 0.3 V", "volts_running 100 mV")
        assert interval(found, "change") == pytest.approx((-0.21, -0.19))
        assert interval(found, "swing") == pytest.approx((0.19, 0.21))
        assert found.sure("swing") == "swings"

    def test_equal_readings_do_not_swing(self, findings: Find) -> None:
        found = findings("volts_off 0.3 V", "volts_running 0.3 V")
        assert interval(found, "swing") == pytest.approx((0, 0.01))
        assert found.sure("swing") == "steady"

    def test_maximum_and_minimum_go_by_what_is_known(self, findings: Find) -> None:
        found = findings("volts_off 0.3 V", "volts_running 0.05 V")
        assert interval(found, "highest") == pytest.approx((0.295, 0.305))
        assert interval(found, "lowest") == pytest.approx((45, 55))  # told in mV
        alone = findings("volts_off 0.3 V")
        assert interval(alone, "highest") == pytest.approx((0.295, 0.305))
        assert "swing" not in alone.found
        assert "change" not in alone.found


class TestFrost:
    def test_freezing_point_of_a_fill(self, findings: Find) -> None:
        """ASHRAE: 42.5 vol % ethylene glycol freezes at -27.5 degC, 44.7 vol % propylene at -26.7."""
        assert interval(findings("fill 42.5 by exact"), "fill_freezing") == pytest.approx((-27.5, -27.5), abs=0.05)
        propylene = findings("fill 44.7 by exact", more="system: {base_glycol: propylene}\n")
        assert interval(propylene, "fill_freezing") == pytest.approx((-26.7, -26.7), abs=0.05)

    def test_44_percent_fails_a_margin_of_5_at_28_degrees(self, findings: Find) -> None:
        """44 % protects to about -29.5 degC (ASHRAE, between its points), which is 1.5 K under -28."""
        found = findings("fill 44 % by exact", more="system: {coldest_expected: -28 degC}\n")
        low, high = interval(found, "fill_margin")
        assert low == high == pytest.approx(1.5, abs=0.3)
        assert found.sure("fill_margin") == "short"

    def test_fahrenheit_is_a_point_on_the_scale_not_a_difference(self, findings: Find) -> None:
        celsius = findings("fill 44 %", more="system: {coldest_expected: -25 degC}\n")
        fahrenheit = findings("fill 44 %", more="system: {coldest_expected: -13 degF}\n")
        assert interval(celsius, "fill_margin") == pytest.approx(interval(fahrenheit, "fill_margin"))

    def test_a_plain_number_among_temperatures_is_celsius(self, findings: Find) -> None:
        assert interval(findings("fill_freezing -20 degC"), "under_twenty") == (-0.5, 0.5)

    def test_the_scale_is_cut_at_60(self, findings: Find) -> None:
        low, high = interval(findings("fill 60 %"), "fill_freezing")
        assert low == pytest.approx(-52)
        assert high > -52

    def test_measured_outweighs_computed(self, findings: Find) -> None:
        found = findings("fill 44 %", "fill_freezing -20 degC", more="system: {coldest_expected: -28 degC}\n")
        assert not found.found["fill_freezing"].derived
        assert found.found["fill_freezing"].interval == Interval(-20.5, -19.5)
        assert interval(found, "fill_margin") == (-8.5, -7.5)

    def test_not_done_does_not_keep_it_from_being_computed(self, findings: Find) -> None:
        assert findings("fill 44 %", "fill_freezing not done").found["fill_freezing"].derived


class TestGivens:
    def test_interval_by_age_and_distance(self, findings: Find) -> None:
        """2 years or 60000 km for conventional coolant in the test book; the larger share counts."""
        for history, share, band in (
            ("fill_age: 12 months, fill_distance: 70000 km", 70 / 60, "exceeded"),
            ("fill_age: 12 months, fill_distance: 30000 km", 0.5, "within"),
            ("fill_age: 3 years", 1.5, "exceeded"),
            ("fill_age: 2 years", 1.0, "within"),
        ):
            found = findings(family="conventional", more=f"history: {{{history}}}\n")
            assert interval(found, "interval_share") == pytest.approx((share, share)), history
            assert found.sure("interval_share") == band

    def test_a_share_of_two_litres(self, findings: Find) -> None:
        found = findings("litres 8 qt", more="system: {capacity: 8 L}\n")
        assert interval(found, "filled_share") == pytest.approx((0.946352946, 0.946352946))
        assert found.sure("filled_share") == "full"

    def test_assumed(self, findings: Find) -> None:
        given = findings().givens["base_glycol"]
        assert given.status == "known"
        assert given.possible == ("ethylene",)
        assert given.readings[0].recorded == "assumed"
        assert given.shown == "ethylene (assumed)"
        assert "fuel" not in findings().givens

    def test_said_to_be_unknown_is_not_assumed(self, findings: Find) -> None:
        assert findings(more="system: {base_glycol: unknown}\n").givens["base_glycol"].status == "unknown"

    def test_complaint_in_one_word(self, findings: Find) -> None:
        assert findings(more="complaint: overheats\n").sure("complaint") == "overheats"
        assert findings(more="complaint: {complaint: overheats}\n").sure("complaint") == "overheats"

    def test_state(self, findings: Find) -> None:
        assert findings().state == {"engine": "cold", "cap": "closed"}
        assert findings(more="state: {engine: cold overnight}\n").state == {"engine": "cold_overnight", "cap": "closed"}


class TestRefused:
    def test_a_derived_quantity_names_its_terms(self, findings: Find) -> None:
        with pytest.raises(InputError, match="hint: record reserve_alkalinity and mixture instead"):
            findings("reserve_share 0.5")

    def test_a_pattern_names_what_it_is_concluded_from(self, findings: Find) -> None:
        with pytest.raises(InputError, match="hint: record level and mixture instead"):
            findings("loss thin_and_low")
