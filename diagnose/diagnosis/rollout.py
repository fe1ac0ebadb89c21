"""One step ahead, then the simple choice to the end: a better first test than the simple choice alone gives.

F. Tu and K. R. Pattipati, "Rollout strategies for sequential fault diagnosis", IEEE Trans. SMC-A 33, 2003.
"""

from __future__ import annotations

from diagnose.diagnosis.arrays import Floats, steady
from diagnose.diagnosis.value import Problem, Step

TRIED = 6
"""So many tests are followed to the end, the best ones by the simple choice first."""
RARE = 2e-3
"""A branch less probable than this is not followed; what stopping there costs is taken."""
MOST = 500
"""So many states are looked at; then what stopping costs is taken, so that a choice takes no longer than a blink."""
DEEP = 8
"""So many tests in a row are followed."""


class Rollout:
    """Remembers what the simple choice costs from each state that was reached, so that one problem is walked once."""

    def __init__(
        self, problem: Problem, rare: float = RARE, tried: int = TRIED, deep: int = DEEP, most: float = MOST
    ) -> None:
        self.problem = problem
        self._rare = rare
        self._tried = tried
        self._deep = deep
        self._most = most
        self._known: dict[tuple[int, frozenset[tuple[int, int]]], float] = {}
        self._all = tuple(range(len(problem.options)))

    def best(
        self,
        mass: Floats,
        state: int = 0,
        left: tuple[int, ...] | None = None,
        past: frozenset[tuple[int, int]] = frozenset(),
    ) -> Step | None:
        """The test after which the simple choice ends cheapest; None where stopping at once is cheaper still."""
        left = self._all if left is None else left
        steps = [step for step in self.problem.steps(mass, state, left) if step.saves > 0]
        steps.sort(key=lambda step: -steady(step.rate))
        found, least = None, self.problem.losses.of(mass)
        for step in steps[: self._tried]:
            cost = self.after(step.option, mass, state, left, past)
            if steady(cost) < steady(least):
                found, least = step, cost
        return found

    def after(
        self, option: int, mass: Floats, state: int, left: tuple[int, ...], past: frozenset[tuple[int, int]]
    ) -> float:
        """What it costs, in minutes times the weight of `mass`, to do this test first and go on simply."""
        chosen = self.problem.options[option]
        rest = self.problem.without(option, left)
        cost = chosen.costs(state) * float(mass.sum())
        for number, row in enumerate(self.problem.answers(option, mass)):
            cost += self.simply(row, chosen.leads[state], rest, past | {(option, number)})
        return cost

    def simply(self, mass: Floats, state: int, left: tuple[int, ...], past: frozenset[tuple[int, int]]) -> float:
        """What the simple choice costs from here to the end."""
        over = len(self._known) >= self._most
        if over or not left or float(mass.sum()) < self._rare or len(past) >= self._deep:
            return self.problem.losses.of(mass)
        key = (state, past)
        if key not in self._known:
            step = self.problem.best(mass, state, left)
            self._known[key] = (
                self.problem.losses.of(mass) if step is None else self.after(step.option, mass, state, left, past)
            )
        return self._known[key]
