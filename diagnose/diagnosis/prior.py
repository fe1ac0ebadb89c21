"""How probable each set of causes is before anything was measured.

A cause comes by itself with its own prior, and each cause that is present may bring it about:
P(cause | the others) = 1 - (1 - own) x product over present parents of (1 - how often).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diagnose.diagnosis.arrays import Floats, Indexes
from diagnose.diagnosis.led import TINY, LeadsTo, Led
from diagnose.diagnosis.sets import Sets

MOST = 0.995
"""No word is certain: a prior or an arc counts for this much at most."""

LEAST = 1e-9
"""A proven cause counts for this at least: a proof outweighs a prior of nothing."""


class Chains:
    """Which sets hold the two ends of an arc; the same for every car."""

    def __init__(self, sets: Sets, arcs: Sequence[LeadsTo]) -> None:
        self.sets = sets
        self.arcs = tuple(arcs)
        self.parents: dict[int, list[LeadsTo]] = {}
        for arc in arcs:
            self.parents.setdefault(arc.child, []).append(arc)
        self._alone: dict[tuple[int, bool], Indexes] = {}
        self._led = Led(sets, self.parents)

    def alone(self, child: int, parents: Sequence[int], proven: Sequence[int]) -> Indexes:
        """The sets in which a cause is present and none of its parents is."""
        key = (child, child in proven)
        if key not in self._alone:
            held = np.ones(self.sets.count, dtype=np.bool_) if child in proven else self.sets.held[child].copy()
            for parent in parents:
                held[self.sets.containing[parent]] = False
            self._alone[key] = np.flatnonzero(held)
        return self._alone[key]

    def weigh(self, own: Floats, impossible: Sequence[int], proven: Sequence[int]) -> Floats:
        """P(exactly the set and the proven causes are present), for each set; not scaled to sum 1.

        Zero for sets that hold an impossible cause or repeat a proven one. Sets larger than the
        hypotheses are left out, so the sum is below 1.
        """
        count = self.sets.n
        absent = 1 - np.clip(own, 0, MOST)
        absent[list(proven)] = np.minimum(absent[list(proven)], 1 - LEAST)
        out = set(impossible)
        sure = set(proven)
        open_arcs: list[tuple[LeadsTo, float]] = []
        for arc in self.arcs:
            keeps = 1 - min(arc.how_often, MOST)
            if arc.child in out or arc.parent in out:
                continue
            if arc.parent in sure:
                absent[arc.child] *= keeps
            else:
                open_arcs.append((arc, keeps))
        absent[list(out)] = 1.0
        closed = [c for c in range(count) if c in out or c in sure]
        factor = np.maximum(1 - absent, TINY) / absent
        led = {arc.child for arc, _ in open_arcs} - sure
        for arc, keeps in open_arcs:
            if arc.child not in sure:
                factor[arc.parent] *= keeps
        factor[closed] = 0.0
        free = [c for c in range(count) if c not in sure]
        weights = self.sets.products(factor)
        weights *= float(np.prod(absent[free]))
        self._led.correct(weights, absent, {arc: keeps for arc, keeps in open_arcs if arc.child in led})
        for cause in sorted(sure):
            self._lead_to_proven(cause, absent[cause], open_arcs, weights)
        return weights

    def _lead_to_proven(self, cause: int, absent: float, arcs: list[tuple[LeadsTo, float]], weights: Floats) -> None:
        spared = np.full(self.sets.count, absent)
        for arc, keeps in arcs:
            if arc.child == cause:
                spared[self.sets.containing[arc.parent]] *= keeps
        weights *= 1 - spared
