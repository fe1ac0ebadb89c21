"""Every shipped book: no value between the bands, none in two of them."""

from __future__ import annotations

from math import inf, nextafter
from pathlib import Path

import pytest

from diagnose.findings.bands import band_shares
from diagnose.findings.model import Interval
from diagnose.rulebook.find import list_books
from diagnose.rulebook.from_yaml import read_book


@pytest.mark.parametrize("folder", list_books(), ids=lambda folder: folder.name)
def test_at_and_beside_every_edge_one_band_holds_the_value(folder: Path) -> None:
    book = read_book(folder)
    checked = 0
    for quantity in book.quantities.values():
        if quantity.in_words:
            continue
        low, high = quantity.possible
        ends = {end for band in quantity.bands for edges in band.edges.values() for end in (edges.low, edges.high)}
        values = {x for end in ends for x in (end, nextafter(end, -inf), nextafter(end, inf))} | {low, high}
        for family in book.families:
            for value in (value for value in values if low <= value <= high):
                shares = band_shares(Interval(value, value), quantity, family)
                assert sorted(shares) == [0.0] * (len(shares) - 1) + [1.0], (quantity.id, family, value)
                checked += 1
    assert checked
