"""A posterior beside two open libraries for Bayesian networks, on the same small books. Run by hand.

python tests/bench/bench_networks.py
"""

from __future__ import annotations

import sys
from pathlib import Path
from random import Random
from statistics import median
from time import perf_counter

sys.path.insert(0, str(Path(__file__).parent.parent / "diagnosis"))

import by_hand
import test_networks

from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.posterior import weigh

BOOKS = 12


def main() -> None:
    times: dict[str, list[float]] = {"ours": [], "pyAgrum": [], "pgmpy": []}
    far = 0.0
    for seed in range(BOOKS):
        random = Random(600 + seed)
        book = by_hand.random_book(random, causes=4, quantities=3, not_in_book=0.0)
        seen = by_hand.random_readings(random, book)
        nodes, soft = test_networks.network(book, seen)
        names = tuple(book.causes)
        belief, firings = Belief(book), by_hand.firings(book, seen)
        found = weigh(belief, firings)
        for name, run in (
            ("ours", lambda belief=belief, firings=firings: weigh(belief, firings)),
            ("pyAgrum", lambda nodes=nodes, soft=soft, names=names: test_networks.by_pyagrum(nodes, soft, names)),
            ("pgmpy", lambda nodes=nodes, soft=soft, names=names: test_networks.by_pgmpy(nodes, soft, names)),
        ):
            start = perf_counter()
            result = run()
            times[name].append(1000 * (perf_counter() - start))
            if isinstance(result, dict):
                far = max(far, *(abs(found.chances[belief.index[n]] - share) for n, share in result.items()))
    print(f"{BOOKS} books of 5 causes and 3 quantities, with the readings of each; largest difference {far:.1e}\n")
    print("| | median of a case |\n|---|---|")
    for name, each in times.items():
        built = "" if name == "ours" else ", the network built anew each time"
        print(f"| {name}{built} | {median(each):.2f} ms |")


if __name__ == "__main__":
    main()
