"""What testing saves: tests, what they cost from where the car stands, and what their answers spare afterwards.

`Problem` holds no rulebook: it is the decision itself, so that the same choice runs on a case, on a model made by
chance, and beside an exact optimum.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from diagnose.diagnosis.arrays import Floats, Indexes, steady
from diagnose.diagnosis.costs import Losses

PAIRED = 3
"""For so many options a second one is looked for, where none pays by itself."""
SELDOM = 0.03
"""After an answer less probable than this no second option is looked for."""
LEAST_MINUTES = 1.0
"""Even a glance costs this much; so nothing is divided by zero."""


class Option(NamedTuple):
    """A test that may be done.

    `given` is P(answer | hypothesis): a row for each hypothesis (the last one for a cause not in the book), a column
    for each answer. `minutes` are hands on and waiting; `access` are the minutes to bring the car from each of the
    problem's states to where the test can begin (infinite where it can't), `leads` the state it leaves for each.
    `spoils` names other options that can't be done afterwards.
    """

    name: str
    minutes: float
    given: Floats
    access: tuple[float, ...] = (0.0,)
    leads: tuple[int, ...] = (0,)
    spoils: frozenset[str] = frozenset()

    def costs(self, state: int) -> float:
        """Minutes from this state until the answer is there."""
        return max(self.minutes + self.access[state], LEAST_MINUTES)


class Step(NamedTuple):
    """A test as it stands now: `saves` is what its answers spare on average, `costs` what it takes, in minutes."""

    option: int
    saves: float
    costs: float

    @property
    def pays(self) -> bool:
        return self.saves > self.costs

    @property
    def rate(self) -> float:
        """Minutes saved in a minute."""
        return self.saves / self.costs


class Problem:
    """A belief (`mass`, sums to 1), what stopping costs, and the tests that are left."""

    def __init__(self, mass: Floats, losses: Losses, options: Sequence[Option]) -> None:
        self.mass = mass
        self.losses = losses
        self.options = tuple(options)
        self.index = {option.name: number for number, option in enumerate(self.options)}
        self._all = tuple(range(len(self.options)))
        given = [option.given.T for option in self.options] or [np.empty((0, len(mass)))]
        self._stacked: Floats = np.ascontiguousarray(np.concatenate(given))
        """The answers of all options, a row each; `_starts` tells where each option begins."""
        self._starts: Indexes = np.cumsum([0, *(len(each) for each in given[:-1])])

    def steps(self, mass: Floats, state: int, left: tuple[int, ...] | None = None) -> list[Step]:
        """Each option that can be done from this state, with what it saves; `mass` need not sum to 1."""
        left = self._all if left is None else left
        if not left:
            return []
        total = float(mass.sum())
        now = self.losses.of(mass)
        after = np.add.reduceat(self.losses.best(self._stacked * mass), self._starts).tolist()
        found = []
        for option in left:
            costs = self.options[option].costs(state)
            if costs < np.inf:
                found.append(Step(option, max(0.0, steady((now - after[option]) / total)), costs))
        return found

    def best(self, mass: Floats, state: int, left: tuple[int, ...] | None = None) -> Step | None:
        """The option that saves most in a minute among those that pay; None where it is time to stop."""
        paying = [step for step in self.steps(mass, state, left) if step.pays]
        charged = [self.charged(step, paying, state) for step in paying]
        return max(
            (step for step in charged if step.pays),
            key=lambda step: steady(step.rate),
            default=max(paying, key=lambda step: steady(step.saves - step.costs), default=None),
        )

    def chosen(self, mass: Floats, state: int, left: tuple[int, ...] | None = None) -> Step | None:
        """Like best(), but where no option pays by itself, two that pay together are looked for."""
        left = self._all if left is None else left
        step = self.best(mass, state, left)
        if step is not None:
            return step
        now, found = self.losses.of(mass), None
        able = [each for each in self.steps(mass, state, left) if each.saves > 0]
        for first in sorted(able, key=lambda each: -steady(each.rate))[:PAIRED]:
            cost = self._with_second(first, mass, state, left)
            if steady(cost) < steady(now):
                now, found = cost, first
        return found

    def _with_second(self, first: Step, mass: Floats, state: int, left: tuple[int, ...]) -> float:
        """What it costs to do this option, then at most one more, whichever is best after the answer."""
        option = self.options[first.option]
        rest = self.without(first.option, left)
        total = float(mass.sum())
        cost = first.costs * total
        for row in self.answers(first.option, mass):
            spared = 0.0
            if float(row.sum()) >= SELDOM * total:
                spared = max((s.saves - s.costs for s in self.steps(row, option.leads[state], rest)), default=0.0)
            cost += self.losses.of(row) - max(spared, 0.0) * float(row.sum())
        return cost

    def charged(self, step: Step, others: Sequence[Step], state: int) -> Step:
        """The same test with what it takes from the others: spoiled readings, a way back that gets longer."""
        option = self.options[step.option]
        then = option.leads[state]
        charge = 0.0
        for other in others:
            if other.option == step.option or not other.pays:
                continue
            later = self.options[other.option]
            longer = np.inf if later.name in option.spoils else later.costs(then) - other.costs
            charge = max(charge, min(longer, other.saves - other.costs))
        return Step(step.option, step.saves, step.costs + charge)

    def without(self, option: int, left: tuple[int, ...]) -> tuple[int, ...]:
        """What is left to be done after an option."""
        spoils = self.options[option].spoils
        return tuple(n for n in left if n != option and self.options[n].name not in spoils)

    def answers(self, option: int, mass: Floats) -> Floats:
        """The belief and the weight of each answer: a row for each answer."""
        rows: Floats = self.options[option].given.T * mass
        return rows
