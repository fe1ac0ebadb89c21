from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from diagnose.graph.road import Road
from diagnose.graph.tree import compile_tree
from diagnose.graph.tree_model import Tree
from diagnose.pipeline import Bench
from diagnose.rulebook.find import shipped_folder

SMALL = Path(__file__).parents[1] / "books" / "small"


@pytest.fixture(scope="session")
def small() -> Bench:
    return Bench(SMALL, "plain")


@pytest.fixture(scope="session")
def car() -> Bench:
    return Bench(shipped_folder() / "passenger-car", "plain")


def trees_of(bench: Bench) -> Mapping[str, Tree]:
    road = Road(bench.book, bench.rules, bench.belief)
    return {entry.id: compile_tree(road, entry) for entry in bench.book.entries.values()}


@pytest.fixture(scope="session")
def small_trees(small: Bench) -> Mapping[str, Tree]:
    return trees_of(small)


@pytest.fixture(scope="session")
def car_trees(car: Bench) -> Mapping[str, Tree]:
    return trees_of(car)
