"""Sets of items as index arrays: all of up to three, and chosen ones of four.

The sets stand in order of size and, within a size, of their members, so that the place of a set
is reckoned and never searched: the set {i, j, k} stands at first[{i, j}] + k.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from itertools import pairwise

import numpy as np

from diagnose.diagnosis.arrays import Flags, Floats, Indexes

WIDTH = 4
"""The most members a set has."""


class Sets:
    """Sets over the items 0 .. n-1.

    `members` has one row for each place a member may take (WIDTH) and one column for each set;
    free places hold n. `starts[k]` is the number of sets smaller than k; `without_last` leads from
    each set to the one without its last member, which is `last`.
    """

    def __init__(self, n: int, fours: Indexes) -> None:
        """`fours` holds the sets of four in order of their members, one in each row, its members in rising order."""
        first, second = np.triu_indices(n, 1)
        after = n - 1 - second
        triples = int(after.sum())
        self.n = n
        self.starts = (0, 1, 1 + n, 1 + n + len(first), 1 + n + len(first) + triples)
        self.count = self.starts[4] + len(fours)
        self._first = np.zeros(self.starts[4], dtype=np.intp)
        self._first[0] = 1
        items = np.arange(n)
        self._first[1 : 1 + n] = 1 + n + items * n - items * (items + 1) // 2 - items - 1
        pairs = slice(self.starts[2], self.starts[3])
        before = np.cumsum(after) - after
        self._first[pairs] = self.starts[3] + before - second - 1
        self.members = np.full((WIDTH, self.count), n, dtype=np.intp)
        self.members[0, 1 : 1 + n] = items
        self.members[0, pairs], self.members[1, pairs] = first, second
        three = slice(self.starts[3], self.starts[4])
        self.members[0, three], self.members[1, three] = np.repeat(first, after), np.repeat(second, after)
        self.members[2, three] = np.arange(triples) - np.repeat(before - second - 1, after)
        self.members[:, self.starts[4] :] = fours.T
        self.without_last = np.zeros(self.count, dtype=np.intp)
        self.without_last[pairs] = 1 + first
        self.without_last[three] = np.repeat(np.arange(pairs.start, pairs.stop), after)
        self.without_last[self.starts[4] :] = self.triple(fours[:, 0], fours[:, 1], fours[:, 2])
        self.last = np.full(self.count, n, dtype=np.intp)
        for size in range(1, WIDTH + 1):
            level = self.level(size)
            self.last[level] = self.members[size - 1, level]

    def level(self, size: int) -> slice:
        """Where the sets with `size` members stand."""
        return slice(self.starts[size], self.starts[size + 1] if size < WIDTH else self.count)

    def pair(self, i: Indexes, j: Indexes) -> Indexes:
        """Places of the sets {i, j} with i < j."""
        return self._first[1 + i] + j

    def triple(self, i: Indexes, j: Indexes, k: Indexes) -> Indexes:
        """Places of the sets {i, j, k} with i < j < k."""
        return self._first[self.pair(i, j)] + k

    @cached_property
    def without(self) -> Indexes:
        """For each place a member may take, where the set without that member stands (itself for free places)."""
        found = np.tile(np.arange(self.count), (WIDTH, 1))
        a, b, c, d = self.members
        one, two, three, four = (self.level(size) for size in range(1, WIDTH + 1))
        found[0, one] = 0
        found[0, two], found[1, two] = 1 + b[two], 1 + a[two]
        found[0, three] = self.pair(b[three], c[three])
        found[1, three] = self.pair(a[three], c[three])
        found[2, three] = self.pair(a[three], b[three])
        found[0, four] = self.triple(b[four], c[four], d[four])
        found[1, four] = self.triple(a[four], c[four], d[four])
        found[2, four] = self.triple(a[four], b[four], d[four])
        found[3, four] = self.triple(a[four], b[four], c[four])
        return found

    @cached_property
    def containing(self) -> tuple[Indexes, ...]:
        """For each item, the places of the sets that hold it, in rising order."""
        flat = self.members.astype(np.int16).ravel()
        order = np.argsort(flat, kind="stable")
        ends = np.searchsorted(flat[order], np.arange(self.n + 1))
        places = order % self.count
        return tuple(np.sort(places[start:end]) for start, end in pairwise(ends))

    def sums(self, weights: Floats) -> Floats:
        """For each item, the weights of all sets that hold it."""
        of_all = weights.copy()
        for size in range(WIDTH, 1, -1):
            # a set's other members stand in the set without its last one, which takes the weight over
            places, begins = self._runs[size]
            if len(places):
                of_all[places] += np.add.reduceat(of_all[self.level(size)], begins)
        found = np.zeros(self.n)
        order, items, begins = self._by_last
        found[items] = np.add.reduceat(of_all.take(order), begins)
        return found

    @cached_property
    def _runs(self) -> Mapping[int, tuple[Indexes, Indexes]]:
        """By size: sets that others have in common but for the last member, and where those others begin."""
        found = {}
        for size in range(2, WIDTH + 1):
            common = self.without_last[self.level(size)]
            begins = np.flatnonzero(np.append(True, common[1:] != common[:-1])[: len(common)])
            found[size] = common[begins], begins
        return found

    @cached_property
    def _by_last(self) -> tuple[Indexes, Indexes, Indexes]:
        """All sets but the empty one in order of their last members, those items, and where each begins."""
        order = 1 + np.argsort(self.last[1:], kind="stable")
        ordered = self.last[order]
        begins = np.flatnonzero(np.append(True, ordered[1:] != ordered[:-1])[: len(ordered)])
        return order, ordered[begins], begins

    def products(self, factors: Floats) -> Floats:
        """For each set, the product of its members' factors."""
        found = np.ones(self.count)
        for size in range(1, WIDTH + 1):
            level = self.level(size)
            found[level] = found.take(self.without_last[level]) * factors.take(self.last[level])
        return found

    @cached_property
    def held(self) -> Flags:
        """Whether a set holds an item: a row for each item, a column for each set."""
        found = np.zeros((self.n, self.count), dtype=np.bool_)
        for item, places in enumerate(self.containing):
            found[item, places] = True
        return found

    def project(self, chosen: Sequence[int]) -> tuple[Sets, Indexes]:
        """The sets that are left when only `chosen` items (in rising order) count, and each set's place among them."""
        local = np.full(self.n + 1, -1, dtype=np.intp)
        local[list(chosen)] = np.arange(len(chosen))
        small = Sets(len(chosen), np.empty((0, WIDTH), dtype=np.intp))
        first = small._first
        rows = np.zeros(self.count, dtype=np.intp)
        for size in range(1, WIDTH + 1):
            level = self.level(size)
            up, item = rows.take(self.without_last[level]), local.take(self.last[level])
            rows[level] = up
            counted = np.flatnonzero(item >= 0)  # few: most last members don't count
            up, item = up.take(counted), item.take(counted)
            rows[level][counted] = first.take(up) + item
        whole = counted[up >= small.starts[3]]
        if not len(whole):
            return small, rows
        fours = local[self.members[:, self.level(WIDTH)][:, whole]].T
        rows[self.level(WIDTH)][whole] = small.starts[4] + np.arange(len(fours))
        return Sets(len(chosen), fours), rows


