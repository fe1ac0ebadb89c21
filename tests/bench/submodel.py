"""Parts of a book that are small enough to be solved exactly: one for each way in which the book lets a car come in."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from diagnose.diagnosis.access import access_to
from diagnose.diagnosis.answers import Foresight
from diagnose.diagnosis.arrays import Floats
from diagnose.diagnosis.candidates import candidates
from diagnose.diagnosis.costs import Losses, losses
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.given import given_hypotheses
from diagnose.diagnosis.information import Question
from diagnose.diagnosis.posterior import weigh
from diagnose.diagnosis.shop import EVERY_TOOL
from diagnose.diagnosis.value import Option, Problem
from diagnose.graph.road import Answer, Road, start_state
from diagnose.pipeline import Bench

COLUMNS = 3
"""So many answers of a test are told apart."""
STATES = 300_000
"""Tests are added as long as no more states of knowledge than this come about."""


def submodels(book: Path, causes: int, tests: int) -> Iterator[tuple[str, Problem, Floats, dict[str, float]]]:
    """Name, decision, what is present in each hypothesis, and the cost without tests of two orders of repair.

    The causes stand in the order of the losses.
    """
    bench = Bench(book, "plain")
    road = Road(bench.book, bench.rules, bench.belief)
    ways = [(entry, start) for entry in bench.book.entries.values() for start in entry.starts]
    for entry, start in ways:
        answers = tuple(Answer(c.quantity, c.bands[0]) for c in start)
        firings = road.firings(answers, start_state(bench.book))
        posterior = weigh(bench.belief, firings)
        first = np.argsort(-posterior.chances)[:causes]
        others = np.ones(bench.belief.sets.n, dtype=np.bool_)
        others[first] = False
        held = bench.belief.sets.held[others].any(axis=0)
        small = (bench.belief.sets.members < bench.belief.sets.n).sum(axis=0) <= 3
        focus = Focus(posterior, np.flatnonzero(~held & small & (posterior.weights > 0)))
        question = Question(focus, [])
        foresight = Foresight(posterior, focus, question)
        mass = question.mass
        names = [bench.belief.causes[place] for place in first]
        lost = losses(bench.book, names, focus, bench.belief.index)
        able = [c for c in candidates(posterior, EVERY_TOOL, {}).values() if c.way.begins]
        given = {c.test.id: _few(given_hypotheses(c.left, foresight, posterior, focus, mass), mass) for c in able}
        now = lost.of(mass)
        able.sort(key=lambda c: float(lost.best(given[c.test.id].T * mass).sum()) - now)
        access = access_to([c.test for c in able[:tests]], start_state(bench.book), bench.book)
        chosen, states = [], len(access.states)
        for c in able[:tests]:
            if states * (given[c.test.id].shape[1] + 1) <= STATES * len(access.states):
                states *= given[c.test.id].shape[1] + 1
                chosen.append(c)
        options = [
            Option(
                c.test.id,
                c.test.minutes + c.test.waiting,
                given[c.test.id],
                access.minutes[c.test.id],
                access.leads[c.test.id],
                frozenset(o.test.id for o in chosen if o is not c and o.job <= set(c.test.spoils)),
            )
            for c in chosen
        ]
        every = [bench.belief.index[name] for cured in lost.causes for name in cured]
        sorts = np.vstack((focus.columns(every), np.zeros((1, causes))))
        plain = {"probable ones repaired, no tests": _probable(lost, mass), "p x harm against repair, no tests": now}
        name = f"{entry.id}: {', '.join(f'{answer.quantity} {answer.band}' for answer in answers)}"
        yield name, Problem(mass, lost, options), sorts, plain


def _few(given: Floats, mass: Floats) -> Floats:
    """The rarest answers of a test put together, until COLUMNS are left."""
    while given.shape[1] > COLUMNS:
        order = np.argsort(mass @ given)
        given = np.column_stack((np.delete(given, order[:2], axis=1), given[:, order[0]] + given[:, order[1]]))
    return given


def _probable(lost: Losses, mass: Floats) -> float:
    """Every repair that is more likely needed than not is done, whatever it costs."""
    costs = mass @ lost.matrix
    ends = [*lost.starts[1:].tolist(), lost.matrix.shape[1]]
    total = 0.0
    for start, end in zip(lost.starts.tolist(), ends, strict=True):
        needed = float(mass[lost.matrix[:, start] > 0].sum()) > 0.5
        total += float(costs[end - 1] if needed else costs[start])
    return total
