"""The choice of tests on the whole book, beside a bound that no order of tests can go below. Run by hand; RESULTS.md
keeps the figures.

    python tests/bench/bench_bound.py [--cars 60]

For each way in which a car may come in: every test of the book that can be begun today, every cause, and the hypotheses
that the live choice looks at. Answers of different tests are taken to be independent once it is known what is present.
Cars are drawn; on each the choice is followed to its end, and on each the bound of relaxed.py is reckoned: the answers
of all tests are given away except of those that the choice spends most minutes on. Before that, the bound is set beside
the exact optimum on the parts of the book and on models made by chance.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from time import perf_counter

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from bench_choice import CAUSES, TESTS, by_chance
from exact import optimum
from relaxed import exact_bound, keepable, moves, rest
from submodel import submodels

from diagnose.diagnosis.access import access_to
from diagnose.diagnosis.answers import Foresight
from diagnose.diagnosis.candidates import candidates
from diagnose.diagnosis.costs import losses
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.given import given_hypotheses
from diagnose.diagnosis.information import Question
from diagnose.diagnosis.posterior import weigh
from diagnose.diagnosis.shop import EVERY_TOOL
from diagnose.diagnosis.situation import CUT
from diagnose.diagnosis.value import Option, Problem
from diagnose.graph.road import Answer, Road, start_state
from diagnose.pipeline import Bench

BOOK = Path(__file__).parent.parent.parent / "rulebooks" / "passenger-car"
SEED = 5
TRIED = 30
"""So many cars are drawn beforehand to learn which tests the choice spends its minutes on."""
STATES = 20_000
"""Tests are kept as long as there are no more states of knowledge than this."""
GIVEN_AWAY = 3
"""So many tests of a problem that can be solved are given away, the ones that save least."""


@dataclass
class Found:
    """Minutes of the cars of one entry."""

    ours: list[float] = field(default_factory=list)
    bound: list[float] = field(default_factory=list)
    stop: list[float] = field(default_factory=list)
    known: list[float] = field(default_factory=list)
    kept: list[int] = field(default_factory=list)


def whole(book: Path) -> Iterator[tuple[str, Problem]]:
    """The whole decision, for each way in which a car may come in, by entry."""
    bench = Bench(book, "plain")
    road = Road(bench.book, bench.rules, bench.belief)
    ways = [(entry, start) for entry in bench.book.entries.values() for start in entry.starts]
    for entry, start in ways:
        state = start_state(bench.book)
        posterior = weigh(bench.belief, road.firings(tuple(Answer(c.quantity, c.bands[0]) for c in start), state))
        focus = Focus.above(posterior, CUT)
        question = Question(focus, [])
        foresight = Foresight(posterior, focus, question)
        able = [c for c in candidates(posterior, EVERY_TOOL, {}).values() if c.way.begins]
        access = access_to([c.test for c in able], state, bench.book)
        options = [
            Option(
                c.test.id,
                c.test.minutes + c.test.waiting,
                given_hypotheses(c.left, foresight, posterior, focus, question.mass),
                access.minutes[c.test.id],
                access.leads[c.test.id],
                frozenset(o.test.id for o in able if o is not c and o.job <= set(c.test.spoils)),
            )
            for c in able
        ]
        lost = losses(bench.book, bench.belief.causes, focus, bench.belief.index)
        yield entry.label, Problem(question.mass, lost, options)


class Live:
    """The choice on one problem, followed car by car; what it does after the same answers is remembered."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self._known: dict[frozenset[tuple[int, int]], int | None] = {}

    def car(self, answers: list[int]) -> tuple[float, dict[int, float]]:
        """What a car with these answers costs, and the minutes of each test that was done."""
        problem, state, mass = self.problem, 0, self.problem.mass
        left, past = tuple(range(len(problem.options))), frozenset[tuple[int, int]]()
        minutes: dict[int, float] = {}
        while True:
            if past not in self._known:
                step = problem.chosen(mass, state, left)
                self._known[past] = None if step is None else step.option
            option = self._known[past]
            if option is None:
                return sum(minutes.values()) + problem.losses.of(mass), minutes
            minutes[option] = problem.options[option].costs(state)
            mass = mass * problem.options[option].given[:, answers[option]]
            mass = mass / mass.sum()
            left = problem.without(option, left)
            state = problem.options[option].leads[state]
            past |= {(option, answers[option])}


