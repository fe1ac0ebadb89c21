"""The belief against two open reference libraries for Bayesian networks: pgmpy and pyAgrum.

The network holds the causes with their chains, one hidden event per cause and group, the true band of
every quantity, and every reading (which shows anything once it is fooled). Its tables come from the
slow reckoning in plain Python; the inference is the libraries' own. A last node allows only the
sets that the belief looks at: up to three causes, and four with an arc.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from random import Random

import by_hand
import numpy as np
import pytest
import slow_belief

from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.posterior import weigh
from diagnose.rulebook.model import Book

Readings = Mapping[str, Sequence[tuple[str, Mapping[str, float]]]]


@dataclass(frozen=True)
class Node:
    """`table` has one row for each combination of the parents' values, the last parent's changing fastest."""

    name: str
    values: int
    parents: tuple[str, ...]
    table: list[list[float]]


def network(book: Book, seen: Readings) -> tuple[list[Node], dict[str, list[float]]]:
    """Nodes in order, and the likelihood of what was seen for each node that was seen."""
    nodes = [_cause(book, name) for name in _parents_first(book)]
    soft: dict[str, list[float]] = {}
    groups: dict[str, list[str]] = {}
    for quantity in book.quantities.values():
        groups.setdefault(quantity.moves_together or f"only {quantity.id}", []).append(quantity.id)
    for group, members in groups.items():
        alone = {name: slow_belief.words(book, book.quantities[name], book.rules) for name in members}
        reach: dict[str, float] = {}
        for name in members:
            for cause, bands in alone[name].items():
                strength = slow_belief.strength(book.quantities[name], bands)
                reach[cause] = max(reach.get(cause, 0.0), strength) if len(members) > 1 else 1.0
        nodes += [Node(f"{group} {c}", 2, (c,), [[1.0, 0.0], [1 - a, a]]) for c, a in reach.items()]
        for name in members:
            nodes.append(_quantity(book, name, group, alone[name], reach))
            for number, (method, bands) in enumerate(seen.get(name, ())):
                nodes.append(_reading(book, name, method, f"{name} read {number}"))
                total = sum(bands.values())
                soft[nodes[-1].name] = [bands.get(band.id, 0.0) / total for band in book.quantities[name].bands]
    causes = tuple(book.causes)
    allowed = set(slow_belief.hypotheses(book))
    rows = []
    for present in product((0, 1), repeat=len(causes)):
        held = frozenset(name for name, is_in in zip(causes, present, strict=True) if is_in)
        rows.append([0.0, 1.0] if held in allowed else [1.0, 0.0])
    nodes.append(Node("looked at", 2, causes, rows))
    soft["looked at"] = [0.0, 1.0]
    return nodes, soft


def _parents_first(book: Book) -> list[str]:
    return list(book.causes)  # random_book lets causes lead to later ones only


def _cause(book: Book, name: str) -> Node:
    arcs = {c.id: arc.how_often.value for c in book.causes.values() for arc in c.leads_to if arc.cause == name}
    rows = []
    for present in product((0, 1), repeat=len(arcs)):
        absent = 1 - book.causes[name].how_common.value
        for is_in, share in zip(present, arcs.values(), strict=True):
            absent *= 1 - share if is_in else 1
        rows.append([absent, 1 - absent])
    return Node(name, 2, tuple(arcs), rows)


def _quantity(
    book: Book, name: str, group: str, alone: Mapping[str, Mapping[str, float]], reach: Mapping[str, float]
) -> Node:
    quantity = book.quantities[name]
    rows = []
    for present in product((0, 1), repeat=len(alone)):
        far = frozenset(cause for cause, is_in in zip(alone, present, strict=True) if is_in)
        shown = slow_belief.shows(quantity, alone, far, reach)
        assert min(shown.values()) > -1e-12
        rows.append([max(0.0, shown[band.id]) for band in quantity.bands])
    return Node(name, len(quantity.bands), tuple(f"{group} {cause}" for cause in alone), rows)


def _reading(book: Book, name: str, method: str, node: str) -> Node:
    bands = len(book.quantities[name].bands)
    known = book.quantities[name].method(method)
    fools = known.fooled_by if known is not None else ()
    rows = []
    for band in range(bands):
        for fooled in product((0, 1), repeat=len(fools)):
            rows.append([1 / bands] * bands if any(fooled) else [1.0 if n == band else 0.0 for n in range(bands)])
    return Node(node, bands, (name, *fools), rows)


def by_pyagrum(nodes: Sequence[Node], soft: Mapping[str, list[float]], names: Sequence[str]) -> dict[str, float]:
    gum = pytest.importorskip("pyagrum", reason="pyAgrum is not installed")
    net = gum.BayesNet()
    for node in nodes:
        net.add(gum.LabelizedVariable(node.name, node.name, node.values))
    for node in nodes:
        for parent in node.parents:
            net.addArc(parent, node.name)
        for row, present in zip(node.table, _combinations(nodes, node), strict=True):
            net.cpt(node.name)[dict(zip(node.parents, present, strict=True))] = row
    inference = gum.LazyPropagation(net)
    inference.setEvidence(dict(soft))
    inference.makeInference()
    return {name: float(inference.posterior(name)[1]) for name in names}


def by_pgmpy(nodes: Sequence[Node], soft: Mapping[str, list[float]], names: Sequence[str]) -> dict[str, float]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        models = pytest.importorskip("pgmpy.models", reason="pgmpy is not installed")
        from pgmpy.factors.discrete import TabularCPD
        from pgmpy.inference import VariableElimination

        values = {node.name: node.values for node in nodes}
        net = models.DiscreteBayesianNetwork([(parent, node.name) for node in nodes for parent in node.parents])
        net.add_nodes_from([node.name for node in nodes])
        for node in nodes:
            above = {"evidence": list(node.parents), "evidence_card": [values[p] for p in node.parents]}
            columns = np.array(node.table).T
            net.add_cpds(TabularCPD(node.name, node.values, columns, **(above if node.parents else {})))
        virtual = [TabularCPD(name, len(shares), [[share] for share in shares]) for name, shares in soft.items()]
        inference = VariableElimination(net)
        found = {}
        for name in names:
            result = inference.query([name], virtual_evidence=virtual, show_progress=False)
            found[name] = float(result.values[1])
        return found


def _combinations(nodes: Sequence[Node], node: Node) -> list[tuple[int, ...]]:
    values = {each.name: each.values for each in nodes}
    return list(product(*(range(values[parent]) for parent in node.parents)))


@pytest.mark.parametrize("seed", range(20))
def test_same_as_pyagrum(seed: int) -> None:
    random = Random(500 + seed)
    book = by_hand.random_book(random, causes=random.randint(2, 5), quantities=4, not_in_book=0.0)
    seen = by_hand.random_readings(random, book)
    nodes, soft = network(book, seen)
    assert_same(book, seen, by_pyagrum(nodes, soft, tuple(book.causes)))


@pytest.mark.parametrize("seed", range(8))
def test_same_as_pgmpy(seed: int) -> None:
    random = Random(600 + seed)
    book = by_hand.random_book(random, causes=random.randint(2, 4), quantities=3, not_in_book=0.0)
    seen = by_hand.random_readings(random, book)
    nodes, soft = network(book, seen)
    assert_same(book, seen, by_pgmpy(nodes, soft, tuple(book.causes)))


def assert_same(book: Book, seen: Readings, wanted: Mapping[str, float]) -> None:
    found = weigh(Belief(book), by_hand.firings(book, seen))
    for name, chance in wanted.items():
        assert math.isclose(found.chances[found.belief.index[name]], chance, abs_tol=1e-9), name
