"""Patterns: what rules conclude from several findings together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from graphlib import TopologicalSorter

from diagnose.findings.model import Finding, Findings, Reading
from diagnose.findings.shown import show_limits, show_words
from diagnose.firings.terms import chance, possible_families
from diagnose.rulebook.model import FAMILY, Book, Condition, Quantity, Rule


@dataclass(frozen=True, slots=True)
class Pattern:
    """A quantity that rules put into a band; `givens` are each rule's conditions on the car's facts and family."""

    quantity: Quantity
    rules: tuple[Rule, ...]
    givens: Mapping[str, tuple[Condition, ...]]

    def settle(self, fires: frozenset[str], may_fire: frozenset[str], findings: Findings) -> Finding | None:
        """The pattern as a finding, or None as long as it is open.

        A rule that fires decides (rules that contradict each other leave several bands
        possible); where rules only may fire, their bands and the normal one are possible. Where
        none does, the pattern is normal, but only if everything is known that the rules look at.
        """
        surely = {_band(rule): 1.0 for rule in self.rules if rule.id in fires}
        if surely:
            return self._finding(surely)
        perhaps: dict[str, float] = {}
        for rule in self.rules:
            if rule.id in may_fire:
                perhaps[_band(rule)] = max(perhaps.get(_band(rule), 0.0), chance(rule.when, findings))
        if perhaps:
            rest = max(0.0, 1.0 - sum(perhaps.values()))
            return self._finding({**perhaps, self.quantity.normal: rest + perhaps.get(self.quantity.normal, 0.0)})
        if all(self._is_silent(rule, findings) for rule in self.rules):
            return self._finding({self.quantity.normal: 1.0})
        return None

    def _is_silent(self, rule: Rule, findings: Findings) -> bool:
        """Whether a rule that does not fire has seen all it looks at (or can't concern this car)."""
        if any(_fails(condition, findings) for condition in self.givens[rule.id]):
            return True
        return all(_possible(condition.quantity, findings) for condition in rule.when)

    def _finding(self, weights: Mapping[str, float]) -> Finding:
        possible = tuple(band.id for band in self.quantity.bands if band.id in weights)
        total = sum(weights.values())
        shares = tuple(weights.get(band.id, 0.0) / total for band in self.quantity.bands)
        shown = show_words(possible)
        return Finding(
            quantity=self.quantity,
            status="known",
            readings=(Reading(method="", recorded=shown, interval=None, shares=shares, place=None),),
            possible=possible,
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
        stages.append(tuple(_pattern(book, name, rules[name]) for name in book.quantities if name in ready))
        order.done(*ready)
    return tuple(stages)


def about_the_car(condition: Condition, book: Book) -> bool:
    """Whether a condition looks at a given or at the family, which put rules in and out of force."""
    return condition.quantity == FAMILY or book.quantities[condition.quantity].role == "given"


def _pattern(book: Book, name: str, rules: list[Rule]) -> Pattern:
    givens = {rule.id: tuple(c for c in rule.when if about_the_car(c, book)) for rule in rules}
    return Pattern(book.quantities[name], tuple(rules), givens)


def _band(rule: Rule) -> str:
    assert rule.concludes is not None
    return rule.concludes.bands[0]


def _possible(name: str, findings: Findings) -> tuple[str, ...]:
    if name == FAMILY:
        return possible_families(findings)
    finding = findings.get(name)
    return finding.possible if finding is not None and finding.status == "known" else ()


def _fails(condition: Condition, findings: Findings) -> bool:
    possible = _possible(condition.quantity, findings)
    return bool(possible) and not set(possible) & set(condition.bands)
