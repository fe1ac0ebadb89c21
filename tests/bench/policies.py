"""Rules for choosing the next test that ours is set beside."""

from __future__ import annotations

import numpy as np
from exact import Policy

from diagnose.diagnosis.arrays import Floats
from diagnose.diagnosis.rollout import Rollout
from diagnose.diagnosis.value import Problem

SURE = 0.95


def policies(problem: Problem, sorts: Floats) -> dict[str, Policy]:
    """By name. `sorts` has a row for each hypothesis and a column for each cause: 1 where it is present."""
    roll = Rollout(problem, rare=0.0, deep=99, most=np.inf)

    def sure(mass: Floats) -> bool:
        total = mass.sum()
        return bool(((mass @ sorts) / total >= SURE).any())

    def fixed(mass: Floats, state: int, left: tuple[int, ...], past: object) -> int | None:
        able = [n for n in left if np.isfinite(problem.options[n].costs(state))]
        return None if sure(mass) or not able else able[0]

    def everything(mass: Floats, state: int, left: tuple[int, ...], past: object) -> int | None:
        able = [n for n in left if np.isfinite(problem.options[n].costs(state))]
        return min(able, key=lambda n: problem.options[n].costs(state)) if able else None

    def until_sure(mass: Floats, state: int, left: tuple[int, ...], past: object) -> int | None:
        able = [n for n in left if np.isfinite(problem.options[n].costs(state))]
        if sure(mass) or not able:
            return None
        rates = {n: _bits(problem, n, mass) / problem.options[n].costs(state) for n in able}
        best = max(rates, key=lambda n: rates[n])
        return best if rates[best] > 1e-9 else None

    def one_step(mass: Floats, state: int, left: tuple[int, ...], past: object) -> int | None:
        steps = problem.steps(mass, state, left)
        best = max(steps, key=lambda step: step.saves - step.costs, default=None)
        return best.option if best is not None and best.pays else None

    def ours(mass: Floats, state: int, left: tuple[int, ...], past: object) -> int | None:
        step = problem.chosen(mass, state, left)
        return None if step is None else step.option

    def rolled(mass: Floats, state: int, left: tuple[int, ...], past: frozenset[tuple[int, int]]) -> int | None:
        step = roll.best(mass, state, left, past)
        return None if step is None else step.option

    return {
        "fixed textbook order, until 95 % sure": fixed,
        "all tests first": everything,
        "most bits a minute, until 95 % sure": until_sure,
        "one step": one_step,
        "ours": ours,
        "ours with rollout": rolled,
    }


def _bits(problem: Problem, option: int, mass: Floats) -> float:
    joint = problem.answers(option, mass / mass.sum())
    return _entropy(joint.sum(axis=0)) + _entropy(joint.sum(axis=1)) - _entropy(joint)


def _entropy(shares: Floats) -> float:
    kept = shares[shares > 1e-300]
    return float(-(kept * np.log2(kept)).sum())
