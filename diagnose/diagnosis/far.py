"""Groups of quantities: summing over which causes have got this far, for all of a block's sets or for few."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from diagnose.diagnosis.arrays import Floats, Indexes
from diagnose.diagnosis.sets import WIDTH, Sets


class _Closed(Protocol):
    """Sets of which every smaller set is among them too, in order of size."""

    @property
    def members(self) -> Indexes: ...
    @property
    def without(self) -> Indexes: ...
    @property
    def starts(self) -> tuple[int, ...]: ...
    @property
    def count(self) -> int: ...


@dataclass(frozen=True, slots=True)
class Few:
    """Some of a block's sets with all that are smaller: `places` among the block's sets."""

    places: Indexes
    members: Indexes
    without: Indexes
    starts: tuple[int, ...]
    count: int


def few(sets: Sets, rows: Indexes) -> tuple[Few, Indexes]:
    """The sets in `rows` and all smaller ones, and where each of `rows` stands among them."""
    wanted = np.zeros(sets.count, dtype=np.bool_)
    wanted[rows] = True
    for size in range(WIDTH, 1, -1):
        level = sets.level(size)
        held = np.flatnonzero(wanted[level]) + level.start
        for without in sets.without[:size]:
            wanted[without.take(held)] = True
    wanted[0] = True
    places = np.flatnonzero(wanted)
    local = np.zeros(sets.count, dtype=np.intp)
    local[places] = np.arange(len(places))
    smaller = local.take(sets.without.take(places, axis=1))
    starts = tuple(np.searchsorted(places, sets.starts).tolist())
    return Few(places, sets.members.take(places, axis=1), smaller, starts, len(places)), local.take(rows)


def gone_far(sets: _Closed, reach: Floats, found: Floats) -> Floats:
    """Sum over which causes of each set have got this far, one member after the other."""
    found = np.array(found)
    for size, (column, without) in enumerate(zip(sets.members, sets.without, strict=True)):
        held = sets.starts[size + 1]  # smaller sets have no member in this place
        if held == sets.count:
            break
        far = reach.take(column[held:])[:, None]
        fewer = found.take(without[held:], axis=0)
        larger = found[held:]
        larger -= fewer
        larger *= far
        larger += fewer
    return found
