"""How close the choice of tests comes to the cheapest of all orders. Run by hand; RESULTS.md keeps the figures.

    python tests/bench/bench_choice.py [--models 60]

First on models made by chance: 12 causes, one of them present, 10 tests of two answers; without tests repairs are tried
in order of probability over cost until one cures (Kadane and Simon 1977, Kalagnanam and Henrion 1990). Then on parts of
the shipped book, one for each way in which a car may come in: its 12 most probable causes, up to three at once, and
the tests that save most, with the states of the car, what tests spoil, and the workshop's own costs of stopping.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from exact import cost_of, optimum
from policies import policies
from submodel import submodels

from diagnose.diagnosis.arrays import Floats
from diagnose.diagnosis.value import Option, Problem

SEED = 5
CAUSES, TESTS = 12, 10
TARGETS = {"ours": (1.015, 1.025), "ours with rollout": (1.004, 1.01)}


@dataclass(frozen=True)
class InTurn:
    """Repairs are tried one after the other, in order of probability over cost, until one cures."""

    minutes: Floats
    most_probable_first: bool = False

    def best(self, masses: Floats) -> Floats:
        order = np.argsort(-masses if self.most_probable_first else -masses / self.minutes, axis=1)
        sorted_mass = np.take_along_axis(masses, order, axis=1)
        left = np.cumsum(sorted_mass[:, ::-1], axis=1)[:, ::-1]
        found: Floats = (left * self.minutes[order]).sum(axis=1)
        return found

    def of(self, mass: Floats) -> float:
        return float(self.best(mass[None, :])[0])


def by_chance(seed: int, series: int = SEED) -> tuple[Problem, Floats, dict[str, float]]:
    """One model, what is present in each hypothesis, and the cost without tests of two orders of repair."""
    random = np.random.default_rng([series, seed])
    mass = random.dirichlet(np.ones(CAUSES))
    repair = np.exp(random.normal(np.log(90), 0.8, CAUSES))
    options = []
    for number in range(TESTS):
        words = np.array([0.03, 0.15, 0.3, 0.55, 0.75, 0.92])
        often, seldom = random.choice(words[2:], CAUSES), random.choice(words[:2], CAUSES)
        shows = np.where(random.random(CAUSES) < 0.35, often, seldom)
        minutes = float(np.exp(random.normal(np.log(8), 0.8)))
        options.append(Option(f"t{number}", minutes, np.stack((shows, 1 - shows), axis=1)))
    losses = InTurn(repair)
    problem = Problem(mass, losses, options)  # type: ignore[arg-type]
    plain = {"most probable first, no tests": InTurn(repair, True).of(mass), "p/c order, no tests": losses.of(mass)}
    return problem, np.eye(CAUSES), plain


def measure(models: Iterator[tuple[str, Problem, Floats, dict[str, float]]], loud: bool) -> dict[str, list[float]]:
    """Each rule's cost over the optimum, model by model."""
    found: dict[str, list[float]] = {}
    for name, problem, sorts, plain in models:
        start = perf_counter()
        least = optimum(problem)
        costs = {**plain, **{rule: cost_of(problem, choose) for rule, choose in policies(problem, sorts).items()}}
        for rule, cost in costs.items():
            assert cost >= least * (1 - 1e-9), f"{name}: nothing can be cheaper than the optimum, but '{rule}' is"
            found.setdefault(rule, []).append(cost / least)
        if loud:
            sizes = f"{len(problem.mass)} sets, {len(problem.options)} tests, optimum {least:.1f} min"
            print(f"<!-- {name}: {sizes}, {perf_counter() - start:.1f} s -->", file=sys.stderr)
    return found


def table(found: dict[str, list[float]]) -> None:
    print("| rule | mean | p95 | largest | target |\n|---|---|---|---|---|")
    for rule, ratios in found.items():
        mean, p95 = float(np.mean(ratios)), float(np.percentile(ratios, 95))
        target = ""
        if rule in TARGETS:
            held = mean <= TARGETS[rule][0] and p95 <= TARGETS[rule][1]
            target = f"{TARGETS[rule][0]:g} / {TARGETS[rule][1]:g} {'held' if held else 'MISSED'}"
        print(f"| {rule} | {mean:.4f} | {p95:.4f} | {max(ratios):.4f} | {target} |")


def main() -> int:
    parser = argparse.ArgumentParser(description="Set the choice of tests beside the optimum.")
    parser.add_argument("--models", type=int, default=60)
    parser.add_argument("--series", type=int, default=SEED, help="another series of models made by chance, and no book")
    parser.add_argument("--loud", action="store_true")
    options = parser.parse_args()
    print(f"{options.models} models made by chance, {CAUSES} causes x {TESTS} tests; cost over the optimum\n")
    table(measure(((f"model {n}", *by_chance(n, options.series)) for n in range(options.models)), options.loud))
    if options.series != SEED:
        return 0
    book = Path(__file__).parent.parent.parent / "rulebooks" / "passenger-car"
    parts = list(submodels(book, CAUSES, TESTS))
    print(f"\n{len(parts)} parts of the passenger-car book, one for each way to come in; cost over the optimum\n")
    table(measure(iter(parts), options.loud))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
