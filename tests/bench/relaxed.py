"""A lower bound for problems too large to be solved: some answers are given away, the other tests are kept.

Whoever is told the answers of some tests before the work begins, free of charge, can do whatever any choice of tests
can do, at the same cost (D. B. Brown, J. E. Smith and P. Sun, "Information relaxations and duality in stochastic
dynamic programs", Operations Research 58, 2010). So the optimum of what is left, averaged over the answers given away,
is no more than what any choice of tests costs. A test that was given away may still be done, at its own cost, because
it leaves the car in another state; that it can be done once only, and spoils others, is let go.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from math import prod

import numpy as np
from exact import optimum

from diagnose.diagnosis.arrays import Floats, Indexes
from diagnose.diagnosis.costs import Losses
from diagnose.diagnosis.value import Option, Problem

LIGHT = 1e-3
"""The lightest hypotheses, with this share together, are left out: nothing costs less than nothing, the bound holds."""


def moves(problem: Problem, given_away: Sequence[int]) -> Floats:
    """The least minutes from each state of the car to each other, by tests that were given away."""
    states = len(problem.options[0].access)
    least = np.full((states, states), np.inf)
    np.fill_diagonal(least, 0.0)
    for number in given_away:
        option = problem.options[number]
        for state in range(states):
            least[state, option.leads[state]] = min(least[state, option.leads[state]], option.costs(state))
    for by in range(states):
        least = np.minimum(least, least[:, by, None] + least[None, by])
    return least


def rest(
    problem: Problem, kept: Sequence[int], answers: dict[int, int], least: Floats, light: float = LIGHT
) -> tuple[float, float]:
    """P(these answers of the tests that are given away), and the optimum of the kept ones once they are known."""
    mass = problem.mass.copy()
    for number, answer in answers.items():
        mass *= problem.options[number].given[:, answer]
    weight = float(mass.sum())
    if weight <= 0:
        return 0.0, 0.0
    mass /= weight
    order = np.argsort(mass)
    heavy = np.sort(order[np.cumsum(mass[order]) > light])
    losses = _narrowed(problem.losses, heavy)
    names = {problem.options[number].name for number in kept}
    options = [_fewer(problem.options[number], heavy, names) for number in kept]
    return weight, optimum(Problem(mass[heavy], losses, options), least)


def _narrowed(losses: Losses, heavy: Indexes) -> Losses:
    if isinstance(losses, Losses):
        return losses._replace(matrix=losses.matrix[heavy])
    return replace(losses, minutes=losses.minutes[heavy])  # repairs tried in turn, see bench_choice.py


def _fewer(option: Option, heavy: Indexes, names: set[str]) -> Option:
    """The same test on fewer hypotheses; answers that tell the same of all of them are one answer."""
    given = option.given[heavy]
    given = given[:, given.max(axis=0) > 0]
    _, group = np.unique((given / given.sum(axis=0)).round(12), axis=1, return_inverse=True)
    joined = np.zeros((len(heavy), int(group.max()) + 1))
    np.add.at(joined.T, group.ravel(), given.T)
    return Option(option.name, option.minutes, joined, option.access, option.leads, option.spoils & names)


def exact_bound(problem: Problem, kept: Sequence[int], light: float = LIGHT) -> float:
    """The bound with every combination of answers that are given away gone through: for small problems."""
    away = [number for number in range(len(problem.options)) if number not in set(kept)]
    least, total = moves(problem, away), 0.0
    for answers in product(*(range(problem.options[number].given.shape[1]) for number in away)):
        weight, cost = rest(problem, kept, dict(zip(away, answers, strict=True)), least, light)
        total += weight * cost
    return total


def keepable(problem: Problem, order: Sequence[int], states: int) -> list[int]:
    """Of the tests in this order, as many as leave no more than so many states of knowledge to be gone through."""
    kept: list[int] = []
    for number in order:
        sizes = [problem.options[n].given.shape[1] + 1 for n in (*kept, number)]
        if prod(sizes) <= states:
            kept.append(number)
    return kept
