"""Lines of plain text."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.report.layout import NARROW, columns, fold, wrap
from diagnose.report.words import chance, odds, percent

WORDS = st.lists(st.text("abcdefgh", min_size=1, max_size=12), min_size=1, max_size=40).map(" ".join)


def test_a_number_stays_with_its_unit() -> None:
    assert all("50" not in line or "50 degC" in line for line in fold("aaaa bbbb cccc 50 degC dddd", 17))


@given(WORDS, st.integers(44, 120))
def test_no_line_is_wider_than_the_screen_and_no_word_is_lost(text: str, width: int) -> None:
    lines = wrap(text, width, "  - ")
    assert all(len(line) <= width for line in lines)
    assert " ".join(lines).replace("-", " ").split() == text.split()


@given(st.lists(st.tuples(WORDS, WORDS, WORDS, WORDS), min_size=1, max_size=5), st.sampled_from([44, 60, 92, 120]))
def test_columns_keep_every_word_and_the_width(rows: list[tuple[str, str, str, str]], width: int) -> None:
    lines = columns(rows, width)
    assert all(len(line) <= width for line in lines)
    found = " ".join(lines).split()
    if width >= NARROW:
        assert sorted(found) == sorted(word for row in rows for cell in row for word in cell.split())
        return
    assert Counter(word for row in rows[1:] for cell in row for word in cell.split()) <= Counter(found)


def test_a_narrow_table_names_each_value() -> None:
    rows = [("", "read", "right", "means"), ("film", "none", "none", "no film"), ("pH", "8", "", "right")]
    assert columns(rows, 44) == [
        "  film", "    read: none", "    right: none", "    means: no film", "  pH", "    read: 8", "    means: right",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (0.999, "more than 99 in 100"),
        (0.97, "about 97 in 100"),
        (0.61, "about 6 in 10"),
        (0.15, "about 2 in 10"),
        (0.034, "about 1 in 29"),
        (0.0002, "less than 1 in 1000"),
    ],
)
def test_chances_in_words(probability: float, words: str) -> None:
    assert chance(probability) == words


def test_percent_never_says_none_or_all_of_what_is_not() -> None:
    assert [percent(p) for p in (0.004, 0.5, 0.996, 0.0, 1.0)] == ["under 1 %", "50 %", "over 99 %", "0 %", "100 %"]


def test_odds_for_and_against() -> None:
    assert [odds(f) for f in (9.0, 0.5, 1.26, 40.0, 5000.0, 1e-6)] == [
        "9:1",
        "1:2",
        "1.3:1",
        "40:1",
        "over 999:1",
        "under 1:999",
    ]
