"""Sets that hold a cause together with what may have brought it about: found once, put right for every car."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from diagnose.diagnosis.arrays import Flags, Floats, Indexes
from diagnose.diagnosis.sets import Sets

TINY = 1e-30
"""Stands for a prior of nothing, so that it can be divided out where a parent is present."""


class LeadsTo(NamedTuple):
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
        examples, self._pattern = _alike(held[:, self._places])
        pattern, self._arc = np.nonzero(held[:, self._places[examples]].T)
        child = np.array([arc.child for arc in self._arcs], dtype=np.intp)[self._arc]
        self._first_arc = _begins(pattern * sets.n + child)  # the arcs of one child stand together
        self._child = child[self._first_arc]
        self._first_child = _begins(pattern[self._first_arc])

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


def _alike(flags: Flags) -> tuple[Indexes, Indexes]:
    """Columns that are alike: one example of each kind, and the kind of every column."""
    packed = np.packbits(flags, axis=0)
    words = np.zeros((flags.shape[1], -(-len(packed) // 8) * 8), dtype=np.uint8)
    words[:, : len(packed)] = packed.T
    kind = np.zeros(flags.shape[1], dtype=np.intp)
    for word in words.view(np.uint64).T:
        _, each = np.unique(word, return_inverse=True)
        _, kind = np.unique(kind * (int(each.max(initial=0)) + 1) + each, return_inverse=True)
    _, examples = np.unique(kind, return_index=True)
    return examples, kind


def _begins(numbers: Indexes) -> Indexes:
    """Where each run of equal numbers begins."""
    return np.flatnonzero(np.append(True, numbers[1:] != numbers[:-1])[: len(numbers)])
