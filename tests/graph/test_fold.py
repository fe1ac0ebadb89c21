"""How far a tree is drawn, against trying every way of drawing it."""

from __future__ import annotations

from itertools import product

import pytest

from diagnose.graph.explore import Asked, Spot, explore
from diagnose.graph.fold import BEGIN, COMMON, HANDOVER, MOST_QUESTIONS, charge_for, drawn, questions
from diagnose.graph.road import Road
from diagnose.pipeline import Bench


def all_spots(asked: Asked) -> list[Spot]:
    found = []
    for each in asked.followed:
        found.append(each.spot)
        if each.spot.asked is not None:
            found += all_spots(each.spot.asked)
    return found


def in_any_case(spots: list[Spot]) -> set[int]:
    """The beginnings of ways, which are drawn whatever they save."""
    asked = [spot for spot in spots if spot.asked is not None]
    return {id(spot) for spot in asked if spot.depth == 0 or (spot.depth < BEGIN and spot.reach >= COMMON)}


def price(asked: Asked, chosen: frozenset[int], charge: float) -> float:
    """Handing over and questions, where exactly the chosen spots are drawn (as far as they are come to)."""
    total = 0.0
    for each in asked.followed:
        spot = each.spot
        if spot.asked is not None and id(spot) in chosen:
            total += charge + spot.reach * spot.asked.other * HANDOVER + price(spot.asked, chosen, charge)
        elif spot.offers:
            total += spot.reach * HANDOVER
    return total


@pytest.mark.parametrize("charge", [0.05, 0.2, 0.5, 1.0, 3.0])
@pytest.mark.parametrize("entry", ["ph_out", "level_low"])
def test_no_other_way_of_drawing_is_cheaper(entry: str, charge: float, small: Bench) -> None:
    road = Road(small.book, small.rules, small.belief)
    root = explore(road, small.book.entries[entry], budget=24).root
    able = [spot for spot in all_spots(root) if spot.asked is not None][:12]
    assert len(able) >= 2
    mine = frozenset(id(spot) for spot in able if drawn(spot, charge))
    ways = [
        frozenset(id(spot) for spot, take in zip(able, choice, strict=True) if take)
        for choice in product((False, True), repeat=len(able))
    ]
    least = min(price(root, way, charge) for way in ways if in_any_case(able) <= way)
    if {id(spot) for spot in questions(root, charge)} <= {id(spot) for spot in able}:
        assert price(root, mine, charge) == pytest.approx(least)


def test_a_higher_charge_draws_less(small: Bench) -> None:
    road = Road(small.book, small.rules, small.belief)
    root = explore(road, small.book.entries["level_low"]).root
    counts = [len(list(questions(root, charge))) for charge in (0.01, 0.1, 0.5, 2.0, 20.0)]
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > counts[-1] == len(in_any_case(all_spots(root)))
    assert len(list(questions(root, charge_for(root)))) <= MOST_QUESTIONS
