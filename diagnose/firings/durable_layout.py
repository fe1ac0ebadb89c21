"""How rules are laid out for durable_rules, so that none of its limits can be met.

The limits stand in the library's source (events.c, state.h, rules.h). Beyond some of them it
reports a bare number, drops firings or never returns. Tests of one ruleset form a tree: rules
share the tests they begin with. A fact walks down every branch that it satisfies, and the
branches still to be walked wait on a stack of 64; so the tree is kept such that even a fact that
satisfies everything never fills it. Each rule stands behind a gate, a test that every fact
satisfies and below which a new part of the tree begins; and a ruleset speaks of few enough terms
that all of them fit into one fact.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from diagnose.firings.matcher import EngineUnavailable

MOST_WAITING = 40
"""Branches of one gate that may have to wait."""
MOST_GATES = 20
"""Gates of a ruleset, which wait too, with the test that closes a case: 20 + 40 + 1 of 64."""
MOST_TERMS = 200
"""Terms of a ruleset; with the gates and what the engine adds, at most 252 properties in a fact."""
MOST_RULES = 4000
"""Rules of a ruleset, of 4,096."""


@dataclass(slots=True)
class Branches:
    """The tests that follow one test. `waiting`: how many at most wait while a fact walks down from here."""

    next: dict[str, Branches] = field(default_factory=dict)
    deepest: int = 0

    @property
    def waiting(self) -> int:
        return _waiting(len(self.next), self.deepest)

    def waiting_with(self, path: tuple[str, ...]) -> int:
        """What `waiting` would be with this path added."""
        if not path:
            return self.waiting
        below = self.next.get(path[0])
        if below is None:
            return _waiting(len(self.next) + 1, max(self.deepest, min(1, len(path) - 1)))
        return _waiting(len(self.next), max(self.deepest, below.waiting_with(path[1:])))

    def add(self, path: tuple[str, ...]) -> None:
        if path:
            below = self.next.setdefault(path[0], Branches())
            below.add(path[1:])
            self.deepest = max(self.deepest, below.waiting)


def _waiting(branches: int, deepest: int) -> int:
    """All branches wait until the first is walked, the others while it is (in whatever order they come)."""
    return max(branches, branches - 1 + deepest) if branches else 0


@dataclass(slots=True)
class Gate:
    conjunctions: list[tuple[str, ...]] = field(default_factory=list)
    tree: Branches = field(default_factory=Branches)

    def takes(self, path: tuple[str, ...]) -> bool:
        """Add a conjunction, its terms in order, unless too much would wait."""
        if self.tree.waiting_with(path) > MOST_WAITING:
            return False
        self.tree.add(path)
        self.conjunctions.append(path)
        return True


@dataclass(slots=True)
class Ruleset:
    terms: set[str] = field(default_factory=set)
    gates: list[Gate] = field(default_factory=list)
    size: int = 0

    def takes(self, path: tuple[str, ...]) -> bool:
        if self.size >= MOST_RULES or len(self.terms.union(path)) > MOST_TERMS:
            return False
        if not (self.gates and self.gates[-1].takes(path)):
            if len(self.gates) >= MOST_GATES:
                return False
            self.gates.append(Gate())
            self.gates[-1].takes(path)
        self.terms.update(path)
        self.size += 1
        return True


def lay_out(conjunctions: Iterable[frozenset[str]]) -> list[Ruleset]:
    """Different, non-empty conjunctions of terms, as rulesets that the engine can hold.

    Raises EngineUnavailable where one rule alone has too many conditions.
    """
    rulesets: list[Ruleset] = []
    for path in sorted(tuple(sorted(terms)) for terms in conjunctions):
        if len(path) > MOST_TERMS:
            raise EngineUnavailable(f"durable-rules can't take a rule of {len(path)} conditions, {MOST_TERMS} at most")
        if not (rulesets and rulesets[-1].takes(path)):
            rulesets.append(Ruleset())
            rulesets[-1].takes(path)
    return rulesets
