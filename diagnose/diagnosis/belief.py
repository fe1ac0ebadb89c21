"""A book's knowledge compiled once, and how probable every set of causes is under the findings of a case.

Exact over the hypotheses: all sets of up to three causes, sets of four in which one leads to
another, nothing at all, and one cause that the book does not know, alone. Quantities, or groups of
them, are independent of each other once the set is given.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from diagnose.diagnosis.arrays import Flags, Floats, Indexes, Recent
from diagnose.diagnosis.blocks import Block, Tables
from diagnose.diagnosis.evidence import Evidence, Spoiled, Witness
from diagnose.diagnosis.history import History, history_of
from diagnose.diagnosis.led import LeadsTo
from diagnose.diagnosis.links import links_of
from diagnose.diagnosis.prior import Chains
from diagnose.diagnosis.reach import Way, way_to
from diagnose.diagnosis.reads import reads_of
from diagnose.diagnosis.sets import Sets, sets_with_arcs
from diagnose.findings.model import Findings
from diagnose.rulebook.model import FAMILY, Band, Book, Quantity, Test
from diagnose.yamlfile import Place

KEPT = 24
"""So many different histories are remembered for the next case."""
KEPT_ARRAYS = 8
"""And so many tables of one block, which are larger."""


class Prior(NamedTuple):
    """`weights` of the hypotheses and `not_in_book` sum to 1; `chances` is P(present) for each cause."""

    weights: Floats
    not_in_book: float
    chances: Floats


class Spoils(NamedTuple):
    """Which readings of a block are worthless under which hypothesis.

    `patterns` has a row for each way of being spoiled that occurs and a column for each reading;
    `places` leads from each hypothesis to its row and pattern in a table of rows x patterns.
    """

    patterns: Flags
    places: Indexes


class Belief:
    """Compiled from a book that was read. Tables are built when a case first needs them."""

    def __init__(self, book: Book, like: Belief | None = None) -> None:
        """`like` is the belief of a book with the same causes, arcs and links, whose words differ at most."""
        self.book = book
        self.causes = tuple(book.causes)
        self.index = {name: number for number, name in enumerate(self.causes)}
        arcs = [
            LeadsTo(self.index[cause.id], self.index[arc.cause], arc.how_often.value)
            for cause in book.causes.values()
            for arc in cause.leads_to
        ]
        ends = [(arc.parent, arc.child) for arc in arcs]
        self.sets: Sets = sets_with_arcs(len(self.causes), ends) if like is None else like.sets
        self.chains = Chains(self.sets, arcs)
        self.links = links_of(book)
        self.blocks = self._group(like)
        self.block_of = {q.id: block for block in self.blocks for q in block.quantities}
        self.follows = {name: self._consequences(name) for name in self.causes}
        self.moves: dict[str, tuple[str, ...]] = {}
        for cause in book.causes.values():
            for conditions in (cause.only_when, *(entry.when for entry in cause.prior_when)):
                for name in (condition.quantity for condition in conditions):
                    if cause.id not in self.moves.get(name, ()):
                        self.moves[name] = (*self.moves.get(name, ()), cause.id)
        self._asked = tuple(name for name in self.moves if name != FAMILY)
        self.reads = reads_of(book.tests.values(), book, self.links, self.moves)
        self._explained: dict[Place, frozenset[str]] = {}
        self._unexplained: dict[Place, Flags] = {}
        self._ways: Recent[tuple[str, ...], dict[str, Way]] = Recent(KEPT)
        self._histories: Recent[tuple[object, ...], History] = Recent(KEPT)
        self._priors: Recent[tuple[object, ...], Prior] = Recent(KEPT)
        self._cars: Recent[tuple[object, ...], dict[Block, Tables]] = Recent(KEPT_ARRAYS)
        self._tables: dict[Block, Recent[tuple[object, ...], Tables]] = {b: Recent(KEPT_ARRAYS) for b in self.blocks}
        self._spoils: dict[Block, Recent[tuple[object, ...], Spoils]] = {b: Recent(KEPT_ARRAYS) for b in self.blocks}

    def _group(self, like: Belief | None) -> tuple[Block, ...]:
        groups: dict[str, list[Quantity]] = {}
        for name in self.links:
            quantity = self.book.quantities[name]
            key = f"together {quantity.moves_together}" if quantity.moves_together else f"alone {name}"
            groups.setdefault(key, []).append(quantity)
        alike = like.blocks if like is not None else (None,) * len(groups)
        return tuple(
            Block(quantities, self.links, self.index, self.sets, block)
            for quantities, block in zip(groups.values(), alike, strict=True)
        )

    def _consequences(self, cause: str) -> tuple[str, ...]:
        """What a cause leads to, and what that leads to, nearest first."""
        found: dict[str, None] = {}
        waiting = [cause]
        for name in waiting:
            for arc in self.book.causes[name].leads_to:
                if arc.cause not in found:
                    found[arc.cause] = None
                    waiting.append(arc.cause)
        return tuple(found)

    def way_to(self, test: Test, state: Mapping[str, str]) -> Way:
        """What it takes to get to a test of the book, as the car stands; few cars stand otherwise than most."""
        if test is not self.book.tests.get(test.id):
            return way_to(test, state, self.book)  # a shop's own
        known = self._ways.get((*state, *state.values()), dict)
        if test.id not in known:
            known[test.id] = way_to(test, state, self.book)
        return known[test.id]

    def history(self, findings: Findings) -> History:
        """How common each cause is on this car, and which can't be."""
        known = [findings.get(name) for name in self._asked]
        key = tuple((f.possible, f.together) if f is not None and f.status == "known" else () for f in known)
        families = tuple(name for name, share in findings.families.items() if share > 0)
        return self._histories.get((families, key), lambda: history_of(self.book, findings))

    def prior(self, history: History, proven: Sequence[str] = ()) -> Prior:
        """The hypotheses before anything was measured; with `proven` causes, sets of what is present besides them."""
        own = tuple(history.own.values())
        bands = tuple(band.place for band in history.complaints)
        key = (own, tuple(history.impossible), tuple(proven), bands)
        return self._priors.get(key, lambda: self._prior(own, history, proven))

    def explaining(self, band: Band) -> frozenset[str]:
        """The causes that account for a complaint: those that have it as a sign."""
        if band.place not in self._explained:
            links = [(link, c.bands) for c in band.shows_in for link in self.links.get(c.quantity, ())]
            shown = {link.cause for link, bands in links if link.band in bands}
            self._explained[band.place] = frozenset(n for n in shown if self.book.causes[n].kind != "misread")
        return self._explained[band.place]

    def groundless(self, band: Band, proven: Sequence[str], some: Indexes | None = None) -> Floats:
        """How much less each hypothesis (or some) brings a car in with this complaint, because nothing in it shows."""
        count = self.sets.count if some is None else len(some)
        if band.groundless is None or not self.explaining(band).isdisjoint(proven):
            return np.ones(count)
        if band.place not in self._unexplained:
            held = np.zeros(self.sets.count, dtype=np.bool_)
            for place in self.places(self.explaining(band)):
                held[self.sets.containing[place]] = True
            self._unexplained[band.place] = ~held
        without = self._unexplained[band.place]
        return np.where(without if some is None else without.take(some), band.groundless.value, 1.0)

    def _prior(self, own: Sequence[float], history: History, proven: Sequence[str]) -> Prior:
        impossible = tuple(history.impossible)
        weights = self.chains.weigh(np.array(own), self.places(impossible), self.places(proven))
        for band in history.complaints:
            weights *= self.groundless(band, proven)
        outside = 0.0 if proven else self.book.not_in_book.value
        total = float(weights.sum())
        if total > 0:
            weights *= (1 - outside) / total
        return Prior(weights, outside, self.chances(weights, self.places(proven)))

    def places(self, causes: Iterable[str]) -> tuple[int, ...]:
        return tuple(self.index[name] for name in causes)

    def chances(self, weights: Floats, proven: Sequence[int]) -> Floats:
        """P(present) for each cause, where `weights` of the hypotheses are given."""
        found = self.sets.sums(weights)
        found[list(proven)] = weights.sum()
        return found

    def tables(
        self, block: Block, in_force: frozenset[str], families: Sequence[str], seen: Evidence, proven: Sequence[int]
    ) -> Tables:
        """What the sets show in a block under the rules in force, in a car of one of these families."""
        car = self._cars.get((in_force, tuple(families), tuple(proven)), dict)
        if block in car:
            return car[block]
        dead = tuple(self._dead_bands(quantity, families, seen) for quantity in block.quantities)
        found = self._made(block, in_force, dead, proven)
        if not any(dead) and not any(seen.finding(quantity.id) for quantity in block.quantities):
            car[block] = found  # no reading has a say in which bands this car can show
        return found

    def _made(
        self, block: Block, in_force: frozenset[str], dead: tuple[frozenset[str], ...], proven: Sequence[int]
    ) -> Tables:
        inside = frozenset(proven) & frozenset(block.causes)
        key = (tuple(rule in in_force for rule in block.rules), dead, inside)
        return self._tables[block].get(key, lambda: block.tables(in_force, dead, inside))

    def _dead_bands(self, quantity: Quantity, families: Sequence[str], seen: Evidence) -> frozenset[str]:
        """Bands that are empty for every family the car may have, unless a reading names one all the same.

        Rules that link causes to such a band say nothing about this car.
        """
        if quantity.in_words or any("" in band.edges for band in quantity.bands):
            return frozenset()
        dead = {band.id for band in quantity.bands if not any(family in band.edges for family in families)}
        if dead and (len(dead) == len(quantity.bands) or quantity.normal in dead):
            return frozenset()
        for witness in seen.witnesses(quantity.id) if dead else ():
            dead -= {band.id for band, share in zip(quantity.bands, witness.shares, strict=True) if share > 0}
        return frozenset(dead)

    def spoils(self, block: Block, witnesses: Sequence[Witness], proven: Sequence[int]) -> Spoils:
        """Which of the witnesses of a block are spoiled under each hypothesis."""
        spoiled = tuple(witness.spoiled for witness in witnesses)
        key = (spoiled, tuple(proven) if any(spoiled) else ())
        return self._spoils[block].get(key, lambda: self._spoil(block, spoiled, proven))

    def _spoil(self, block: Block, spoiled: Sequence[Spoiled], proven: Sequence[int]) -> Spoils:
        patterns, column = self.patterns(spoiled, proven)
        return Spoils(patterns, block.rows if len(patterns) == 1 else block.rows * len(patterns) + column)

    def patterns(
        self, spoiled: Sequence[Spoiled], proven: Sequence[int], some: Indexes | None = None
    ) -> tuple[Flags, Indexes]:
        """The ways of being spoiled that occur, a row each, and which of them each hypothesis (or some) has."""
        code = np.zeros(self.sets.count if some is None else len(some), dtype=np.intp)
        for number, clauses in enumerate(spoiled):
            if clauses:
                code |= self.spoiled(clauses, proven, some).astype(np.intp) << number
        found = np.flatnonzero(np.bincount(code))
        column = np.zeros(int(found[-1]) + 1, dtype=np.intp)
        column[found] = np.arange(len(found))
        return (found[:, None] >> np.arange(len(spoiled))) & 1 == 1, column.take(code)

    def spoiled(self, clauses: Spoiled, proven: Sequence[int], some: Indexes | None = None) -> Flags:
        """For each hypothesis (or some), whether a reading is worthless."""
        sure = {self.causes[place] for place in proven}
        found = np.zeros(self.sets.count if some is None else len(some), dtype=np.bool_)
        for clause in clauses:
            all_of = np.ones(len(found), dtype=np.bool_)
            for fools in clause:
                if not fools & sure:
                    held = [self.sets.held[place] for place in self.places(sorted(fools))]
                    each = held if some is None else [row.take(some) for row in held]
                    all_of &= each[0] if len(each) == 1 else np.logical_or.reduce(each)
            found |= all_of
        return found