def sets_with_arcs(n: int, arcs: Sequence[tuple[int, int]]) -> Sets:
    """All sets of up to three of n items, and those of four in which one item leads to another."""
    return Sets(n, _fours(n, sorted({(min(arc), max(arc)) for arc in arcs})))


def _fours(n: int, arcs: Sequence[tuple[int, int]]) -> Indexes:
    if n < WIDTH or not arcs:
        return np.empty((0, WIDTH), dtype=np.intp)
    ends = np.array(arcs, dtype=np.intp)
    rank = np.full((n, n), len(arcs), dtype=np.intp)
    rank[ends[:, 0], ends[:, 1]] = rank[ends[:, 1], ends[:, 0]] = np.arange(len(arcs))
    c, d = np.triu_indices(n, 1)
    own = np.repeat(np.arange(len(arcs)), len(c))
    a, b = ends[own, 0], ends[own, 1]
    c, d = np.tile(c, len(arcs)), np.tile(d, len(arcs))
    # a set that holds several arcs is kept for the first of them only
    earlier = np.minimum.reduce([rank[a, c], rank[a, d], rank[b, c], rank[b, d], rank[c, d]])
    kept = (c != a) & (c != b) & (d != a) & (d != b) & (own < earlier)
    found = np.sort(np.stack((a[kept], b[kept], c[kept], d[kept]), axis=1), axis=1)
    return found[np.lexsort(found.T[::-1])]
