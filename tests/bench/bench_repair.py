"""'Try this repair and look again' beside the tests. Run by hand; RESULTS.md keeps the figures.

    python tests/bench/bench_repair.py [--models 30]

On small models, everything that may be done in any order is gone through: tests, and repairs that are each followed by
a second look, which shows whether any cause is left. First models made by chance with one cause present, then others
with one or two, then parts of the shipped book: its 4 most probable causes, at most 2 repairs to try, and 3 tests.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial
from itertools import combinations
from pathlib import Path
from time import perf_counter

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from exact import optimum
from mixed import At, Mixed, Move, Rule
from submodel import submodels

from diagnose.diagnosis.arrays import Floats
from diagnose.diagnosis.attempts import Attempt, Mending, mended
from diagnose.diagnosis.costs import Losses
from diagnose.diagnosis.value import Option, Problem
from diagnose.diagnosis.verdict import AGAIN
from diagnose.pipeline import Bench
from diagnose.rulebook.model import Book

BOOK = Path(__file__).parent.parent.parent / "rulebooks" / "passenger-car"
SEED = 5
TRIED = 2


@dataclass(frozen=True)
class Model:
    mending: Mending
    sorts: Floats
    cures: dict[int, list[int]]


def by_chance(seed: int, causes: int, tests: int, both: bool) -> Model:
    """Causes with repairs of their own; a cause left in comes back for 2 to 8 times its repair."""
    random = np.random.default_rng([SEED, seed, causes, both])
    single = random.dirichlet(np.ones(causes))
    sets = [{n} for n in range(causes)] + ([set(pair) for pair in combinations(range(causes), 2)] if both else [])
    mass = np.array([np.prod([single[n] for n in each]) for each in sets])
    sorts = np.array([[float(n in each) for n in range(causes)] for each in sets])
    repair = np.exp(random.normal(np.log(60), 0.8, causes))
    harm = repair * random.uniform(2, 8, causes)
    matrix = np.zeros((len(sets), 2 * causes))
    matrix[:, ::2], matrix[:, 1::2] = sorts * harm, repair
    names = tuple(f"c{n}" for n in range(causes))
    losses = Losses(matrix, np.arange(0, 2 * causes, 2), names, tuple((n,) for n in names))
    options = []
    for number in range(tests):
        often, seldom = random.choice([0.3, 0.55, 0.75, 0.92], causes), random.choice([0.03, 0.15], causes)
        shows = 1 - np.prod(1 - sorts * np.where(random.random(causes) < 0.4, often, seldom), axis=1)
        options.append(
            Option(f"t{number}", float(np.exp(random.normal(np.log(10), 0.8))), np.stack((shows, 1 - shows), 1))
        )
    every = frozenset(range(causes))
    attempts = tuple(Attempt(n, float(repair[n]) + AGAIN, every - {n}) for n in range(causes))
    held = {n: sorts[:, n] > 0 for n in range(causes)}
    problem = Problem(mass / mass.sum(), losses, options)
    mending = Mending(problem, attempts, held, np.zeros(len(sets), dtype=np.bool_))
    return Model(mending, sorts, {n: [n] for n in range(causes)})


def parts(causes: int, tests: int) -> Iterator[Model]:
    """Parts of the book in which a repair may be tried; every cause shows in the second look."""
    book = Bench(BOOK, "plain").book
    for _, problem, sorts, _ in submodels(BOOK, causes, tests):
        lost = problem.losses
        names = [name for names in lost.causes for name in names]
        every = frozenset(range(len(lost.causes)))
        tried = [n for n, cured in enumerate(lost.causes) if _may_be_tried(cured, book)][:TRIED]
        if not tried:
            continue
        attempts = tuple(Attempt(n, _minutes(lost.causes[n], book) + AGAIN, every - {n}) for n in tried)
        columns = {name: number for number, name in enumerate(names)}
        cures = {n: [columns[name] for name in cured] for n, cured in enumerate(lost.causes)}
        held = {n: sorts[:, those].any(axis=1) for n, those in cures.items()}
        never = np.append(np.zeros(len(sorts) - 1, dtype=np.bool_), True)
        options = [replace(option, spoils=frozenset()) for option in problem.options]
        yield Model(Mending(Problem(problem.mass, lost, options), attempts, held, never), sorts, cures)


def by_tests_alone(at: At) -> Move:
    step = at.mending.problem.chosen(at.mass, at.state, at.left)
    return None if step is None else ("test", step.option)


def by_rate(at: At) -> Move:
    """The rule that the program had before: minutes spared a minute, the repair's own spared minutes counted in."""
    problem = at.mending.problem
    step = problem.chosen(at.mass, at.state, at.left)
    rate, best, total = (step.rate if step is not None else 1.0), None, float(at.mass.sum())
    now = problem.losses.of(at.mass)
    for attempt in at.mending.attempts:
        cured = at.mending.cured(attempt)
        split = np.stack((np.where(cured, at.mass, 0.0), np.where(cured, 0.0, at.mass)))
        saves = (now - float(mended(problem.losses, attempt.repair).best(split).sum())) / total
        if saves > attempt.minutes and saves / attempt.minutes > rate:
            best, rate = attempt, saves / attempt.minutes
    if best is not None:
        return ("repair", best.repair)
    return None if step is None else ("test", step.option)


