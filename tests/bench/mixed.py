"""Tests and repairs in any order, every repair followed by a second look: the cheapest of all orders, and what a rule
costs.

A repair that was tried changes what later tests show, and nothing else (J. S. Breese and D. Heckerman 1996). A state
holds, for each test, its answer and what was repaired before it, or that it was not done; what is repaired; and where
the car stands. The look tells whether anything is left that shows in it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from diagnose.diagnosis.arrays import Floats, Indexes
from diagnose.diagnosis.attempts import Attempt, Mending
from diagnose.diagnosis.value import Option, Problem

Done = tuple[tuple[int, frozenset[int]] | None, ...]
Move = tuple[str, int] | None
"""('test', number), ('repair', number among the attempts of the whole model), or None to stop."""


@dataclass(frozen=True, slots=True)
class At:
    """What a rule sees: the weights, the model with what is repaired taken out, the car's state and the tests left."""

    mending: Mending
    mass: Floats
    state: int
    left: tuple[int, ...]


Rule = Callable[[At], Move]


class Mixed:
    """`sorts` has a row for each hypothesis and a column for each cause: 1 where it is present. `cures` tells which of
    the causes each repair takes away."""

    def __init__(self, mending: Mending, sorts: Floats, cures: Mapping[int, Sequence[int]]) -> None:
        self.whole = mending
        self.start = mending.problem
        rows = {row.tobytes(): number for number, row in reversed(list(enumerate(sorts > 0)))}
        self._alone = bool((sorts.sum(axis=1) <= 1).all())
        """One cause at most: a repair that did not cure changed nothing in the car."""
        self._rows, self._sorts, self._cures = rows, sorts > 0, cures
        self._less: dict[frozenset[int], Indexes] = {}
        self._then: dict[frozenset[int], Mending] = {frozenset(): mending}
        self._seen: dict[tuple[Done, frozenset[int]], Floats] = {}

    def optimum(self) -> float:
        return self._walk(None)

    def cost_of(self, rule: Rule) -> float:
        return self._walk(rule)

    def _walk(self, rule: Rule | None) -> float:
        known: dict[tuple[Done, frozenset[int], int], float] = {}
        moves = self._moves()

        def value(done: Done, repaired: frozenset[int], state: int) -> float:
            key = (done, repaired, state)
            if key not in known:
                known[key] = reckoned(done, repaired, state)
            return known[key]

        def reckoned(done: Done, repaired: frozenset[int], state: int) -> float:
            mass = self._mass(done, repaired)
            total = float(mass.sum())
            if total <= 0:
                return 0.0
            then = self._after(repaired)
            stop = then.problem.losses.of(mass)
            if rule is None:
                return min([stop, *(one(move, done, repaired, state, total) for move in moves)])
            left = tuple(n for n, each in enumerate(done) if each is None)
            move = rule(At(then, mass, state, left))
            return stop if move is None else one(move, done, repaired, state, total)

        def one(move: Move, done: Done, repaired: frozenset[int], state: int, total: float) -> float:
            assert move is not None
            kind, number = move
            if kind == "test":
                option = self.start.options[number]
                cost = option.costs(state) if done[number] is None else inf
                if cost == inf:
                    return inf
                answers = range(option.given.shape[1])
                before = frozenset() if self._alone else repaired
                rows = [(*done[:number], (answer, before), *done[number + 1 :]) for answer in answers]
                return cost * total + sum(value(row, repaired, option.leads[state]) for row in rows)
            attempt = self.whole.attempts[number]
            if attempt.repair in repaired:
                return inf
            more = repaired | {attempt.repair}
            mass, cured = self._mass(done, repaired), self._cured(attempt, more)
            after = self._after(more).problem.losses.of(np.where(cured, mass, 0.0))
            return attempt.minutes * total + after + value(done, more, state)

        return value((None,) * len(self.start.options), frozenset(), 0)

    def _moves(self) -> list[Move]:
        tests: list[Move] = [("test", number) for number in range(len(self.start.options))]
        return [*tests, *(("repair", number) for number in range(len(self.whole.attempts)))]

    def _mass(self, done: Done, repaired: frozenset[int]) -> Floats:
        """The weights by what was present at first, after these answers and looks."""
        key = (done, repaired)
        if key not in self._seen:
            mass = self.start.mass.copy()
            for option, each in zip(self.start.options, done, strict=True):
                if each is not None:
                    mass *= option.given[self._left_in(each[1]), each[0]]
            for attempt in self.whole.attempts:
                if attempt.repair in repaired:
                    # every look said that something is left; the last one, after all that is repaired, says most
                    mass = np.where(self._cured(attempt, repaired), 0.0, mass)
            self._seen[key] = mass
        return self._seen[key]

    def _cured(self, attempt: Attempt, repaired: frozenset[int]) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        rivals = attempt.rivals - repaired
        left = self.whole.never.copy()
        for rival in rivals:
            left |= self.whole.held[rival]
        return ~left

    def _left_in(self, repaired: frozenset[int]) -> Indexes:
        """For each hypothesis the one that is left once these repairs are done."""
        if repaired not in self._less:
            sorts = self._sorts.copy()
            sorts[:, [cause for repair in repaired for cause in self._cures[repair]]] = False
            rows = [self._rows.get(row.tobytes(), n) for n, row in enumerate(sorts)]
            rows = [n if self.whole.never[n] else row for n, row in enumerate(rows)]
            self._less[repaired] = np.array(rows)
        return self._less[repaired]

    def _after(self, repaired: frozenset[int]) -> Mending:
        """The model with what is repaired taken out, its tests as such a car would show them."""
        if repaired not in self._then:
            before = self._then[frozenset()]
            for attempt in self.whole.attempts:
                if attempt.repair in repaired:
                    inside = next(each for each in before.attempts if each.repair == attempt.repair)
                    before = before.without(inside)
            rows = self._left_in(repaired)
            options = [
                Option(o.name, o.minutes, o.given[rows], o.access, o.leads, o.spoils) for o in self.start.options
            ]
            problem = Problem(self.start.mass, before.problem.losses, options)
            self._then[repaired] = Mending(problem, before.attempts, before.held, before.never)
        return self._then[repaired]
