"""What holds for any reading, whatever was written."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.case.from_yaml import case_from_text
from diagnose.case.model import Case, Entry
from diagnose.findings.bands import band_shares
from diagnose.findings.derive import Extent, Terms, derive
from diagnose.findings.from_case import find
from diagnose.findings.model import Finding, Interval
from diagnose.findings.reading import NotUsable, read_number
from diagnose.findings.taken import take
from diagnose.fluid.freezing import GLYCOLS
from diagnose.rulebook.model import Book, Quantity
from diagnose.yamlfile import InputError, Place

AT = Place("case.yaml")
CASE = case_from_text("id: c\ndate: 2026-03-12\ntitle: t\nfamily: unknown\n", "case.yaml")


def numbers(book: Book) -> list[tuple[Quantity, str]]:
    return [(q, family) for q in book.quantities.values() if not q.in_words for family in book.families]


def entry(name: str, text: str, method: str = "") -> Entry:
    return Entry(name, text, method, "", "readings", AT, AT, AT)


PICK = st.integers(0, 9999)
INSIDE = st.floats(0, 1)


def at(share: float, low: float, high: float) -> float:
    """The value that lies `share` of the way from `low` to `high`."""
    return min(max(low + share * (high - low), low), high)


def between(one: float, other: float, quantity: Quantity) -> Interval:
    low, high = sorted((at(one, *quantity.possible), at(other, *quantity.possible)))
    return Interval(low, high)


@settings(max_examples=300)
@given(pick=PICK, share=INSIDE, edge=PICK, on_edge=st.booleans())
def test_any_number_falls_into_exactly_one_band(book: Book, pick: int, share: float, edge: int, on_edge: bool) -> None:
    every = numbers(book)
    quantity, family = every[pick % len(every)]
    ends = sorted({end for band in quantity.bands for e in band.edges.values() for end in (e.low, e.high)})
    ends = [end for end in ends if quantity.possible[0] <= end <= quantity.possible[1]]
    value = ends[edge % len(ends)] if on_edge and ends else at(share, *quantity.possible)
    shares = band_shares(Interval(value, value), quantity, family)
    assert sorted(shares) == [0.0] * (len(shares) - 1) + [1.0]


@settings(max_examples=300)
@given(pick=PICK, one=INSIDE, other=INSIDE, one_sided=st.booleans())
def test_shares_of_an_interval_sum_to_one(book: Book, pick: int, one: float, other: float, one_sided: bool) -> None:
    every = numbers(book)
    quantity, family = every[pick % len(every)]
    shares = band_shares(between(one, other, quantity), quantity, family, one_sided)
    assert sum(shares) == pytest.approx(1)
    assert all(0 <= share <= 1 for share in shares)


@settings(max_examples=300)
@given(pick=PICK, share=INSIDE, more=st.floats(0.01, 5))
def test_a_wider_interval_takes_no_band_away(book: Book, pick: int, share: float, more: float) -> None:
    every = numbers(book)
    quantity, family = every[pick % len(every)]
    value = at(share, *quantity.possible)
    narrow = band_shares(Interval(value, value), quantity, family)
    low, high = max(value - more, quantity.possible[0]), min(value + more, quantity.possible[1])
    wide = band_shares(Interval(low, high), quantity, family)
    touching = all(share == 0 for share, one in zip(wide, narrow, strict=True) if one)
    # an interval that ends on an edge shares only that point with the band: no share of it lies there
    assert not touching or value in (low, high)


READINGS = [
    entry("ph", "9..11", "pad"),
    entry("ph", "8", "pad"),
    entry("ph", "8.4", "meter"),
    entry("mixture", "-29 degC"),
    entry("mixture", "44 %"),
    entry("reserve_alkalinity", "1.6"),
    entry("level", "low"),
    entry("level", "ok"),
    entry("oil", "clean", "eye"),
    entry("oil", "milky", "oil_test"),
    entry("drop", "not done"),
    entry("drop", "unknown"),
    entry("volts_off", "300 mV"),
    entry("volts_running", "< 0.1 V"),
    entry("water_hardness", "> 25 gpg", "strip"),
]


def without_case(case: Case, book: Book) -> tuple[dict[str, Finding], dict[str, float], tuple[str, ...]]:
    found = find(case, book)
    return dict(found.found), dict(found.families), found.unused


@settings(max_examples=60)
@given(shuffled=st.permutations(READINGS), kept=st.integers(0, len(READINGS)))
def test_order_of_readings_changes_nothing(book: Book, shuffled: list[Entry], kept: int) -> None:
    taken = shuffled[:kept]
    one = without_case(replace(CASE, readings=tuple(taken)), book)
    other = without_case(replace(CASE, readings=tuple(reading for reading in READINGS if reading in taken)), book)
    assert one == other
    assert list(one[0]) == list(other[0])


@settings(max_examples=60)
@given(readings=st.lists(st.sampled_from(READINGS), unique=True), value=st.integers(0, 20000))
def test_a_reading_no_rule_asks_for_changes_only_the_list(book: Book, readings: list[Entry], value: int) -> None:
    before = without_case(replace(CASE, readings=tuple(readings)), book)
    after = without_case(replace(CASE, readings=(*readings, entry("chloride", str(value)))), book)
    assert "chloride" in after[2]
    assert {name: f for name, f in after[0].items() if name != "chloride"} == before[0]
    assert after[1] == before[1]
    assert tuple(name for name in after[2] if name != "chloride") == before[2]


PIECES = st.sampled_from(
    [
        *[
            "9",
            "-29",
            ".5",
            "1e5",
            "..",
            "-",
            "to",
            "between",
            "and",
            "<",
            ">=",
            "degC",
            "%",
            "V",
            "gpg",
            "Brix",
            "nD",
            "good",
            "or",
            "low",
            "unknown",
            "nan",
            "inf",
            "+/-",
            "~",
            ",",
            "°F",
        ],
        *(" ", " ", "not done", "1" * 60, "\u2212", "\u0660"),
    ]
)


@settings(max_examples=500)
@given(text=st.lists(PIECES, min_size=1, max_size=6).map("".join) | st.text(min_size=1), pick=PICK)
def test_any_text_is_read_or_refused_in_a_sentence(book: Book, text: str, pick: int) -> None:
    readings = [q for q in book.quantities.values() if q.role == "reading"]
    quantity = readings[pick % len(readings)]
    method = quantity.methods[0] if quantity.methods else None
    refused = None
    try:
        taken = take(entry(quantity.id, text), quantity, method, {"conventional": 1.0}, GLYCOLS)
    except NotUsable as error:
        refused = error
    if refused is not None:
        assert refused.says
        assert refused.hint
        assert "\n" not in refused.says + refused.hint
        assert len(refused.says) < 250
        return
    assert sum(taken.shares["conventional"]) == pytest.approx(1)
    if taken.interval is not None:
        assert quantity.possible[0] <= taken.interval.low <= taken.interval.high <= quantity.possible[1]


@settings(max_examples=300)
@given(number=st.floats(-1000, 1000).map(lambda x: round(x, 3)), unit=st.sampled_from(["", " V", " degC", "%"]))
def test_a_number_is_read_as_it_was_written(number: float, unit: str) -> None:
    read = read_number(f"{number:.3f}{unit}")
    assert read is not None
    assert read.interval == Interval(number, number)
    assert read.unit == unit.strip()


TERMS = ("reserve_alkalinity", "mixture", "volts_off", "volts_running", "litres", "capacity")
COMPUTED = ("reserve_share", "swing", "change", "highest", "lowest", "filled_share")


@settings(max_examples=300)
@given(name=st.sampled_from(COMPUTED), drawn=st.tuples(*[st.tuples(INSIDE, INSIDE, INSIDE)] * len(TERMS)))
def test_a_computed_interval_holds_every_value_that_its_terms_allow(
    book: Book, name: str, drawn: tuple[tuple[float, float, float], ...]
) -> None:
    """Any true values inside the terms' intervals give a result inside the computed interval."""
    quantity = book.quantities[name]
    values = book.families["conventional"].values
    wide: dict[str, Extent] = {}
    exact: dict[str, Extent] = {}
    for term, (one, other, inside) in zip(TERMS, drawn, strict=True):
        of = book.quantities[term]
        interval = between(one, other, of)
        truth = at(inside, interval.low, interval.high)
        wide[term] = Extent(interval, of.unit)
        exact[term] = Extent(Interval(truth, truth), of.unit)
    true = derive(quantity, Terms(exact, values, GLYCOLS))
    held = derive(quantity, Terms(wide, values, GLYCOLS))
    if true is not None:
        assert held is not None
        slack = 1e-6 * max(1.0, abs(true.interval.low))
        assert held.interval.low - slack <= true.interval.low <= held.interval.high + slack


def test_rubbish_after_rubbish_stops(book: Book) -> None:
    """A hundred mistakes are enough for anyone; the rest is not read."""
    with pytest.raises(InputError) as refused:
        find(replace(CASE, readings=tuple(entry(f"q{n}", "1") for n in range(5000))), book)
    assert 1 <= len(refused.value.problems) <= 100
