"""How long handouts take once their trees are known: python tests/bench/bench_handout.py [BOOK]"""

from __future__ import annotations

import sys
import time

from diagnose.diagnosis.belief import Belief
from diagnose.firings.from_findings import RuleEngine
from diagnose.graph.from_tree import from_tree
from diagnose.graph.road import Road
from diagnose.graph.tree import compile_tree
from diagnose.report.handout.sheets import printed, sheets_for_book, sheets_for_tree
from diagnose.report.handout.tree_sheets import TreeSheets
from diagnose.rulebook.find import find_book
from diagnose.rulebook.from_yaml import read_book


def main() -> None:
    book = read_book(find_book(sys.argv[1] if len(sys.argv) > 1 else "passenger-car"))
    road = Road(book, RuleEngine(book, "plain"), Belief(book))
    for sheet in sheets_for_book(book):
        start = time.perf_counter()
        size = len(printed(sheet, book, "a4"))
        print(f"{sheet.name:<45} {time.perf_counter() - start:6.2f} s {size / 1000:6.0f} kB")
    for entry in book.entries.values():
        graph = from_tree(compile_tree(road, entry), book)
        start = time.perf_counter()
        trees = TreeSheets(graph, book)
        print(f"{graph.id:<45} {time.perf_counter() - start:6.2f} s to page {len(trees.sections)} sections")
        for sheet in sheets_for_tree(trees):
            start = time.perf_counter()
            size = len(printed(sheet, book, "a4"))
            print(f"{sheet.name:<45} {time.perf_counter() - start:6.2f} s {size / 1000:6.0f} kB")


if __name__ == "__main__":
    main()
