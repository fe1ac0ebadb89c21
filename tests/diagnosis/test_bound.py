"""The bound for problems that can't be solved: never above the exact optimum where that is known."""

from __future__ import annotations

import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent.parent / "bench"))

from exact import cost_of, optimum
from policies import policies
from relaxed import exact_bound, keepable, moves
from test_orders import by_chance

from diagnose.diagnosis.costs import Losses
from diagnose.diagnosis.value import Option, Problem


@pytest.mark.parametrize("seed", range(8))
def test_never_above_the_optimum_and_higher_the_more_tests_are_kept(seed: int) -> None:
    """Two states of the car, and a test that spoils another."""
    problem = by_chance(seed)
    least = optimum(problem)
    order = list(np.random.default_rng(seed).permutation(6))
    bounds = [exact_bound(problem, order[:many], light=0.0) for many in range(1, 7)]
    assert all(less <= more * (1 + 1e-9) for less, more in pairwise(bounds))
    assert bounds[-1] == pytest.approx(least, rel=1e-9)
    known = float(problem.mass @ np.minimum.reduceat(problem.losses.matrix, problem.losses.starts, axis=1).sum(axis=1))
    assert known <= bounds[0] <= least * (1 + 1e-9)
    assert bounds[0] <= cost_of(problem, policies(problem, np.eye(6))["ours"])


def test_leaving_out_light_hypotheses_lowers_the_bound() -> None:
    problem = by_chance(0)
    kept = [0, 1, 2, 3]
    assert exact_bound(problem, kept, light=0.2) <= exact_bound(problem, kept, light=0.0) * (1 + 1e-9)


def two_states() -> Problem:
    """A sure test that needs a warm engine, which takes 100 minutes by itself; another test warms it up in one."""
    losses = Losses(np.array([[300.0, 200.0], [0.0, 200.0]]), np.array([0]), ("c",), (("c",),))
    sure = Option("sure", 5.0, np.eye(2), (100.0, 0.0), (1, 1))
    run = Option("run", 1.0, np.array([[0.6, 0.4], [0.5, 0.5]]), (0.0, 0.0), (1, 1))
    return Problem(np.array([0.5, 0.5]), losses, [sure, run])


def test_what_is_given_away_may_still_be_done_to_bring_the_car_where_it_is_wanted() -> None:
    problem = two_states()
    assert optimum(problem) == pytest.approx(1 + 5 + 100)
    assert moves(problem, [1])[0, 1] == 1
    assert exact_bound(problem, [0], light=0.0) == pytest.approx(106)
    # without those ways the bound would be no bound: what is left would cost 150, by repairs alone
    assert optimum(Problem(problem.mass, problem.losses, problem.options[:1])) > 106


def test_no_more_tests_are_kept_than_there_is_room_for() -> None:
    problem = by_chance(0)
    assert keepable(problem, [3, 1, 4, 0], 27) == [3, 1, 4]
    assert keepable(problem, [3, 1, 4, 0], 26) == [3, 1]
