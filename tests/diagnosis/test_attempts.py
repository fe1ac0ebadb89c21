"""'Try this repair and look again' as one more experiment."""

from __future__ import annotations

import sys
from itertools import permutations
from pathlib import Path

import by_hand
import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent.parent / "bench"))

from bench_repair import by_chance, by_tests_alone, ours
from mixed import Mixed

from diagnose.case.from_yaml import read_case
from diagnose.diagnosis.arrays import Floats
from diagnose.diagnosis.attempts import Attempt, Mending
from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.costs import Losses
from diagnose.diagnosis.from_firings import diagnose
from diagnose.diagnosis.model import Diagnosis
from diagnose.diagnosis.value import Option, Problem
from diagnose.pipeline import Bench

TOP = Path(__file__).parent.parent.parent
FORTUNE = 1e9


def one_cause(share: Floats, minutes: Floats, harm: float = FORTUNE) -> Mending:
    """One of several causes is present, nothing but repairs can be tried, and to leave one in costs `harm`."""
    many = len(share)
    matrix = np.zeros((many, 2 * many))
    matrix[:, ::2], matrix[:, 1::2] = np.eye(many) * harm, minutes
    names = tuple(f"c{n}" for n in range(many))
    losses = Losses(matrix, np.arange(0, 2 * many, 2), names, tuple((n,) for n in names))
    every = frozenset(range(many))
    attempts = tuple(Attempt(n, float(minutes[n]), every - {n}) for n in range(many))
    held = {n: np.arange(many) == n for n in range(many)}
    return Mending(Problem(share, losses, []), attempts, held, np.zeros(many, dtype=np.bool_))


@pytest.mark.parametrize("seed", range(20))
def test_with_one_cause_and_nothing_but_repairs_the_order_is_probability_over_cost(seed: int) -> None:
    """J. B. Kadane and H. A. Simon, Annals of Statistics 5, 1977; J. Kalagnanam and M. Henrion, UAI 4, 1990."""
    random = np.random.default_rng([13, seed])
    share, minutes = random.dirichlet(np.ones(6)), random.uniform(5, 300, 6)
    mending, mass, order = one_cause(share, minutes), share.copy(), []
    while (attempt := mending.first(mass)) is not None:
        order.append(attempt.repair)
        mass = np.where(mending.cured(attempt), 0.0, mass)
        mending = mending.without(attempt)
    assert order == np.argsort(-share / minutes).tolist()
    by_trying = min(_in_turn(share, minutes, each) for each in permutations(range(6)))
    assert one_cause(share, minutes).least(share, 0, ()) == pytest.approx(by_trying, rel=1e-9)
    found = one_cause(share, minutes).chosen(share, 0, (), None)
    assert found is not None
    assert (found[0].repair, found[1]) == (order[0], pytest.approx(by_trying, rel=1e-9))


def _in_turn(share: Floats, minutes: Floats, order: tuple[int, ...]) -> float:
    """Minutes until it is cured, where each repair is looked at before the next."""
    left, total = 1.0, 0.0
    for repair in order:
        total += left * minutes[repair]
        left -= share[repair]
    return total


def test_a_repair_that_costs_more_than_the_car_that_comes_back_is_not_tried() -> None:
    mending = one_cause(np.array([0.5, 0.5]), np.array([100.0, 100.0]), harm=50.0)
    assert mending.chosen(mending.problem.mass, 0, (), None) is None


def test_the_rest_of_the_car_stays_as_it_was() -> None:
    """Both causes are surely present: the look after one repair shows the other, so trying it tells nothing."""
    mending = one_cause(np.array([0.5, 0.5]), np.array([100.0, 100.0]))
    both = {0: np.array([True, True]), 1: np.array([True, True])}
    matrix = np.array([[FORTUNE, 115.0, FORTUNE, 115.0]] * 2)
    losses = Losses(matrix, np.array([0, 2]), ("c0", "c1"), (("c0",), ("c1",)))
    mending = Mending(Problem(np.array([0.5, 0.5]), losses, []), mending.attempts, both, mending.never)
    assert not mending.cured(mending.attempts[0]).any()
    done = mending.without(mending.attempts[0])
    assert done.cured(done.attempts[0]).all()
    assert done.problem.losses.of(np.array([0.5, 0.5])) == pytest.approx(115)


