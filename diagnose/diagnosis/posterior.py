"""How probable every set of causes is once the findings are taken in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import prod
from typing import NamedTuple

import numpy as np

from diagnose.diagnosis.arrays import Floats, Indexes
from diagnose.diagnosis.belief import Belief, Prior
from diagnose.diagnosis.blocks import Block, Tables
from diagnose.diagnosis.contradiction import impossible_proof, unexplained
from diagnose.diagnosis.evidence import Evidence, Witness
from diagnose.diagnosis.history import History
from diagnose.firings.model import Firings

Witnesses = Mapping[int, tuple[Witness, ...]]
"""By the number of the part: the witnesses that speak about its quantity."""


class Seen(NamedTuple):
    """What was seen in one block.

    `likelihood` has a row for each set and a column for each pattern of spoiling; `places` leads from
    each hypothesis into it, row by row. `by_part` is the likelihood over the bands of each quantity
    for each pattern, `outside` that of each quantity where the cause is not in the book.
    """

    block: Block
    tables: Tables
    witnesses: Witnesses
    by_part: Mapping[int, Floats]
    likelihood: Floats
    places: Indexes
    outside: Mapping[int, float]


class Posterior(NamedTuple):
    """`weights` of the hypotheses and `not_in_book` sum to 1; `chances` is P(present) for each cause."""

    belief: Belief
    firings: Firings
    evidence: Evidence
    history: History
    proven: Mapping[str, tuple[str, ...]]
    prior: Prior
    seen: tuple[Seen, ...]
    weights: Floats
    not_in_book: float
    chances: Floats

    @property
    def sure(self) -> tuple[int, ...]:
        """The proven causes, as places in the book."""
        return self.belief.places(tuple(self.proven))

    @property
    def nothing_wrong(self) -> float:
        return 0.0 if self.proven else float(self.weights[0])

    def families(self) -> tuple[str, ...]:
        return tuple(name for name, share in self.firings.findings.families.items() if share > 0)


def weigh(belief: Belief, firings: Firings, proofs: bool = True) -> Posterior:
    """The posterior of one case; without `proofs` as if no rule had proven anything.

    Raises Contradiction where nothing explains the readings.
    """
    evidence = Evidence(belief.book, firings)
    history = belief.history(firings.findings)
    proven = _proven(firings) if proofs else {}
    for cause in proven:
        if cause in history.impossible:
            raise impossible_proof(belief.book, firings, cause, proven[cause], history.impossible[cause])
    sure = belief.places(tuple(proven))
    prior = belief.prior(history, tuple(proven))
    families = tuple(name for name, share in firings.findings.families.items() if share > 0)
    seen = []
    recorded = firings.findings.found
    reached = {belief.block_of[name] for name in recorded if name in belief.block_of}
    for block in (block for block in belief.blocks if block in reached):
        read = [(n, q.id) for n, q in enumerate(block.quantities) if q.id in recorded]
        witnesses = {number: found for number, name in read if (found := evidence.witnesses(name))}
        if witnesses:
            tables = belief.tables(block, firings.in_force, families, evidence, sure)
            seen.append(see(belief, block, tables, witnesses, sure))
    weights, not_in_book = combine(prior, seen)
    total = float(weights.sum()) + not_in_book
    if not total > 0:
        raise unexplained(belief.book, firings, _least_unexplained(belief, prior, seen, sure))
    weights /= total
    chances = belief.chances(weights, sure)
    return Posterior(
        belief, firings, evidence, history, proven, prior, tuple(seen), weights, not_in_book / total, chances
    )


def see(belief: Belief, block: Block, tables: Tables, witnesses: Witnesses, sure: Sequence[int]) -> Seen:
    """The likelihood of everything that speaks about a block."""
    spoils = belief.spoils(block, tuple(w for each in witnesses.values() for w in each), sure)
    by_part: dict[int, Floats] = {}
    outside: dict[int, float] = {}
    column = 0
    for number, each in witnesses.items():
        shares = np.array([witness.shares for witness in each]).T
        spoiled = spoils.patterns[:, column : column + len(each)]
        column += len(each)
        # bands x patterns: the readings of one quantity multiplied, the spoiled ones flat
        by_part[number] = np.where(spoiled, tables.flat[number], shares[:, None, :]).prod(axis=2)
        outside[number] = float(tables.outside[number] @ shares.prod(axis=1))
    return Seen(block, tables, witnesses, by_part, block.likelihood(tables, by_part), spoils.places, outside)


def combine(prior: Prior, seen: Sequence[Seen]) -> tuple[Floats, float]:
    """Prior times all likelihoods, not scaled to sum 1."""
    weights, not_in_book = prior.weights.copy(), prior.not_in_book
    for each in seen:
        top = float(each.likelihood.max())  # keeps many small factors from vanishing
        if top == 0:
            return np.zeros_like(weights), 0.0
        weights *= (each.likelihood.ravel() / top).take(each.places)
        not_in_book *= prod(each.outside.values()) / top
    return weights, not_in_book


def _proven(firings: Firings) -> dict[str, tuple[str, ...]]:
    """The causes that rules prove which fired for sure, each with those rules."""
    found: dict[str, tuple[str, ...]] = {}
    for firing in firings.fired:
        if firing.rule.proves and firing.state == "fires":
            found[firing.rule.proves] = (*found.get(firing.rule.proves, ()), firing.rule.id)
    return found


def _least_unexplained(belief: Belief, prior: Prior, seen: Sequence[Seen], sure: Sequence[int]) -> list[str]:
    """A smallest list of quantities that nothing explains together: leaving any of them out, something does."""
    needed = [(each, number) for each in seen for number in each.witnesses]
    for candidate in tuple(needed):
        kept = [one for one in needed if one is not candidate]
        fewer = []
        for each in seen:
            witnesses = {number: each.witnesses[number] for other, number in kept if other is each}
            if witnesses:
                fewer.append(see(belief, each.block, each.tables, witnesses, sure))
        weights, not_in_book = combine(prior, fewer)
        if not weights.sum() + not_in_book > 0:
            needed = kept
    return [each.block.quantities[number].id for each, number in needed]
