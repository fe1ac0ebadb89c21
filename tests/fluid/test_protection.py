"""Protection and its margin; the doubt of a reading."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.fluid.composition import mass_percent
from diagnose.fluid.freezing import BeyondScale, freezing_point, volume_percent
from diagnose.fluid.measure import exactly
from diagnose.fluid.protection import doubt, protect

GLYCOLS = st.sampled_from(("ethylene", "propylene"))


def test_inside_the_range_and_still_not_acceptable() -> None:
    """The trade's position: 44 % protects to about -29.5 degC and fails a margin of 5 K where -28 is expected."""
    result = protect(doubt(44, "ethylene", 1.0), "ethylene", -28, 5, (40, 60))
    assert result.freezing.value == pytest.approx(-29.5, abs=0.3)
    assert result.in_range == "inside"
    assert result.verdict == "not enough"
    assert not result.acceptable
    assert result.needed == pytest.approx(47.0, abs=0.2)


def test_acceptable() -> None:
    """Common practice: within 40 to 60 but not 50 is acceptable."""
    assert protect(doubt(44, "ethylene", 1.0), "ethylene", -20, 5, (40, 60)).acceptable
    assert protect(doubt(44, "ethylene", 1.0), "ethylene", good=(40, 60)).acceptable


def test_a_reading_on_the_edge_cannot_tell() -> None:
    result = protect(doubt(40, "ethylene", 1.0), "ethylene", -20, 5, (40, 60))
    assert result.in_range == "can't tell"
    assert result.verdict == "can't tell"
    assert not result.acceptable


def test_colder_than_any_mixture() -> None:
    assert protect(exactly(50, "vol %"), "ethylene", -60, 5).needed is None


def test_beyond_the_scale_there_is_no_number() -> None:
    with pytest.raises(BeyondScale, match="no useful gain, poorer cooling"):
        protect(exactly(66, "vol %"), "ethylene")


@pytest.mark.parametrize(("mass", "volume", "expected"), [(30, 27.7, 1.4), (40, 37.5, 1.0), (50, 47.6, 0.74)])
def test_doubt_of_a_refractometer(mass: float, volume: float, expected: float) -> None:
    """1 degC (ASTM D3321) is 1.4 / 1.0 / 0.74 mass % at 30 / 40 / 50 mass %, by CRC and ASHRAE slopes."""
    span = doubt(volume, "ethylene", 1.0)
    low, high = mass_percent(span.low, "ethylene"), mass_percent(span.high, "ethylene")
    assert (high - low) / 2 == pytest.approx(expected, abs=0.15)


@given(st.floats(0.5, 59.4), st.floats(0.01, 5), st.floats(-1, 1), GLYCOLS)
def test_truth_lies_inside_the_doubt(volume: float, give: float, share: float, glycol: str) -> None:
    """Whatever the instrument's error within its figure, the interval around what it shows holds the truth."""
    truth = freezing_point(volume, glycol)
    shown = min(0.0, truth + share * give)
    try:
        read = volume_percent(shown, glycol)
    except BeyondScale:
        return
    span = doubt(read, glycol, give)
    assert span.low - 1e-6 <= volume <= span.high + 1e-6


@given(st.floats(60.1, 100), st.floats(0.1, 5), GLYCOLS)
def test_doubt_beyond_the_scale_keeps_its_width(volume: float, give: float, glycol: str) -> None:
    span = doubt(volume, glycol, give)
    assert 0 <= span.low <= volume <= span.high <= 100


@given(st.floats(1, 58), st.floats(-50, 0), st.floats(0, 10), GLYCOLS)
def test_the_needed_mixture_keeps_the_margin(volume: float, coldest: float, margin: float, glycol: str) -> None:
    result = protect(exactly(volume, "vol %"), glycol, coldest, margin)
    if result.needed is not None:
        assert coldest - freezing_point(result.needed, glycol) == pytest.approx(margin, abs=1e-6)
        assert (result.verdict == "enough") == (volume >= result.needed - 1e-9) or volume == pytest.approx(
            result.needed
        )
