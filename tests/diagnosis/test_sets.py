from __future__ import annotations

from itertools import combinations
from random import Random

import numpy as np
import pytest

from diagnose.diagnosis.sets import Sets, sets_with_arcs


def as_sets(sets: Sets) -> list[frozenset[int]]:
    return [frozenset(int(m) for m in column if m < sets.n) for column in sets.members.T]


def some_arcs(random: Random, n: int) -> list[tuple[int, int]]:
    return [(a, b) for a, b in combinations(range(n), 2) if random.random() < 0.2]


@pytest.mark.parametrize("n", range(9))
def test_all_sets_of_three_and_those_of_four_with_an_arc(n: int) -> None:
    random = Random(n)
    arcs = some_arcs(random, n)
    sets = sets_with_arcs(n, [arc if random.random() < 0.5 else arc[::-1] for arc in arcs])
    small = [frozenset(each) for size in range(4) for each in combinations(range(n), size)]
    fours = [frozenset(each) for each in combinations(range(n), 4) if any(set(arc) <= set(each) for arc in arcs)]
    found = as_sets(sets)
    assert found[: len(small)] == small
    assert sorted(map(sorted, found[len(small) :])) == sorted(map(sorted, fours))


@pytest.mark.parametrize("n", range(9))
def test_smaller_sets_and_holders_are_where_they_are_said_to_be(n: int) -> None:
    sets = sets_with_arcs(n, some_arcs(Random(n), n))
    found = as_sets(sets)
    for place, held in enumerate(found):
        for size, member in enumerate(sets.members[:, place]):
            smaller = held - {int(member)}
            assert found[sets.without[size, place]] == (smaller if member < n else held)
        if held:
            assert found[sets.without_last[place]] == held - {max(held)}
    for item in range(n):
        assert sets.containing[item].tolist() == [place for place, held in enumerate(found) if item in held]
        assert sets.held[item].tolist() == [item in held for held in found]


@pytest.mark.parametrize("n", range(9))
def test_sets_are_found_again_among_chosen_items(n: int) -> None:
    random = Random(n)
    sets = sets_with_arcs(n, some_arcs(random, n))
    for _ in range(8):
        chosen = sorted(random.sample(range(n), random.randint(0, n)))
        small, rows = sets.project(chosen)
        left = [frozenset(chosen[m] for m in held) for held in as_sets(small)]
        assert [left[row] for row in rows] == [held & set(chosen) for held in as_sets(sets)]


def test_sums_and_products_over_members() -> None:
    random = np.random.default_rng(1)
    sets = sets_with_arcs(7, [(0, 3), (2, 6)])
    weights, factors = random.random(sets.count), random.random(7)
    found = as_sets(sets)
    sums = [sum(w for w, held in zip(weights, found, strict=True) if item in held) for item in range(7)]
    np.testing.assert_allclose(sets.sums(weights), sums, rtol=1e-12)
    products = [float(np.prod([factors[item] for item in held])) for held in found]
    np.testing.assert_allclose(sets.products(factors), products, rtol=1e-12)
