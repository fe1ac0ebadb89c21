"""What a set of rules leaves uncovered, against every single combination of bands."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from diagnose.vet.boxes import Box, Cover, inside, is_covered, merged, uncovered, widened


def points(box: Box) -> set[tuple[int, ...]]:
    """Every combination of one band of each column."""
    return set(product(*([1 << n for n in range(bands.bit_length()) if bands >> n & 1] for bands in box)))


def table(random: Random) -> tuple[Box, list[Cover]]:
    whole = tuple((1 << random.randint(2, 4)) - 1 for _ in range(4))
    rules = []
    for _ in range(random.randint(0, 7)):
        columns = random.sample(range(4), random.randint(1, 3))
        rules.append({column: random.randint(1, whole[column]) for column in columns})
    return whole, rules


@pytest.mark.parametrize("seed", range(60))
def test_exactly_what_no_rule_covers_is_left(seed: int) -> None:
    whole, rules = table(Random(seed))
    taken = {p for rule in rules if (part := inside(whole, rule)) is not None for p in points(part)}
    left = uncovered(whole, rules)
    assert {p for box in left for p in points(box)} == points(whole) - taken
    assert sum(len(points(box)) for box in left) == len(points(whole) - taken), "boxes overlap"
    assert is_covered(whole, rules) is (left == [])


@pytest.mark.parametrize("seed", range(60))
def test_a_widened_box_is_as_wide_as_can_be_and_still_uncovered(seed: int) -> None:
    whole, rules = table(Random(1000 + seed))
    for box in uncovered(whole, rules):
        wide = widened(box, whole, rules)
        assert points(box) <= points(wide)
        assert all(inside(wide, rule) is None for rule in rules)
        for column, bands in enumerate(whole):
            for band in (1 << n for n in range(bands.bit_length())):
                if not wide[column] & band:
                    more = (*wide[:column], wide[column] | band, *wide[column + 1 :])
                    assert any(inside(more, rule) is not None for rule in rules)


def test_boxes_that_differ_in_one_column_become_one() -> None:
    assert merged([(1, 1), (2, 1), (3, 2)]) == [(3, 3)]
    assert merged([(1, 1), (2, 2)]) == [(1, 1), (2, 2)]
    assert merged([]) == []
