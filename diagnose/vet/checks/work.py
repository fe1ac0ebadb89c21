"""Tests as work at the car: cautions, and the state in which the car must be."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.plan.steps import GATE
from diagnose.rulebook.model import State, Test
from diagnose.vet.check import Fault
from diagnose.vet.whole_book import WholeBook


def unguarded_openings(whole: WholeBook) -> Iterator[Fault]:
    """A caution of another kind does not keep a hand off a hot cap."""
    opening = {caution.id for caution in whole.book.cautions.values() if caution.when == "opening"}
    for test in whole.book.tests.values():
        if test.opens and opening.isdisjoint(test.cautions):
            says = f"the test '{test.id}' opens the system, but none of its cautions is for opening it"
            names = ", ".join(sorted(opening))
            hint = f"add one of: {names}" if names else "write a caution with 'when: opening' and name it"
            yield Fault(test.place, says, hint, (("test", test.id),))


def missing_gate(whole: WholeBook) -> Iterator[Fault]:
    """The program puts this test before everything that opens the system, by its id."""
    opening = [test for test in whole.book.tests.values() if test.opens]
    if opening and GATE not in whole.book.tests:
        says = f"'{opening[0].id}' opens the system, and this book has no test '{GATE}'"
        hint = f"write a test with the id '{GATE}' that tells whether it is cool and without pressure"
        yield Fault(opening[0].place, says, hint, (("test", opening[0].id),))


def states_out_of_reach(whole: WholeBook) -> Iterator[Fault]:
    """States that tests need, against those in which cars come in and those that a change or a test brings about."""
    tests = tuple(whole.book.tests.values())
    reached = {state.id: _reached(state, tests) for state in whole.book.states.values()}
    for test in tests:
        for name, value in test.needs.items():
            if value not in reached[name]:
                says = f"the test '{test.id}' needs the {name} '{value}', and nothing brings it there"
                hint = f"list the change under 'takes' of the state '{name}', or let a test leave it so"
                yield Fault(test.place, says, hint, (("test", test.id),))


def _reached(state: State, tests: tuple[Test, ...]) -> set[str]:
    """Without a list of changes every one can be made."""
    if not state.takes:
        return set(state.values)
    found = {state.values[0]} | {test.leaves[state.id] for test in tests if state.id in test.leaves}
    for _ in state.values:
        found |= {change.end for change in state.takes if change.start in found}
    return found
