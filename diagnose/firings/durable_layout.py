"""How rules are laid out for durable_rules, so that none of its limits can be met.

The limits were found in its source and by running it; beyond some of them it reports a bare
number, drops firings or never returns. A fact may satisfy 64 tests at one place (a place is the
path of tests before it, and all first tests of a ruleset share one), and may have 252 properties.
So every rule stands behind a gate, which begins a new place, a gate's places stay narrow, and a
ruleset speaks of few enough terms that all of them may hold at once.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TypeAlias

from diagnose.firings.matcher import EngineUnavailable

WIDEST = 60
"""Tests at one place; 64 is the engine's limit."""
MOST_TERMS = 180
MOST_GATES = 40
"""Together with `sid`, the engine's own properties and the first and last, at most 252."""
MOST_RULES = 4000

_Tree: TypeAlias = dict[str, "_Tree"]


@dataclass(slots=True)
class Gate:
    """Conjunctions whose sorted terms form a tree with at most WIDEST branches at any place."""

    conjunctions: list[tuple[str, ...]] = field(default_factory=list)
    _tree: _Tree = field(default_factory=dict)

    def takes(self, path: tuple[str, ...]) -> bool:
        """Add a conjunction unless a place would get too wide."""
        place = self._tree
        for term in path:
            if term not in place:
                if len(place) >= WIDEST:
                    return False
                break
            place = place[term]
        place = self._tree
        for term in path:
            place = place.setdefault(term, {})
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
