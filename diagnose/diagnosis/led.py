"""Sets that hold a cause together with what may have brought it about: found once, put right for every car."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.diagnosis.arrays import Floats
from diagnose.diagnosis.sets import Sets

TINY = 1e-30
"""Stands for a prior of nothing, so that it can be divided out where a parent is present."""


@dataclass(frozen=True, slots=True)
class LeadsTo:
    """`parent` brings about `child` with probability `how_often`."""

    parent: int
    child: int
    how_often: float


class Led:
    """Many sets hold the same arcs, so the correction is reckoned for each such pattern and then handed out.

    A pattern is a list of children, and each child has its arcs; both stand one behind the other in flat arrays,
    `_first_arc` and `_first_child` telling where each begins.
    """

    def __init__(self, sets: Sets, parents: Mapping[int, Sequence[LeadsTo]]) -> None:
        self._arcs = tuple(arc for above in parents.values() for arc in above)
        held = np.zeros((len(self._arcs), sets.count), dtype=np.bool_)
        for row, arc in zip(held, self._arcs, strict=True):
            np.logical_and(sets.held[arc.child], sets.held[arc.parent], out=row)
        self._places = np.flatnonzero(held.any(axis=0)) if len(held) else np.empty(0, dtype=np.intp)
        known: dict[bytes, int] = {}
        packed = np.packbits(held[:, self._places], axis=0).T
        self._pattern = np.array([known.setdefault(row.tobytes(), len(known)) for row in packed], dtype=np.intp)
        arcs: list[int] = []
        children: list[int] = []
        first_arc: list[int] = []
        first_child: list[int] = []
        for pattern in known:
            bits = np.unpackbits(np.frombuffer(pattern, dtype=np.uint8), count=len(self._arcs))
            first_child.append(len(children))
            for number in np.flatnonzero(bits).tolist():
                child = self._arcs[number].child
                if len(children) == first_child[-1] or children[-1] != child:
                    first_arc.append(len(arcs))
                    children.append(child)
                arcs.append(number)
        self._arc, self._child = np.array(arcs, dtype=np.intp), np.array(children, dtype=np.intp)
        self._first_arc, self._first_child = np.array(first_arc, dtype=np.intp), np.array(first_child, dtype=np.intp)

    def correct(self, weights: Floats, absent: Floats, keeps: Mapping[LeadsTo, float]) -> None:
        """A child with a parent was taken for come by itself, and for spared by the parent; put that right.

        `absent` is 1 - each cause's own prior, `keeps` 1 - how often for the arcs that count. Changes `weights`.
        """
        if not keeps or not len(self._places):
            return
        each = np.array([keeps.get(arc, 1.0) for arc in self._arcs])
        counts = np.array([arc in keeps for arc in self._arcs])
        spared = np.multiply.reduceat(each.take(self._arc), self._first_arc)
        alone = absent.take(self._child)
        ratio = (1 - alone * spared) / (np.maximum(1 - alone, TINY) * spared)
        ratio[~np.logical_or.reduceat(counts.take(self._arc), self._first_arc)] = 1.0
        whole = np.multiply.reduceat(ratio, self._first_child)
        weights[self._places] *= whole.take(self._pattern)
