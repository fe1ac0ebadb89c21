"""A tree to print: made once from the small book, and a wide one drawn by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.graph.model import Edge, Graph, Node
from diagnose.report.handout.tree_sheets import TreeSheets
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Book

SHIPPED = Path(__file__).parents[3] / "rulebooks" / "passenger-car"


@pytest.fixture(scope="session")
def book() -> Book:
    return read_book(SHIPPED)


@pytest.fixture(scope="session")
def graph(book: Book) -> Graph:
    """Forty questions of the book's own tests with its own causes behind them: more than one page can hold."""
    tests, causes = list(book.tests.values()), list(book.causes.values())
    service = book.services["replace"].label
    nodes = [Node("start", "entry", "Level low", ("What was found?",), "level_low")]
    edges: list[Edge] = []
    for number in range(40):
        test, cause = tests[number % len(tests)], causes[number % len(causes)]
        nodes.append(Node(f"q{number}", "question", test.label, (f"{test.minutes:.0f} min",), test.id))
        says = (f"{service[:1].upper()}{service[1:]}, after the cause is found", "Not to be driven.")
        nodes.append(Node(f"r{number}", "result", f"Probable: {cause.short}", says, "replace"))
        parent = "start" if number < 3 else f"q{(number - 3) // 2}"
        edges.append(Edge(parent, f"q{number}", "sound_answer", "between the marks"))
        edges.append(Edge(f"q{number}", f"r{number}", "answer", f"something is out of order, {number} times over"))
    nodes.append(Node("on", "continue", "Continue with the program"))
    edges.append(Edge("q39", "on", "answer", "any other answer " + "and yet another " * 8))
    notes = (f"{book.title}, edition 1.", f"CAUTION: {book.cautions['poison'].text}", "Limits are the family's own.")
    return Graph("trial.tree.level_low", "Level low", tuple(nodes), tuple(edges), notes)


@pytest.fixture(scope="session")
def trees(graph: Graph, book: Book) -> TreeSheets:
    pytest.importorskip("graphviz")
    return TreeSheets(graph, book)
