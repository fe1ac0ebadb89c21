"""The same book with its judgement shaken: what would another instructor, as good as this one, have written?

M. Pradhan, M. Henrion, G. Provan, B. Del Favero and K. Huang, Artificial Intelligence 85, 1996: how far a ranking
depends on the exact numbers is found by disturbing them.
"""

from __future__ import annotations

from dataclasses import replace
from math import exp, log
from typing import TYPE_CHECKING

from diagnose.rulebook.model import Book, Cause, Quantity, Rule, Word

if TYPE_CHECKING:
    from random import Random

TIMES = 200
"""So many times a book is shaken."""
FACTOR = 2.0
"""Odds, and minutes of repairs and of coming back, are multiplied by between 1 / FACTOR and FACTOR."""
SEED = 20
"""The same shakes for every case."""
MOST = 0.99
"""Words of one cause in one quantity add up to this at most."""


def shaken(book: Book, factor: float, random: Random) -> Book:
    """The book with every judgement number moved: priors, arcs, links, baselines, minutes of repair and of coming back.

    What a book may not hold is kept out: no word falls below its band's baseline, and words of one cause in one
    quantity add up to MOST at most.
    """
    shake = _Shake(factor, random)
    quantities = {name: shake.quantity(quantity) for name, quantity in book.quantities.items()}
    causes = {name: shake.cause(cause) for name, cause in book.causes.items()}
    rules = {name: shake.rule(rule, quantities) for name, rule in book.rules.items()}
    return replace(
        book,
        quantities=quantities,
        causes=causes,
        rules=_within(rules, quantities),
        not_in_book=shake.word(book.not_in_book),
    )


class _Shake:
    def __init__(self, factor: float, random: Random) -> None:
        self._far = log(factor)
        self._random = random

    def _move(self) -> float:
        return exp(self._random.uniform(-self._far, self._far))

    def share(self, value: float) -> float:
        """Its odds are moved; nothing and certainty stay."""
        if not 0 < value < 1:
            return value
        odds = value / (1 - value) * self._move()
        return odds / (1 + odds)

    def word(self, word: Word) -> Word:
        return word._replace(value=self.share(word.value))

    def cause(self, cause: Cause) -> Cause:
        return cause._replace(
            how_common=self.word(cause.how_common),
            prior_when=tuple(each._replace(how_common=self.word(each.how_common)) for each in cause.prior_when),
            leads_to=tuple(arc._replace(how_often=self.word(arc.how_often)) for arc in cause.leads_to),
            repair=cause.repair._replace(minutes=cause.repair.minutes * self._move()),
            comes_back=cause.comes_back._replace(minutes=cause.comes_back.minutes * self._move()),
        )

    def quantity(self, quantity: Quantity) -> Quantity:
        if not quantity.healthy:
            return quantity
        moved = {n: self.share(share) for n, share in quantity.healthy.items() if n != quantity.normal}
        total = sum(moved.values())
        healthy = {n: 1 - total if n == quantity.normal else moved[n] for n in quantity.healthy}
        return replace(quantity, healthy=healthy)

    def rule(self, rule: Rule, quantities: dict[str, Quantity]) -> Rule:
        if not rule.seen_with:
            return rule
        least = max(
            (quantities[c.quantity].healthy.get(c.bands[0], 0.0) for c in rule.when if c.quantity in quantities),
            default=0.0,
        )
        links = tuple(
            link._replace(how_often=link.how_often._replace(value=max(self.share(link.how_often.value), least)))
            for link in rule.seen_with
        )
        return rule._replace(seen_with=links)


def _within(rules: dict[str, Rule], quantities: dict[str, Quantity]) -> dict[str, Rule]:
    """Words of one cause in one quantity are scaled down where they add up to too much."""
    spot = {
        name: next(c.quantity for c in rule.when if c.quantity in quantities and quantities[c.quantity].healthy)
        for name, rule in rules.items()
        if rule.seen_with
    }
    sums: dict[tuple[str, str], float] = {}
    for name, quantity in spot.items():
        for link in rules[name].seen_with:
            sums[(link.cause, quantity)] = sums.get((link.cause, quantity), 0.0) + link.how_often.value
    found = {}
    for name, rule in rules.items():
        links = []
        for link in rule.seen_with:
            # rules that are never in force together are counted together: a little too careful
            most = sums[(link.cause, spot[name])]
            scale = min(1.0, MOST / most) if most > MOST else 1.0
            links.append(link._replace(how_often=link.how_often._replace(value=link.how_often.value * scale)))
        found[name] = rule._replace(seen_with=tuple(links)) if links else rule
    return found
