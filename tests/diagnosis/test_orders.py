"""The order of tests on models whose best order is known, published or by trying every order.

With one fault, and tests that each look at one component, the order of probability over cost is the best of all:
J. B. Kadane and H. A. Simon, "Optimal strategies for a class of constrained sequential problems", Annals of Statistics
5, 1977; J. Kalagnanam and M. Henrion, "A comparison of decision analysis and expert rules for sequential diagnosis",
UAI 4, 1990.
"""

from __future__ import annotations

import sys
from itertools import permutations
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent.parent / "bench"))

from exact import cost_of, optimum
from policies import policies

from diagnose.diagnosis.arrays import Floats
from diagnose.diagnosis.costs import Losses
from diagnose.diagnosis.rollout import Rollout
from diagnose.diagnosis.value import Option, Problem

FORTUNE, REPAIR = 1e9, 0.9999e9
"""Minutes. So close together that nothing is repaired before it was found."""


def one_fault(seed: int, components: int) -> tuple[Problem, Floats, Floats]:
    """One component, or none of them, is at fault; not to know which costs a fortune, and each has to be looked at."""
    random = np.random.default_rng(seed)
    share, minutes = random.dirichlet(np.ones(components + 1)), random.uniform(2, 60, components)
    matrix = np.zeros((components + 1, 2 * components))
    for cause in range(components):
        matrix[cause, 2 * cause] = FORTUNE
        matrix[:, 2 * cause + 1] = REPAIR
    names = tuple(f"c{number}" for number in range(components))
    losses = Losses(matrix, np.arange(0, 2 * components, 2), names, tuple((name,) for name in names))
    rows = np.eye(components + 1)[:components]
    looks = [Option(n, m, np.column_stack((row, 1 - row))) for n, m, row in zip(names, minutes, rows, strict=True)]
    return Problem(share, losses, looks), share[:components], minutes


@pytest.mark.parametrize("seed", range(12))
def test_probability_over_cost_is_the_order_and_nothing_is_cheaper(seed: int) -> None:
    problem, share, minutes = one_fault(seed, 6)
    mass, left, order = problem.mass, tuple(range(6)), []
    while (step := problem.best(mass, 0, left)) is not None:
        order.append(step.option)
        left = problem.without(step.option, left)
        mass = mass * problem.options[step.option].given[:, 1]
    assert order == np.argsort(-share / minutes).tolist()
    found = cost_of(problem, policies(problem, np.eye(7)[:, :6])["ours"])
    by_trying = min(_looking(share, minutes, each) for each in permutations(range(6)))
    assert found - REPAIR * share.sum() == pytest.approx(by_trying, abs=1e-3)
    assert optimum(problem) - REPAIR * share.sum() == pytest.approx(by_trying, abs=1e-3)


def _looking(share: Floats, minutes: Floats, order: tuple[int, ...]) -> float:
    """Minutes of looking until the fault is found, or all have been looked at."""
    left, total = 1.0, 0.0
    for component in order:
        total += left * minutes[component]
        left -= share[component]
    return total


@pytest.mark.parametrize("seed", range(20))
def test_never_below_the_optimum_and_never_far_above(seed: int) -> None:
    """Hard models: every other test needs the car in another state, which takes 90 minutes to go back from."""
    problem = by_chance(seed)
    least = optimum(problem)
    costs = {name: cost_of(problem, rule) for name, rule in policies(problem, np.eye(6)).items()}
    assert all(cost >= least * (1 - 1e-9) for cost in costs.values())
    assert costs["ours"] <= least * 1.15
    assert costs["ours with rollout"] <= least * 1.15


@pytest.mark.parametrize("seed", range(20))
def test_rollout_is_never_worse_than_the_choice_that_it_follows(seed: int) -> None:
    """F. Tu and K. R. Pattipati 2003: one step ahead of a rule is at least as good as the rule, where all is tried."""
    problem = by_chance(seed)
    roll = Rollout(problem, rare=0.0, tried=99, deep=99, most=np.inf)

    def simple(mass: Floats, state: int, left: tuple[int, ...], past: object) -> int | None:
        step = problem.best(mass, state, left)
        return None if step is None else step.option

    def rolled(mass: Floats, state: int, left: tuple[int, ...], past: frozenset[tuple[int, int]]) -> int | None:
        step = roll.best(mass, state, left, past)
        return None if step is None else step.option

    assert cost_of(problem, rolled) <= cost_of(problem, simple) * (1 + 1e-9)


def by_chance(seed: int) -> Problem:
    """Six causes with repairs of their own, six tests, two states of the car, one test that spoils another."""
    random = np.random.default_rng([7, seed])
    causes = 6
    matrix = np.zeros((causes, 2 * causes))
    repair = random.uniform(20, 400, causes)
    for cause in range(causes):
        matrix[cause, 2 * cause] = repair[cause] * random.uniform(1.2, 4)
        matrix[:, 2 * cause + 1] = repair[cause]
    names = tuple(f"c{number}" for number in range(causes))
    losses = Losses(matrix, np.arange(0, 2 * causes, 2), names, tuple((name,) for name in names))
    options = []
    for number in range(6):
        shows = random.choice([0.03, 0.15, 0.55, 0.75, 0.92], causes)
        warm = number % 2
        access = (20.0 * warm, 90.0 * (1 - warm))
        spoils = frozenset({"t0"}) if number == 5 else frozenset()
        given = np.column_stack((shows, 1 - shows))
        options.append(Option(f"t{number}", random.uniform(2, 20), given, access, (warm, warm), spoils))
    return Problem(random.dirichlet(np.ones(causes)), losses, options)


def test_costs_of_nothing_and_no_tests_at_all() -> None:
    losses = Losses(np.zeros((2, 2)), np.array([0]), ("c",), (("c",),))
    free = Problem(np.array([0.5, 0.5]), losses, [Option("t", 0.0, np.eye(2))])
    assert free.best(free.mass, 0) is None
    assert Problem(np.array([0.5, 0.5]), losses, []).best(free.mass, 0) is None
    assert Rollout(free).best(free.mass) is None
