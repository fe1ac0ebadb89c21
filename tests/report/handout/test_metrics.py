"""The width of a text, against fontTools' reading of the same file."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.report.handout import metrics
from diagnose.report.paper.press import FONTS

PRINTED = "►□●→▼≤≥±°µ½²₂–·“”"


@pytest.mark.parametrize("bold", [False, True])
def test_every_width_is_the_font_files_own(bold: bool) -> None:
    ttlib = pytest.importorskip("fontTools.ttLib")
    font = ttlib.TTFont(str(FONTS / metrics.FILES[bold]))
    per_em = font["head"].unitsPerEm
    for code, glyph in font.getBestCmap().items():
        assert metrics.width(chr(code), per_em, bold) == pytest.approx(font["hmtx"][glyph][0]), chr(code)


def test_the_signs_that_handouts_use_are_in_the_typeface() -> None:
    assert metrics.lacks(PRINTED) == ""
    assert metrics.lacks("a✓b漢") == "✓漢"


@given(st.text(st.characters(codec="ascii", categories=["L", "N", "P", "Zs"]), max_size=200))
def test_folded_lines_fit_and_lose_nothing(text: str) -> None:
    lines = metrics.fold(text, 90, 10)
    assert all(metrics.width(line, 10) <= 90 for line in lines)
    assert "".join("".join(lines).split()).replace("\u00a0", "") == "".join(text.split())


def test_a_number_stays_with_its_unit() -> None:
    assert (
        metrics.glue("At 12 min and 40 to 60 % below 50 degC") == "At 12\u00a0min and 40 to 60\u00a0% below 50\u00a0°C"
    )
    assert metrics.glue("200 mg/L, (170 mg/L), 50 vol % or 30 000 miles in 2003 and 124 cars") == (
        "200\u00a0mg/L, (170\u00a0mg/L), 50\u00a0vol\u00a0% or 30\u00a0000 miles in 2003 and 124\u00a0cars"
    )


def test_units_are_printed_with_their_signs() -> None:
    assert metrics.glue("-37 degC, 265 degF, 3 to 100 uS/cm, 17 degdH") == (
        "-37\u00a0°C, 265\u00a0°F, 3 to 100\u00a0µS/cm, 17 degdH"
    )
