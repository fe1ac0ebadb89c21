"""The cheapest of all orders of tests, by backward induction over everything that may be known, and what a rule costs.

A state holds, for each test, its answer or that it was not done, and where the car stands. Weights are not scaled, so
that the costs of the branches just add up.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import numpy as np

from diagnose.diagnosis.arrays import Floats
from diagnose.diagnosis.value import Problem

CHUNK = 20_000

Policy = Callable[[Floats, int, tuple[int, ...], frozenset[tuple[int, int]]], int | None]
"""From the weights, the car's state, the tests left and what was done so far: the next test, or None to stop."""


def optimum(problem: Problem, moves: Floats | None = None) -> float:
    """The expected minutes of the best order. Memory: states x causes in chunks.

    `moves` are minutes for which the car can be brought from each of its states to each other besides.
    """
    options = problem.options
    shape = tuple(option.given.shape[1] + 1 for option in options)
    weight, stop = np.empty(int(np.prod(shape))), np.empty(int(np.prod(shape)))
    factors = [np.vstack((option.given.T, np.ones(len(problem.mass)))) for option in options]
    cells = np.array(list(product(*(range(n) for n in shape))), dtype=np.intp).reshape(-1, len(shape))
    for start in range(0, len(cells), CHUNK):
        rows = np.tile(problem.mass, (len(cells[start : start + CHUNK]), 1))
        for number, factor in enumerate(factors):
            rows *= factor[cells[start : start + CHUNK, number]]
        weight[start : start + CHUNK] = rows.sum(axis=1)
        stop[start : start + CHUNK] = problem.losses.best(rows)
    weight, stop = weight.reshape(shape), stop.reshape(shape)
    states = len(options[0].access) if options else 1
    best = [stop.copy() for _ in range(states)]
    undone = [tuple(slice(-1, None) if n == t else slice(None) for n in range(len(shape))) for t in range(len(shape))]
    answers = [tuple(slice(0, -1) if n == t else slice(None) for n in range(len(shape))) for t in range(len(shape))]
    able = [np.ones(shape, dtype=np.bool_) for _ in options]
    for done, option in enumerate(options):
        for number, later in enumerate(options):
            if later.name in option.spoils:
                able[number][answers[done]] = False
    for _ in options:
        for state in range(states):
            for number, option in enumerate(options):
                cost = option.costs(state)
                if not np.isfinite(cost):
                    continue
                after = best[option.leads[state]][answers[number]].sum(axis=number, keepdims=True)
                there = cost * weight[undone[number]] + after
                there = np.where(able[number][undone[number]], there, np.inf)
                best[state][undone[number]] = np.minimum(best[state][undone[number]], there)
        for state, other in product(range(states), repeat=2) if moves is not None else ():
            if other != state and np.isfinite(moves[state, other]):
                best[state] = np.minimum(best[state], moves[state, other] * weight + best[other])
    return float(best[0][tuple(-1 for _ in shape)])


def cost_of(problem: Problem, policy: Policy) -> float:
    """The expected minutes of a policy, every branch followed."""

    def follow(mass: Floats, state: int, left: tuple[int, ...], past: frozenset[tuple[int, int]]) -> float:
        option = policy(mass, state, left, past) if left and mass.sum() > 0 else None
        if option is None:
            return problem.losses.of(mass)
        chosen = problem.options[option]
        cost = chosen.costs(state) * float(mass.sum())
        rest = problem.without(option, left)
        for number, row in enumerate(problem.answers(option, mass)):
            cost += follow(row, chosen.leads[state], rest, past | {(option, number)})
        return cost

    return follow(problem.mass, 0, tuple(range(len(problem.options))), frozenset())