def a_car(problem: Problem, random: np.random.Generator) -> tuple[int, list[int]]:
    """What is present, and what every test would show."""
    place = int(random.choice(len(problem.mass), p=problem.mass / problem.mass.sum()))
    shares = [option.given[place] / option.given[place].sum() for option in problem.options]
    return place, [int(random.choice(len(each), p=each)) for each in shares]


def one_start(problem: Problem, cars: int, random: np.random.Generator, found: Found) -> None:
    live = Live(problem)
    spent = np.zeros(len(problem.options))
    for _ in range(TRIED):
        for option, minutes in live.car(a_car(problem, random)[1])[1].items():
            spent[option] += minutes
    kept = keepable(problem, [int(n) for n in np.argsort(-spent) if spent[n] > 0] or [0], STATES)
    away = [number for number in range(len(problem.options)) if number not in kept]
    least = moves(problem, away)
    known = np.minimum.reduceat(problem.losses.matrix, problem.losses.starts, axis=1).sum(axis=1)
    found.kept.append(len(kept))
    for _ in range(cars):
        place, answers = a_car(problem, random)
        found.ours.append(live.car(answers)[0])
        found.bound.append(rest(problem, kept, {n: answers[n] for n in away}, least)[1])
        found.stop.append(problem.losses.of(problem.mass))
        found.known.append(float(known[place]))


def below_the_optimum(models: int) -> None:
    """The bound may not be above what the best order costs, and keeping every test it is the optimum itself."""
    print("| problems that can be solved | bound over optimum, mean | least | largest |\n|---|---|---|---|")
    parts = [problem for _, problem, _, _ in submodels(BOOK, CAUSES, TESTS - 3)]
    chance = [_smaller(by_chance(n)[0], TESTS - 3) for n in range(models)]
    for name, problems in (("parts of the book", parts), ("models made by chance", chance)):
        ratios = []
        for problem in problems:
            steps = sorted(problem.steps(problem.mass, 0), key=lambda step: -step.saves)
            kept = [step.option for step in steps][: max(1, len(steps) - GIVEN_AWAY)]
            best, bound = optimum(problem), exact_bound(problem, kept)
            assert bound <= best * (1 + 1e-9), f"{name}: the bound {bound} is above the optimum {best}"
            everything = exact_bound(problem, list(range(len(problem.options))), light=0.0)
            assert abs(everything - best) <= 1e-9 * best, f"{name}: with every test kept {everything} is not {best}"
            ratios.append(bound / best)
        print(f"| {len(problems)} {name} | {np.mean(ratios):.4f} | {min(ratios):.4f} | {max(ratios):.4f} |")


def _smaller(problem: Problem, tests: int) -> Problem:
    return Problem(problem.mass, problem.losses, problem.options[:tests])


def main() -> int:
    parser = argparse.ArgumentParser(description="Set the choice of tests on the whole book beside a lower bound.")
    parser.add_argument("--cars", type=int, default=60)
    parser.add_argument("--models", type=int, default=20)
    options = parser.parse_args()
    below_the_optimum(options.models)
    found: dict[str, Found] = {}
    for number, (entry, problem) in enumerate(whole(BOOK)):
        start = perf_counter()
        one_start(problem, options.cars, np.random.default_rng([SEED, number]), found.setdefault(entry, Found()))
        sizes = f"{len(problem.mass)} hypotheses, {len(problem.options)} tests"
        print(f"<!-- {entry}: {sizes}, {perf_counter() - start:.1f} s -->", file=sys.stderr)
    print(f"\n{options.cars} cars for each way to come in; minutes, and ours over the bound with its standard error\n")
    print("| comes in with | cars | all known at once | bound | ours | no test | tests kept | ours over the bound |")
    print("|---|---|---|---|---|---|---|---|")
    total = Found()
    for name, each in found.items():
        line(name, each)
        for part in ("ours", "bound", "stop", "known", "kept"):
            getattr(total, part).extend(getattr(each, part))
    line("all", total)
    return 0


def line(name: str, of: Found) -> None:
    ours, bound = np.array(of.ours), np.array(of.bound)
    ratio = ours.mean() / bound.mean()
    error = float(np.std(ours - ratio * bound, ddof=1) / bound.mean() / np.sqrt(len(ours)))
    kept = f"{min(of.kept)} to {max(of.kept)}" if min(of.kept) < max(of.kept) else f"{of.kept[0]}"
    print(
        f"| {name} | {len(ours)} | {np.mean(of.known):.0f} | {bound.mean():.0f} | {ours.mean():.0f} "
        f"| {np.mean(of.stop):.0f} | {kept} | {ratio:.3f} ± {error:.3f} |"
    )


if __name__ == "__main__":
    raise SystemExit(main())
