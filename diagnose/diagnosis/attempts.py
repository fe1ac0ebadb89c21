"""A repair as an experiment: it is done, the car is looked at again, and the rest of the car is as it was before.

J. S. Breese and D. Heckerman, "Decision-theoretic troubleshooting: a framework for repair and experiment", UAI 1996. Of
several repairs the one that most probably cures for each minute comes first, which is the best of all orders where one
cause is present and nothing but repairs can be tried (J. B. Kadane and H. A. Simon, Annals of Statistics 5, 1977;
J. Kalagnanam and M. Henrion, UAI 4, 1990).
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from diagnose.diagnosis.arrays import Flags, Floats, steady
from diagnose.diagnosis.costs import Losses
from diagnose.diagnosis.value import Problem, Step


class Attempt(NamedTuple):
    """A repair that may be tried: `repair` is its place among the losses, `minutes` include the second look.

    `rivals` are the repairs whose causes would show in that look too, as long as they are not done.
    """

    repair: int
    minutes: float
    rivals: frozenset[int]


@dataclass(frozen=True)  # no slots: what is left after each repair is worked out once
class Mending:
    """What may be tried on one problem. `held` tells for each repair in which hypotheses one of its causes is present;
    `never` the hypotheses in which no repair ends the complaint, such as a cause that is not in the book."""

    problem: Problem
    attempts: tuple[Attempt, ...]
    held: Mapping[int, Flags]
    never: Flags

    def cured(self, attempt: Attempt) -> Flags:
        """The hypotheses in which nothing is seen any more after this repair."""
        left = self.never.copy()
        for rival in attempt.rivals - {attempt.repair}:
            left |= self.held[rival]
        return ~left

    def without(self, attempt: Attempt) -> Mending:
        """What is left to be tried once a repair is done."""
        if attempt not in self._then:
            others = (each for each in self.attempts if each is not attempt)
            rest = tuple(each._replace(rivals=each.rivals - {attempt.repair}) for each in others)
            problem = copy(self.problem)
            problem.losses = mended(problem.losses, attempt.repair)
            self._then[attempt] = Mending(problem, rest, self.held, self.never)
        return self._then[attempt]

    @cached_property
    def _then(self) -> dict[Attempt, Mending]:
        return {}

    def first(self, mass: Floats) -> Attempt | None:
        """The repair that most probably cures for each minute."""
        return max(
            self.attempts, key=lambda each: steady(float(mass[self.cured(each)].sum()) / each.minutes), default=None
        )

    def after(self, attempt: Attempt, mass: Floats, state: int, left: tuple[int, ...]) -> float:
        """What it costs, in minutes times the weight of `mass`, to try this repair and to go on as best seems."""
        cured, then = self.cured(attempt), self.without(attempt)
        cost = attempt.minutes * float(mass.sum()) + then.problem.losses.of(np.where(cured, mass, 0.0))
        return cost + then.least(np.where(cured, 0.0, mass), state, left)

    def least(self, mass: Floats, state: int, left: tuple[int, ...]) -> float:
        """The least of stopping, of one more test, and of repairs in turn."""
        if not mass.any():
            return 0.0
        stop, attempt = self.problem.losses.of(mass), self.first(mass)
        spared = max((s.saves - s.costs for s in self.problem.steps(mass, state, left)), default=0.0)
        found = stop - max(spared, 0.0) * float(mass.sum())
        if attempt is None or self._at_least(attempt, mass) >= found:
            return found
        return min(found, self.after(attempt, mass, state, left))

    def tested(self, step: Step, mass: Floats, state: int, left: tuple[int, ...]) -> float:
        """The same for a test before anything is repaired."""
        option, rest = self.problem.options[step.option], self.problem.without(step.option, left)
        cost = step.costs * float(mass.sum())
        return cost + sum(self.least(row, option.leads[state], rest) for row in self.problem.answers(step.option, mass))

    def chosen(
        self, mass: Floats, state: int, left: tuple[int, ...], first: Step | None
    ) -> tuple[Attempt, float] | None:
        """The repair to try before the test `first`, or before stopping, and its cost; None where it is not better."""
        attempt = self.first(mass)
        if attempt is None:
            return None
        most = self.problem.losses.of(mass)
        if first is not None:
            most -= max(0.0, first.saves - first.costs) * float(mass.sum())
        if self._at_least(attempt, mass) >= most:
            return None  # nearly always, and quickly seen
        cost = self.after(attempt, mass, state, left)
        if steady(cost) >= steady(most):
            return None
        if first is not None and steady(cost) >= steady(self.tested(first, mass, state, left)):
            return None
        return attempt, cost

    def _at_least(self, attempt: Attempt, mass: Floats) -> float:
        """No more than after(): as if everything were known where the repair does not cure."""
        losses, cured = self.problem.losses, self.cured(attempt)
        known = np.minimum.reduceat(losses.matrix, losses.starts, axis=1)
        after = np.minimum.reduceat(np.where(cured, mass, 0.0) @ losses.matrix, losses.starts)
        after += np.where(cured, 0.0, mass) @ known
        return attempt.minutes * float(mass.sum()) + float(after.sum() - after[attempt.repair])


def mended(losses: Losses, repair: int) -> Losses:
    """The losses once a repair is done."""
    ends = [*losses.starts.tolist()[1:], losses.matrix.shape[1]]
    matrix = losses.matrix.copy()
    matrix[:, losses.starts[repair] : ends[repair]] = 0.0
    return losses._replace(matrix=matrix)
