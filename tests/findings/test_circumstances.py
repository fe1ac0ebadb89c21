"""Mixtures corrected for how they were read: trade values, and the truth inside every interval."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.case.from_yaml import case_from_text
from diagnose.findings.from_case import find
from diagnose.findings.model import Finding, Interval
from diagnose.fluid.composition import mass_percent, volume_percent
from diagnose.fluid.refraction import SLOPE_DOUBT, refractive_index
from diagnose.fluid.refractometer import OnScale, index_on_scale
from diagnose.rulebook.find import shipped_folder
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Book
from diagnose.yamlfile import InputError

Mixture = Callable[..., Finding]


@pytest.fixture(scope="module")
def shipped() -> Book:
    return read_book(shipped_folder() / "passenger-car")


@pytest.fixture(scope="module")
def mixture(shipped: Book) -> Mixture:
    """mixture('44 %, sample: 35 degC', glycol='propylene') is what is found of such a reading."""

    def make(*readings: str, glycol: str = "") -> Finding:
        lines = "".join(f"  - {{quantity: mixture, value: {reading}}}\n" for reading in readings)
        system = f"system: {{base_glycol: {glycol}}}\n" if glycol else ""
        text = f"id: c\ndate: 2026-03-12\ntitle: t\nfamily: organic_acid\n{system}readings:\n{lines}"
        return find(case_from_text(text, "case.yaml"), shipped).found["mixture"]

    return make


def ends(finding: Finding) -> tuple[float, float]:
    assert finding.interval is not None
    return finding.interval.low, finding.interval.high


def middle(finding: Finding) -> float:
    return sum(ends(finding)) / 2


class TestWrongScale:
    """Propylene on the ethylene scale and the reverse; true pairs by ASHRAE, what the scale shows reckoned from the
    refractive indices of CRC (ethylene) and MacBeth 1951 (propylene)."""

    @pytest.mark.parametrize(
        ("shows", "glycol", "scale", "percent"),
        [
            ("-42.7 degC", "propylene", "ethylene", 49.9),  # true -33.5 degC, 9 K worse than it looks
            ("-27.6 degC", "propylene", "ethylene", 39.6),  # true -21.1 degC
            ("-26 degC", "ethylene", "propylene", 47.6),  # true -33.8 degC, 8 K better than it looks
        ],
    )
    def test_the_glycol_in_the_car_counts(
        self, mixture: Mixture, shows: str, glycol: str, scale: str, percent: float
    ) -> None:
        found = mixture(f"{shows}, scale: {scale}", glycol=glycol)
        assert middle(found) == pytest.approx(percent, abs=0.7)
        assert f"read {shows} on the {scale} scale" in found.shown

    def test_a_scale_that_fits_changes_nothing(self, mixture: Mixture) -> None:
        plain, told = mixture("-29 degC"), mixture("-29 degC, scale: ethylene", glycol="ethylene")
        assert told.interval == plain.interval
        assert told.shown == plain.shown

    def test_where_nobody_knows_the_glycol_both_are_shown_and_held(self, mixture: Mixture) -> None:
        found = mixture("-29 degC, scale: ethylene", glycol="unknown")
        assert "if ethylene glycol" in found.shown
        assert "if propylene glycol" in found.shown
        low, high = ends(found)
        for glycol in ("ethylene", "propylene"):
            one_low, one_high = ends(mixture("-29 degC, scale: ethylene", glycol=glycol))
            assert low <= one_low < one_high <= high

    def test_a_propylene_scale_puts_the_assumed_glycol_in_doubt(self, mixture: Mixture) -> None:
        assert "if propylene glycol" in mixture("-29 degC, scale: propylene").shown
        assert "if" not in mixture("-29 degC, scale: ethylene").shown


class TestTemperature:
    @pytest.mark.parametrize(("mass", "percent", "fall"), [(30, 27.7, 1.7e-4), (40, 37.5, 2.0e-4), (50, 47.6, 2.2e-4)])
    def test_ten_degrees_hotter_reads_about_two_mass_percent_low(
        self, mixture: Mixture, mass: int, percent: float, fall: float
    ) -> None:
        """`fall` is dn/dT by Lorentz-Lorenz with Melinder's densities, a tenth too much where it can be tested; CRC has
        0.00101 for each mass %; ASHRAE's pairs of vol % and mass %."""
        seen = volume_percent(mass - 10 * 0.9 * fall / 0.00101, "ethylene")
        found = mixture(f"{seen:.2f} %, sample: 30 degC, compensated: no")
        assert middle(found) == pytest.approx(percent, abs=0.3)
        assert ends(found)[0] < percent < ends(found)[1]

    def test_shown_says_both(self, mixture: Mixture) -> None:
        found = mixture("44 %, sample: 35 degC, compensated: no")
        assert found.shown == "47 %, refractometer, read 44 % at 35 degC uncompensated"

    def test_a_compensated_one_needs_nothing_from_10_to_30_degrees(self, mixture: Mixture) -> None:
        plain = mixture("44 %")
        for sample in ("10 degC", "30 degC", "77 degF"):
            assert ends(mixture(f"44 %, sample: {sample}, compensated: yes")) == pytest.approx(ends(plain), abs=1e-6)

    def test_where_nobody_says_whether_it_compensates_both_are_held(self, mixture: Mixture) -> None:
        both = ends(mixture("44 %, sample: 35 degC"))
        one, other = (ends(mixture(f"44 %, sample: 35 degC, compensated: {says}")) for says in ("yes", "no"))
        assert both == pytest.approx((one[0], other[1]))

    def test_a_hydrometer_in_a_warm_sample_reads_weak(self, mixture: Mixture) -> None:
        """CoolProp 8.0.0, MEG[0.40] at 40 degC: 1.0414 g/mL, so the float shows 1.0433 (over water at 20 degC); by
        ASHRAE's pairs 40 mass % is 37.5 vol %."""
        low, high = ends(mixture("1.0433 SG, method: hydrometer, sample: 40 degC"))
        assert low < 37.5 < high
        cold = ends(mixture("1.0433 SG, method: hydrometer, sample: 20 degC"))
        assert cold[1] < high


