"""What a test would show, hypothesis by hypothesis, with everything that was read before taken in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import prod
from typing import NamedTuple

import numpy as np

from diagnose.diagnosis.arrays import Floats, Indexes, steady
from diagnose.diagnosis.asking import ask
from diagnose.diagnosis.blocks import Block, Tables
from diagnose.diagnosis.evidence import Spoiled, Witness
from diagnose.diagnosis.excluded import can_come
from diagnose.diagnosis.far import Few
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.information import Question
from diagnose.diagnosis.posterior import Posterior, Witnesses
from diagnose.diagnosis.yields import Told, Yielded
from diagnose.rulebook.model import Quantity

WIDEST = 96
"""Of several answers at once, at most this many combinations are held; the least telling ones give way."""


class Answers(NamedTuple):
    """The answers of one quantity.

    `joint` holds P(hypothesis and answer): a row for each hypothesis of the focus and one more for a cause
    that is not in the book, a column for each band.
    """

    quantity: Quantity
    joint: Floats


class Foresight:
    """Answers of tests for one posterior."""

    def __init__(self, posterior: Posterior, focus: Focus, question: Question) -> None:
        self._posterior = posterior
        self._belief = posterior.belief
        self._focus = focus
        self._question = question
        self._kept: dict[Block, tuple[Few, Indexes]] = {}
        self._seen = {seen.block: seen for seen in posterior.seen}

    @property
    def posterior(self) -> Posterior:
        return self._posterior

    @property
    def mass(self) -> Floats:
        """P(hypothesis), the last one for a cause that is not in the book."""
        return self._question.mass

    def block_of(self, quantity: Quantity) -> Block:
        """The block in which a quantity is judged."""
        return self._belief.block_of[quantity.id]

    def linked(self, quantity: Quantity) -> frozenset[str]:
        """The causes that show in a quantity."""
        return frozenset(link.cause for link in self._belief.links[quantity.id])

    def answers(self, of: Yielded) -> tuple[Answers, ...]:
        """The answers of each quantity that a test yields."""
        found: list[Answers] = []
        for block, members in self._blocks(of).items():
            found += self._each(members, self.given_the_set(block, members))
        for quantity in of.givens:
            found.append(Answers(quantity, ask(quantity, self._posterior, self._focus, self._question.mass)))
        return tuple(found)

    def bits(self, of: Yielded) -> float:
        """The bits of all that a test yields together.

        Facts about the history are taken one by one and their bits added, which is never too little.
        """
        blocks = self._blocks(of)
        bits = self._together([self.given_the_set(block, members) for block, members in blocks.items()])
        for quantity in of.givens:
            bits += self._question.bits(ask(quantity, self._posterior, self._focus, self._question.mass))
        return bits

    def _blocks(self, of: Yielded) -> dict[Block, list[Told]]:
        blocks: dict[Block, list[Told]] = {}
        for told in of.evidence:
            blocks.setdefault(self._belief.block_of[told.quantity.id], []).append(told)
        return blocks

    def _each(self, members: Sequence[Told], given: Floats) -> list[Answers]:
        """One by one, the quantities of a block whose answers stand together in the columns of `given`."""
        found = []
        shape = [len(told.quantity.bands) for told in members]
        for axis, told in enumerate(members):
            others = tuple(number + 1 for number in range(len(members)) if number != axis)
            alone = given.reshape(len(given), *shape).sum(axis=others) if others else given
            found.append(Answers(told.quantity, alone * self._question.mass[:, None]))
        return found

    def _together(self, sides: Sequence[Floats]) -> float:
        """Bits of several answers at once; they are independent once the set is given."""
        joint = self._question.mass[:, None]
        if not sides:
            return 0.0
        if prod(side.shape[1] for side in sides) > WIDEST:
            sides = sorted(sides, key=lambda side: -steady(self._question.bits(side * joint)))
        for side in sides:
            if joint.shape[1] * side.shape[1] <= WIDEST or joint.shape[1] == 1:
                joint = (joint[:, :, None] * side[:, None, :]).reshape(len(side), -1)
        return self._question.bits(joint)

    def given_the_set(self, block: Block, members: Sequence[Told]) -> Floats:
        """P(answers | hypothesis, all that was read): a column for each combination of answers."""
        found = self._given_the_set(block, members)
        return _that_can_come(found, members) if any(told.concluded for told in members) else found

    def _given_the_set(self, block: Block, members: Sequence[Told]) -> Floats:
        seen = self._seen.get(block)
        new = {block.quantities.index(told.quantity): told for told in members}
        if seen is None:
            tables = self._tables(block)
            if len(new) == 1:
                ((number, told),) = new.items()
                return self._first_reading(block, tables, number, told.spoiled)
            return self._further_reading(block, tables, {}, new)
        return self._further_reading(block, seen.tables, seen.witnesses, new)

    def _tables(self, block: Block) -> Tables:
        at = self._posterior
        return self._belief.tables(block, at.firings.in_force, at.families(), at.evidence, at.sure)

    def _first_reading(self, block: Block, tables: Tables, number: int, spoiled: Spoiled) -> Floats:
        """Where nothing of the block was read before, and one quantity would be."""
        found = np.empty((len(self._focus.places) + 1, len(block.quantities[number].bands)))
        found[:-1] = block.by_itself(tables, number, block.rows.take(self._focus.places))
        if spoiled:
            worthless = self._belief.spoiled(spoiled, self._posterior.sure, self._focus.places)
            found[:-1][worthless] = tables.flat[number]
        found[-1] = tables.outside[number]
        return found

    def _further_reading(self, block: Block, tables: Tables, before: Witnesses, new: Mapping[int, Told]) -> Floats:
        numbers = sorted({*before, *new})
        witnesses: dict[int, tuple[Witness, ...]] = {
            n: (*before.get(n, ()), *([Witness((), new[n].spoiled)] if n in new else [])) for n in numbers
        }
        spoiled_by = [witness.spoiled for n in numbers for witness in witnesses[n]]
        spoils, pattern = self._belief.patterns(spoiled_by, self._posterior.sure, self._focus.places)
        patterns = len(spoils)
        shape = tuple(len(told.quantity.bands) for told in new.values())
        wide = (1,) * len(shape)
        by_part: dict[int, Floats] = {}
        outside = np.ones(shape)
        column = 0
        for number in numbers:
            bands, flat = len(block.quantities[number].bands), tables.flat[number]
            read, plain = np.ones((bands, patterns, *wide)), np.ones((bands, *wide))
            for witness in witnesses[number]:
                spoiled = spoils[:, column].reshape(1, patterns, *wide)
                column += 1
                if witness.shares:
                    shares = np.array(witness.shares).reshape(bands, *wide)
                else:
                    axis = list(new).index(number)
                    shares = np.eye(bands).reshape(bands, *(bands if n == axis else 1 for n in range(len(shape))))
                read = read * (np.where(spoiled, flat, shares[:, None]) if patterns > 1 else shares[:, None])
                plain = plain * shares
            if read.shape[2:] != shape:
                read = np.broadcast_to(read, (bands, patterns, *shape))
            by_part[number] = read.reshape(bands, -1)
            outside = outside * (tables.outside[number].reshape(bands, *wide) * plain).sum(axis=0)
        few, local = self._few(block)
        found = block.likelihood(tables, by_part, few).reshape(few.count * patterns, -1)
        found = np.concatenate((found.take(local * patterns + pattern, axis=0), outside.reshape(1, -1)))
        total = found.sum(axis=1, keepdims=True)
        return found / np.where(total > 0, total, 1.0)

    def _few(self, block: Block) -> tuple[Few, Indexes]:
        if block not in self._kept:
            self._kept[block] = block.few(block.rows.take(self._focus.places))
        return self._kept[block]


def _that_can_come(given: Floats, members: Sequence[Told]) -> Floats:
    """The answers that rules leave, in proportion."""
    kept = can_come([told.quantity for told in members], [told.concluded for told in members])
    found = given * kept
    total = found.sum(axis=1, keepdims=True)
    return np.where(total > 0, found / np.where(total > 0, total, 1.0), kept / max(kept.sum(), 1.0))
