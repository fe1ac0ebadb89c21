"""The states that a car goes through while it is tested, and what it takes to get from each to each test."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf
from typing import NamedTuple

from diagnose.diagnosis.reach import way_to
from diagnose.rulebook.model import Book, Test

MOST_STATES = 48
"""More states than this are not told apart: further ones count as the one the car is in now."""


class Access(NamedTuple):
    """By test: minutes of access from each state, and the state it leaves. The car stands in state 0."""

    states: tuple[Mapping[str, str], ...]
    minutes: Mapping[str, tuple[float, ...]]
    leads: Mapping[str, tuple[int, ...]]


def access_to(tests: Sequence[Test], start: Mapping[str, str], book: Book) -> Access:
    """Every state that these tests can bring about, from the one the car is in."""
    first = {name: start.get(name, part.values[0]) for name, part in book.states.items()}
    states = [first]
    known = {tuple(first.items()): 0}
    leads: dict[str, list[int]] = {test.id: [] for test in tests}
    for state in states:
        for test in tests:
            then = {**state, **test.needs, **test.leaves}
            key = tuple(then.items())
            if key not in known:
                if len(states) == MOST_STATES:
                    leads[test.id].append(0)
                    continue
                known[key] = len(states)
                states.append(then)
            leads[test.id].append(known[key])
    minutes = {test.id: tuple(_minutes(test, state, book) for state in states) for test in tests}
    return Access(tuple(states), minutes, {name: tuple(each) for name, each in leads.items()})


def _minutes(test: Test, state: Mapping[str, str], book: Book) -> float:
    """Access alone; infinite where the test can't be begun today."""
    way = way_to(test, state, book)
    return way.minutes - test.waiting if way.begins else inf