class TestZero:
    def test_the_zero_comes_off(self, mixture: Mixture) -> None:
        """A prism on which distilled water reads 5 % too much reads everything about 5 % too much: by CRC and ASHRAE's
        pairs the index rises by 0.00107 for each vol % up to 9 and by 0.00100 from 37 to 48, so 5.3 % there."""
        assert middle(mixture("49.3 %, zero: 5 %")) == pytest.approx(44, abs=0.3)
        assert middle(mixture("38.7 %, zero: -5 %")) == pytest.approx(44, abs=0.3)

    def test_a_reading_within_the_resolution_of_water_is_water(self, mixture: Mixture) -> None:
        assert mixture("1 %, zero: 2 %").possible == ("water_alone",)

    def test_beyond_the_scale_and_back(self, mixture: Mixture) -> None:
        assert middle(mixture("61 %, zero: 3 %")) == pytest.approx(58, abs=0.6)
        assert mixture("65 %, sample: 35 degC, compensated: no").possible == ("strong",)


def test_the_acid_scale_is_read_by_its_index(mixture: Mixture) -> None:
    """CRC, sulfuric acid at 20 degC: 1.2353 g/mL has the index 1.3725; CRC, ethylene glycol: 1.3728 at 40 mass %, and
    0.00102 less for each mass % less, so 39.7 mass %, which is 37.2 vol % (ASHRAE)."""
    assert middle(mixture(f"{1.2353 / 0.99821:.4f} SG, scale: acid")) == pytest.approx(37.2, abs=0.3)


def test_a_hydrometer_on_propylene_is_refused(mixture: Mixture) -> None:
    with pytest.raises(InputError, match="a hydrometer cannot read propylene glycol"):
        mixture("40 %, method: hydrometer", glycol="propylene")
    assert "if ethylene glycol" in mixture("1.06 SG, method: hydrometer", glycol="unknown").shown


