"""Quantities that are judged together, and what the sets of causes show in them.

A block is one quantity, or all that move together. In a group each cause has one hidden event,
"has got this far", with probability a = the largest strength it has in the group; in each quantity
it then acts with q / a, independently. So a cause that has not got far yet shows in none of them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from itertools import product
from typing import NamedTuple

import numpy as np

from diagnose.diagnosis.arrays import Floats, Indexes
from diagnose.diagnosis.far import Few, few, gone_far
from diagnose.diagnosis.links import RuleLink
from diagnose.diagnosis.sets import Sets
from diagnose.diagnosis.tables import Shown, shown, table
from diagnose.rulebook.model import Quantity


class Part(NamedTuple):
    """One quantity of a block.

    `causes` are places in the block's causes; `rows` lead from the block's sets to `sets`.
    """

    quantity: Quantity
    links: tuple[RuleLink, ...]
    causes: tuple[int, ...]
    sets: Sets
    rows: Indexes


class Tables(NamedTuple):
    """What the sets show under the rules in force.

    `ways` holds, for each way in which the proven causes may have got this far, its probability
    and one table for each part (a row for each band, a column for each set). `reach` is a for each
    cause of the block, then 1 for free places.
    `by_itself` holds, for each part, the table where no other part of the group was read.
    `flat` is, for each part, what a worthless reading is worth for each band; `outside` what a
    cause shows that the book does not know: half as a healthy system, half anything.
    """

    reach: Floats
    ways: tuple[tuple[float, tuple[Floats, ...]], ...]
    by_itself: tuple[Floats, ...]
    flat: tuple[float, ...]
    outside: tuple[Floats, ...]


SMALL = 9_000
"""Tables up to this size are multiplied as they are; for larger ones the library would start threads."""


class Block:
    """`causes` are the linked causes as places in the book; `rows` lead from each hypothesis to `sets`."""

    def __init__(
        self,
        quantities: Sequence[Quantity],
        links: Mapping[str, tuple[RuleLink, ...]],
        index: Mapping[str, int],
        sets: Sets,
        like: Block | None = None,
    ) -> None:
        self.quantities = tuple(quantities)
        self.links = tuple(links[quantity.id] for quantity in quantities)
        self.rules = tuple(dict.fromkeys(link.rule for part in self.links for link in part))
        self.causes = tuple(sorted({index[link.cause] for part in self.links for link in part}))
        self._index = index
        self._hypotheses = sets
        self._like = like

    @cached_property
    def _projected(self) -> tuple[Sets, Indexes]:
        return self._like._projected if self._like is not None else self._hypotheses.project(self.causes)

    @property
    def sets(self) -> Sets:
        return self._projected[0]

    @property
    def rows(self) -> Indexes:
        return self._projected[1]

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        place = {cause: number for number, cause in enumerate(self.causes)}
        found = []
        for quantity, links in zip(self.quantities, self.links, strict=True):
            causes = tuple(sorted({place[self._index[link.cause]] for link in links}))
            if len(causes) == len(self.causes):
                sets, rows = self.sets, np.arange(self.sets.count)
            else:
                sets, rows = self.sets.project(causes)
            found.append(Part(quantity, links, causes, sets, rows))
        return tuple(found)

    def tables(self, in_force: frozenset[str], dead: Sequence[frozenset[str]], proven: frozenset[int]) -> Tables:
        """The tables under the rules `in_force`; `dead` names, for each part, bands that this car can't show."""
        shows = [self._shown(part, in_force, gone) for part, gone in zip(self.parts, dead, strict=True)]
        reach = np.ones(len(self.causes) + 1)
        if len(shows) > 1:
            reach[:-1] = 0.0
            for part, each in zip(self.parts, shows, strict=True):
                places = list(part.causes)
                reach[places] = np.maximum(reach[places], each.strength)
            reach[reach == 0] = 1.0
        sure = [place for place, cause in enumerate(self.causes) if cause in proven]
        ways = []
        for got in product((True, False), repeat=len(sure)):
            far = frozenset(place for place, is_far in zip(sure, got, strict=True) if is_far)
            share = float(np.prod([reach[p] if p in far else 1 - reach[p] for p in sure]))
            if share > 0:
                made = [self._table(part, each, reach, far) for part, each in zip(self.parts, shows, strict=True)]
                ways.append((share, tuple(np.ascontiguousarray(each.T) for each in made)))
        live = [np.array([b.id not in gone for b in q.bands]) for q, gone in zip(self.quantities, dead, strict=True)]
        flat = tuple(1.0 / int(each.sum()) for each in live)
        outside = tuple(
            0.5 * each.healthy + 0.5 * even * mask for each, even, mask in zip(shows, flat, live, strict=True)
        )
        by_itself = tuple(self._by_itself(number, reach, ways) for number in range(len(self.parts)))
        return Tables(reach, tuple(ways), by_itself, flat, outside)

    def _shown(self, part: Part, in_force: frozenset[str], dead: frozenset[str]) -> Shown:
        quantity = part.quantity
        bands = [band.id for band in quantity.bands]
        normal = bands.index(quantity.normal)
        healthy = np.array([0.0 if name in dead else float(quantity.healthy.get(name, 0.0)) for name in bands])
        healthy[normal] = 0.0
        healthy[normal] = 1 - healthy.sum()
        words = np.full((len(part.causes), len(bands)), np.nan)
        row = {self.causes[place]: number for number, place in enumerate(part.causes)}
        for link in part.links:
            if link.rule in in_force and link.band not in dead:
                words[row[self._index[link.cause]], bands.index(link.band)] = link.how_often
        return shown(quantity.combine, quantity.cancel, normal, healthy, words)

    def _table(self, part: Part, of: Shown, reach: Floats, far: frozenset[int]) -> Floats:
        members = part.sets.members
        beside = [number for number, place in enumerate(part.causes) if place in far]
        if beside:
            fixed = np.tile(np.array(beside, dtype=np.intp)[:, None], (1, part.sets.count))
            members = np.vstack((members, fixed))
        return table(of, reach[list(part.causes)], members)

    def _by_itself(self, number: int, reach: Floats, ways: Sequence[tuple[float, tuple[Floats, ...]]]) -> Floats:
        total = ways[0][0] * ways[0][1][number]
        for share, made in ways[1:]:
            total = total + share * made[number]
        if len(self.parts) == 1:
            return total
        part = self.parts[number]
        return np.ascontiguousarray(gone_far(part.sets, np.append(reach[list(part.causes)], 1.0), total.T).T)

    def few(self, rows: Indexes) -> tuple[Few, Indexes]:
        """The sets in `rows` and all smaller ones, and where each of `rows` stands among them."""
        return few(self.sets, rows)

    def likelihood(self, tables: Tables, seen: Mapping[int, Floats], few: Few | None = None) -> Floats:
        """P(what was seen | set): a row for each set (or for few of them), a column for each column of what was seen.

        `seen` gives, for parts that were read, the likelihood over the bands (a row for each band).
        """
        if len(seen) == 1:
            ((number, likelihood),) = seen.items()
            return self._mixed(number, tables.by_itself[number], likelihood, few)
        total: Floats | None = None
        for share, made in tables.ways:
            found: Floats | None = None
            for number, likelihood in seen.items():
                rows = self._mixed(number, made[number], likelihood, few)
                found = rows if found is None else found * rows
            assert found is not None, "a block without readings has no likelihood"
            total = found * share if total is None else total + found * share
        assert total is not None
        return gone_far(self.sets if few is None else few, tables.reach, total)

    def by_itself(self, tables: Tables, number: int, places: Indexes) -> Floats:
        """P(band | set) of one part, for some of the block's sets."""
        part = self.parts[number]
        return tables.by_itself[number].take(places if part.sets is self.sets else part.rows.take(places), axis=1).T

    def _mixed(self, number: int, table: Floats, likelihood: Floats, few: Few | None) -> Floats:
        """The likelihood of what was seen in one part, for the block's sets (or few of them).

        Large tables band by band, since most readings allow only one.
        """
        part = self.parts[number]
        whole = part.sets is self.sets
        if table.size <= SMALL and few is None:
            found = table.T @ likelihood
            return found if whole else found.take(part.rows, axis=0)
        if few is not None:
            return table.take(few.places if whole else part.rows.take(few.places), axis=1).T @ likelihood
        found = np.zeros((part.sets.count, likelihood.shape[1]))
        for row, shares in zip(table, likelihood, strict=True):
            if shares.any():
                found += row[:, None] * shares
        return found if whole else found.take(part.rows, axis=0)