def ours(at: At) -> Move:
    step = at.mending.problem.chosen(at.mass, at.state, at.left)
    found = at.mending.chosen(at.mass, at.state, at.left, step)
    if found is not None:
        return ("repair", found[0].repair)
    return None if step is None else ("test", step.option)


RULES: dict[str, Rule] = {"tests alone, then the repairs": by_tests_alone, "by rate, as before": by_rate, "ours": ours}


def measure(models: Iterator[Model], title: str) -> None:
    ratios: dict[str, list[float]] = {name: [] for name in ("the best order of tests alone", *RULES)}
    start, tried = perf_counter(), 0
    for model in models:
        mixed = Mixed(model.mending, model.sorts, model.cures)
        least = mixed.optimum()
        numbers = {attempt.repair: n for n, attempt in enumerate(model.mending.attempts)}
        ratios["the best order of tests alone"].append(optimum(model.mending.problem) / least)
        for name, rule in RULES.items():
            cost = mixed.cost_of(partial(_numbered, rule, numbers))
            assert cost >= least * (1 - 1e-9), f"nothing can be cheaper than the optimum, but '{name}' is"
            ratios[name].append(cost / least)
        tried += ratios["the best order of tests alone"][-1] > 1 + 1e-9
    count = len(ratios["ours"])
    print(f"\n{count} {title}; cost over the optimum. In {tried} of them the optimum tries a repair.\n")
    print("| rule | mean | p95 | largest |\n|---|---|---|---|")
    for name, of in ratios.items():
        print(f"| {name} | {np.mean(of):.4f} | {np.percentile(of, 95):.4f} | {max(of):.4f} |")
    print(f"<!-- {title}: {perf_counter() - start:.0f} s -->", file=sys.stderr)


def _numbered(rule: Rule, numbers: dict[int, int], at: At) -> Move:
    move = rule(at)
    return ("repair", numbers[move[1]]) if move is not None and move[0] == "repair" else move


def _may_be_tried(names: tuple[str, ...], book: Book) -> bool:
    of = [book.causes[name] for name in names]
    return all(c.kind != "misread" and not c.repair.by_service and c.repair.dismantling <= 60 for c in of)


def _minutes(names: tuple[str, ...], book: Book) -> float:
    return max(book.causes[name].repair.minutes for name in names)


def main() -> int:
    parser = argparse.ArgumentParser(description="Set 'try this repair and look again' beside the best of all orders.")
    parser.add_argument("--models", type=int, default=30)
    count = parser.parse_args().models
    measure((by_chance(n, 6, 4, False) for n in range(count)), "models made by chance, 6 causes, one present, 4 tests")
    measure(
        (by_chance(n, 3, 3, True) for n in range(count)), "models made by chance, 3 causes, one or two present, 3 tests"
    )
    measure(parts(4, 3), "parts of the passenger-car book, 4 causes, 3 tests")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
