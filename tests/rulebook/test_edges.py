"""Bands of numbers: every possible value falls into exactly one, for every family."""

from __future__ import annotations

from math import inf, nextafter
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.rulebook.bands import WrittenBand
from diagnose.rulebook.edges import find_edges
from diagnose.rulebook.find import list_books
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Edges, Family, Limits, Quantity, Word
from diagnose.yamlfile import Place, Problems

HERE = Place("here")
SMALL = Path(__file__).parent.parent / "books" / "small"


def band(
    name: str,
    low: float | None = None,
    high: float | None = None,
    closed: tuple[float, float] | None = None,
    family: str = "",
) -> WrittenBand:
    return WrittenBand(name, "", "", low, high, closed, family, (), (), HERE)


def family(name: str, low: float, high: float) -> Family:
    return Family(name, "", Word("", 1.0, HERE), {"ph": Limits(low, high, (), HERE)}, {}, (), "", HERE)


def holds(edges: Edges, value: float) -> bool:
    above = value > edges.low or (edges.low_in and value == edges.low)
    return above and (value < edges.high or (edges.high_in and value == edges.high))


def band_of(quantity: Quantity, value: float, family: str = "") -> list[str]:
    found = [(band.id, band.edges.get(family) or band.edges.get("")) for band in quantity.bands]
    return [name for name, edges in found if edges is not None and holds(edges, value)]


@pytest.mark.parametrize(
    ("value", "family", "expected"),
    [
        # The edges as the README of the rulebooks states them: closed limits, the neighbours take the rest.
        (6.99, "conventional", "acid"),
        (7.0, "conventional", "low"),
        (8.49, "conventional", "low"),
        (8.5, "conventional", "good"),
        (11.0, "conventional", "good"),
        (11.01, "conventional", "high"),
        (6.99, "organic_acid", "acid"),
        (7.0, "organic_acid", "good"),
        (9.0, "organic_acid", "good"),
        (9.01, "organic_acid", "high"),
    ],
)
def test_ph_in_the_small_book(value: float, family: str, expected: str) -> None:
    assert band_of(read_book(SMALL).quantities["ph"], value, family) == [expected]


def test_from_includes_and_below_excludes() -> None:
    share = read_book(SMALL).quantities["reserve_share"]
    assert [band_of(share, value) for value in (0.29, 0.3, 0.69, 0.7)] == [["spent"], ["worn"], ["worn"], ["good"]]


def test_a_family_whose_interval_crosses_a_fixed_edge_keeps_what_is_its_own() -> None:
    bands = (band("acid", high=7.0), band("low"), band("good", family="ph"), band("high"))
    problems = Problems()
    found = find_edges("ph", bands, (0, 14), {"a": family("a", 6.5, 9), "b": family("b", 8, 9)}, problems)
    assert not problems
    assert found[0] == {"a": Edges(-inf, 6.5, False, False), "b": Edges(-inf, 7.0, False, False)}
    assert found[1] == {"b": Edges(7.0, 8, True, False)}
    assert found[2]["a"] == Edges(6.5, 9, True, True)


@st.composite
def written(draw: st.DrawFn) -> tuple[tuple[WrittenBand, ...], dict[str, Family]]:
    """Bands with rising fixed edges, each written at one neighbour or at both; one band may be closed by families."""
    count = draw(st.integers(2, 7))
    closed = draw(st.one_of(st.none(), st.integers(1, count - 2))) if count > 2 else None
    edges = sorted(draw(st.sets(st.integers(1, 99), min_size=count - 1, max_size=count - 1)))
    lows: list[float | None] = [None] * count
    highs: list[float | None] = [None] * count
    for index, edge in enumerate(edges):
        if closed not in (index, index + 1):
            way = draw(st.sampled_from(("from", "below", "both")))
            highs[index] = None if way == "from" else edge
            lows[index + 1] = None if way == "below" else edge
    bands = [band(str(i), lows[i], highs[i], family="ph" if i == closed else "") for i in range(count)]
    if closed is None:
        return tuple(bands), {}
    low, high = sorted(draw(st.sets(st.integers(0, 100), min_size=2, max_size=2)))
    return tuple(bands), {"a": family("a", low, high), "b": family("b", 0.5, 99.5)}


@settings(max_examples=150, deadline=None)
@given(written(), st.floats(0, 100))
def test_every_number_falls_into_exactly_one_band(
    book: tuple[tuple[WrittenBand, ...], dict[str, Family]], number: float
) -> None:
    bands, families = book
    problems = Problems()
    found = find_edges("ph", bands, (0, 100), families, problems)
    assert {problem.check for problem in problems} <= {"empty-band"}
    borders = {edge for edges in found for one in edges.values() for edge in (one.low, one.high) if abs(edge) < inf}
    near = {nextafter(edge, way) for edge in borders for way in (-inf, inf)}
    for name in families or {"": None}:
        for value in {number, *borders, *near}:
            if 0 <= value <= 100:
                assert sum(name in edges and holds(edges[name], value) for edges in found) == 1, (name, value)


@pytest.mark.parametrize("folder", [SMALL, *list_books()], ids=lambda folder: folder.name)
def test_every_number_of_a_book_falls_into_exactly_one_band(folder: Path) -> None:
    book = read_book(folder)
    for quantity in book.quantities.values():
        if not quantity.unit:
            continue
        low, high = quantity.possible
        borders = {e for b in quantity.bands for edges in b.edges.values() for e in (edges.low, edges.high)}
        values = {nextafter(e, way) for e in borders for way in (-inf, inf)} | borders | {low, high, (low + high) / 2}
        for family in book.families:
            for value in values:
                if low <= value <= high:
                    assert len(band_of(quantity, value, family)) == 1, (quantity.id, family, value)
