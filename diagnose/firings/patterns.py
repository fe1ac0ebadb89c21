"""Patterns: what rules conclude from several findings together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from graphlib import TopologicalSorter
from typing import NamedTuple

from diagnose.findings.model import Finding, Findings, Reading
from diagnose.findings.shown import show_limits, show_words
from diagnose.firings.doubt import ways
from diagnose.firings.terms import possible, term
from diagnose.rulebook.model import FAMILY, Book, Condition, Quantity, Rule


class Pattern(NamedTuple):
    """A quantity and the rules that put it into a band."""

    quantity: Quantity
    rules: tuple[Rule, ...]

    def settle(self, fires: frozenset[str], may_fire: frozenset[str], findings: Findings) -> Finding | None:
        """The pattern as a finding, or None as long as it is open.

        A rule that fires decides; rules that contradict each other leave several bands possible.
        Where rules only may fire, every way things may be is weighed. Where none does, the
        pattern is normal, but only if everything is known that its rules look at (those that
        can't concern this car aside).
        """
        surely = [rule for rule in self.rules if rule.id in fires]
        if surely:
            return self._finding(dict.fromkeys(map(_band, surely), 1.0))
        if not may_fire.isdisjoint(rule.id for rule in self.rules):
            weights = self._weigh(findings)
            return self._finding(weights) if weights else None
        if any(_waits(rule, findings) for rule in self.rules):
            return None
        return self._finding({self.quantity.normal: 1.0})

    def _weigh(self, findings: Findings) -> Mapping[str, float]:
        """How much of what the readings allow leads to each band; empty where a reading is missing for that."""
        weights: defaultdict[str, float] = defaultdict(float)
        for way in ways([condition for rule in self.rules for condition in rule.when], findings):
            bands = {_band(rule) for rule in self.rules if way.holding.issuperset(map(term, rule.when))}
            if not bands:
                for rule in self.rules:
                    known = [term(each) for each in rule.when if possible(each.quantity, findings)]
                    if len(known) < len(rule.when) and way.holding.issuperset(known):
                        return {}
                bands = {self.quantity.normal}
            for band in bands:
                weights[band] += way.weight / len(bands)
        return weights

    def _finding(self, weights: Mapping[str, float]) -> Finding:
        bands = tuple(band.id for band in self.quantity.bands if band.id in weights)
        total = sum(weights.values())
        shares = tuple(weights.get(band.id, 0.0) / total for band in self.quantity.bands)
        shown = show_words(bands)
        return Finding(
            quantity=self.quantity,
            status="known",
            readings=(Reading(method="", recorded=shown, interval=None, shares=shares, place=None),),
            possible=bands,
            interval=None,
            shown=shown,
            limits_shown=show_limits(self.quantity, {}),
            disagree=False,
            derived=True,
        )


def patterns_of(book: Book) -> tuple[tuple[Pattern, ...], ...]:
    """The book's patterns in stages: each looks only at findings and at patterns of earlier stages.

    A book that was read has no rings among them.
    """
    rules: dict[str, list[Rule]] = {}
    for rule in book.rules.values():
        if rule.concludes:
            rules.setdefault(rule.concludes.quantity, []).append(rule)
    looks_at = {
        name: {condition.quantity for rule in concluding for condition in rule.when} & rules.keys()
        for name, concluding in rules.items()
    }
    order = TopologicalSorter(looks_at)
    order.prepare()
    stages = []
    while order.is_active():
        ready = order.get_ready()
        stages.append(
            tuple(Pattern(book.quantities[name], tuple(rules[name])) for name in book.quantities if name in ready)
        )
        order.done(*ready)
    return tuple(stages)


def about_the_car(condition: Condition, book: Book) -> bool:
    """Whether a condition looks at a given or at the family, which put rules in and out of force."""
    return condition.quantity == FAMILY or book.quantities[condition.quantity].role == "given"


def _band(rule: Rule) -> str:
    assert rule.concludes is not None
    return rule.concludes.bands[0]


def _waits(rule: Rule, findings: Findings) -> bool:
    """Whether the rule looks at something that is not known, though it may concern this car."""
    if all(possible(condition.quantity, findings) for condition in rule.when):
        return False
    return not any(_fails(each, findings) for each in rule.when if each.quantity in (FAMILY, *findings.givens))


def _fails(condition: Condition, findings: Findings) -> bool:
    bands = possible(condition.quantity, findings)
    return bool(bands) and set(bands).isdisjoint(condition.bands)