def test_what_no_repair_ends_is_never_seen_as_cured() -> None:
    mending = one_cause(np.array([0.5, 0.5]), np.array([10.0, 10.0]))
    unknown = Mending(mending.problem, mending.attempts, mending.held, np.array([False, True]))
    assert unknown.cured(unknown.attempts[0]).tolist() == [True, False]
    assert unknown.cured(unknown.attempts[1]).tolist() == [False, False]


@pytest.mark.parametrize(("causes", "both"), [(4, False), (3, True)])
@pytest.mark.parametrize("seed", range(4))
def test_never_below_the_best_of_all_orders_and_better_than_tests_alone(seed: int, causes: int, both: bool) -> None:
    model = by_chance(100 + seed, causes, 2, both)
    mixed = Mixed(model.mending, model.sorts, model.cures)
    least = mixed.optimum()
    assert least * (1 - 1e-9) <= mixed.cost_of(ours) <= least * 1.15
    assert mixed.cost_of(ours) <= mixed.cost_of(by_tests_alone) * (1 + 1e-9)


def test_a_sure_test_comes_first_where_it_is_cheap_and_the_repair_where_it_is_dear() -> None:
    share, minutes = np.array([0.7, 0.3]), np.array([20.0, 200.0])
    for cost, tried in ((2.0, False), (100.0, True)):
        plain = one_cause(share, minutes)
        sure = Option("sure", cost, np.eye(2))
        problem = Problem(share, plain.problem.losses, [sure])
        mending = Mending(problem, plain.attempts, plain.held, plain.never)
        first = problem.chosen(share, 0)
        assert first is not None
        assert (mending.chosen(share, 0, (0,), first) is not None) == tried


def overheats(repair: float, minutes: float, dismantling: float = 0.0) -> Diagnosis:
    """A thermostat or a pump, told apart by a test of so many minutes."""
    measured = [
        by_hand.quantity("heat", {"hot": 0.005, "good": 0}),
        by_hand.quantity("flow", {"none": 0.005, "good": 0}),
    ]
    causes = [
        by_hand.cause("thermostat", 0.2, repair=repair, comes_back=900, dismantling=dismantling),
        by_hand.cause("pump", 0.03, repair=300, comes_back=900),
    ]
    rules = [
        by_hand.rule("H", {"heat": "hot"}, {"thermostat": 0.75, "pump": 0.75}),
        by_hand.rule("F", {"flow": "none"}, {"pump": 0.92}),
    ]
    book = by_hand.book(measured, causes, rules, [by_hand.a_test("flow", {"flow": "eye"}, minutes=minutes)])
    return diagnose(by_hand.firings(book, {"heat": [("eye", {"hot": 1.0})]}, fired=["H"]), Belief(book))


def test_a_work_up_names_the_repair_that_is_quicker_tried() -> None:
    found = overheats(repair=20, minutes=60).repair_first
    assert found is not None
    assert (found.cause.id, found.minutes) == ("thermostat", 35)
    assert found.saves > found.minutes
    assert overheats(repair=20, minutes=2).repair_first is None
    assert overheats(repair=80, minutes=60, dismantling=70).repair_first is None


def test_in_no_case_is_much_taken_apart_to_try() -> None:
    bench = Bench(TOP / "rulebooks" / "passenger-car", "plain")
    found = bench.diagnosis(read_case(TOP / "cases" / "mixed-fill-and-a-tired-cap.yaml")).repair_first
    assert found is not None
    assert found.cause.id == "weak_cap"
    for path in sorted((TOP / "cases").glob("*.yaml")):
        repair = bench.diagnosis(read_case(path)).repair_first
        assert repair is None or repair.cause.repair.dismantling <= 60
