"""Bands of a pattern that no rule can conclude any more, whatever is read next."""

from __future__ import annotations

from collections.abc import Container, Sequence
from itertools import product

import numpy as np

from diagnose.diagnosis.arrays import Floats
from diagnose.diagnosis.asked import asked_for
from diagnose.findings.model import Findings
from diagnose.rulebook.model import FAMILY, Book, Condition, Quantity

Concluded = tuple[tuple[tuple[Condition, ...], ...], ...]
"""For each band of a pattern, the conditions of each of the rules that conclude it."""

_RISES = ("maximum", "spread")
"""Operators whose value a further term can only raise."""


def concluded_of(quantity: Quantity, book: Book) -> Concluded:
    """() for what is no pattern."""
    if quantity.role != "pattern":
        return ()
    rules = [(r.concludes, r.when) for r in book.rules.values() if r.concludes is not None]
    own = [(concludes.bands, when) for concludes, when in rules if concludes.quantity == quantity.id]
    return tuple(tuple(when for bands, when in own if band.id in bands) for band in quantity.bands)


def still_open(concluded: Concluded, findings: Findings, new: Container[str], book: Book) -> Concluded:
    """The rules that may conclude something once the quantities in `new` are read.

    A rule is left out where it wants something that is known to be otherwise, and that the new readings don't change.
    () where no rule is left, as with a pattern that was recorded by hand against its rules.
    """
    left = tuple(
        tuple(when for when in rules if not any(_ruled_out(c, findings, new, book) for c in when))
        for rules in concluded
    )
    return left if any(left) else ()


def _ruled_out(condition: Condition, findings: Findings, new: Container[str], book: Book) -> bool:
    quantity = book.quantities.get(condition.quantity)
    finding = findings.get(condition.quantity)
    if condition.quantity == FAMILY or quantity is None or finding is None or finding.status != "known":
        return False
    possible = set(finding.possible)
    if any(leaf in new for leaf in asked_for(quantity.id, book)):
        if quantity.formula is None or quantity.formula.operator not in _RISES:
            return False
        ids = [band.id for band in quantity.bands]
        possible = set(ids[min(ids.index(band) for band in possible) :])
    return possible.isdisjoint(condition.bands)


def can_come(quantities: Sequence[Quantity], concluded: Sequence[Concluded]) -> Floats:
    """1 for each combination of the quantities' bands in which every pattern follows by one of its rules, else 0."""
    numbers = {quantity.id: number for number, quantity in enumerate(quantities)}
    found = []
    for combination in product(*(range(len(quantity.bands)) for quantity in quantities)):
        told = {name: quantities[number].bands[combination[number]].id for name, number in numbers.items()}
        found.append(
            all(
                not rules or any(all(told.get(c.quantity) in (None, *c.bands) for c in when) for when in rules[band])
                for rules, band in zip(concluded, combination, strict=True)
            )
        )
    return np.array(found, dtype=float)