class TestSettled:
    """What a technician has seen to did not fool the instrument: the book says which circumstance settles what."""

    def settled(self, found: Finding) -> set[str]:
        return {cause for reading in found.readings for cause in reading.settled}

    def test_a_zero_that_was_told_settles_the_prism(self, mixture: Mixture) -> None:
        assert self.settled(mixture("44 %, zero: 0 %")) == {"prism_not_zeroed"}
        assert self.settled(mixture("44 %")) == set()

    def test_a_scale_settles_its_glycol_only_where_the_glycol_is_told(self, mixture: Mixture) -> None:
        assert self.settled(mixture("44 %, scale: ethylene", glycol="ethylene")) == {"wrong_glycol_scale"}
        assert self.settled(mixture("44 %, scale: ethylene")) == set()

    def test_one_unchecked_repeat_leaves_it_open(self, mixture: Mixture) -> None:
        assert self.settled(mixture("44 %, zero: 0 %", "45 %")) == set()


def test_repeats_tell_what_was_read_each_time(mixture: Mixture) -> None:
    found = mixture("44 %, sample: 35 degC, compensated: no", "47 %, sample: 20 degC, compensated: no")
    assert found.shown == (
        "47 %, refractometer, read 44 % at 35 degC uncompensated and read 47 % at 20 degC uncompensated"
    )
    assert len(found.readings) == 1


@settings(max_examples=400, deadline=None)
@given(
    true=st.floats(8, 55),
    glycol=st.sampled_from(("ethylene", "propylene")),
    scale=st.sampled_from(("ethylene", "propylene")),
    sample=st.floats(5, 45),
    compensated=st.booleans(),
    off=st.floats(-0.003, 0.003),
    reading=st.floats(-1.5, 1.5),
    slope=st.floats(-SLOPE_DOUBT, SLOPE_DOUBT),
)
def test_the_truth_lies_inside(
    mixture: Mixture, true: float, glycol: str, scale: str, sample: float, compensated: bool, off: float,
    reading: float, slope: float,
) -> None:  # fmt: skip
    """Whatever the prism's offset, the sample's temperature and the reader's eye: within what the book and the physics
    admit of each, the mixture lies in the interval (to 0.05 vol %: the two index tables part by 0.00003 at water)."""
    mass = mass_percent(true, glycol)
    at_20 = refractive_index(mass, glycol)
    warm = sample if not compensated else 20.0 + max(0.0, sample - 30.0) + min(0.0, sample - 10.0)
    fallen = (at_20 - refractive_index(mass, glycol, warm)) * (1 + slope)
    water = refractive_index(0.0, scale, warm)
    shows = percent_on(at_20 - fallen + off, scale) + reading
    zero = percent_on(water + off, scale)
    if not 0 <= shows <= 100:
        return
    found = mixture(
        f"{shows:.6f} %, scale: {scale}, sample: {sample:.6f} degC, compensated: {'yes' if compensated else 'no'},"
        f" zero: {zero:.6f} %",
        glycol=glycol,
    )
    low, high = ends(found)
    assert low - 0.05 <= true <= high + 0.05


def percent_on(index: float, scale: str) -> float:
    """What a percent scale shows for an index, found by halving; beyond its ends it goes on as steeply as there."""
    low, high = 0.0, 60.0
    ends = [index_on_scale(OnScale(end, "vol %", scale)) for end in (0.0, 1.0, 59.0, 60.0)]
    if index < ends[0]:
        return (index - ends[0]) / (ends[1] - ends[0])
    if index > ends[3]:
        return 60 + (index - ends[3]) / (ends[3] - ends[2])
    for _ in range(60):
        middle = (low + high) / 2
        if index_on_scale(OnScale(middle, "vol %", scale)) < index:
            low = middle
        else:
            high = middle
    return low


def test_an_interval_between_two_lines_is_not_widened(mixture: Mixture) -> None:
    found = mixture("33..37 %, zero: 0 %")
    assert found.interval == Interval(pytest.approx(33, abs=0.01), pytest.approx(37, abs=0.01), False, False)
