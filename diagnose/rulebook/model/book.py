"""The whole book."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from diagnose.rulebook.model.cause import Cause
from diagnose.rulebook.model.common import Excuse, Scale, Source, Word
from diagnose.rulebook.model.quantity import Family, Quantity
from diagnose.rulebook.model.reckoning import Reckoning
from diagnose.rulebook.model.rule import Rule
from diagnose.rulebook.model.teaching import CardGroup, Entry, Lesson, Misconception, plain_label
from diagnose.rulebook.model.work import Caution, RepairWork, Service, State, Test
from diagnose.yamlfile import Place


class Change(NamedTuple):
    """What changed in an edition of the book; `date` is written as 2026-11-24."""

    edition: str
    date: str
    what: str
    place: Place


@dataclass(frozen=True)  # no slots, as for quantities
class Book:
    """A whole rulebook. Mappings keep the order of the files."""

    id: str
    title: str
    edition: str
    language: str
    scope: str
    defers_to: str
    weights_are: str
    how_often: Scale
    how_common: Scale
    not_in_book: Word
    sources: Mapping[str, Source]
    families: Mapping[str, Family]
    quantities: Mapping[str, Quantity]
    states: Mapping[str, State]
    causes: Mapping[str, Cause]
    tests: Mapping[str, Test]
    services: Mapping[str, Service]
    cautions: Mapping[str, Caution]
    rules: Mapping[str, Rule]
    place: Place
    changes: tuple[Change, ...] = ()
    excused: tuple[Excuse, ...] = ()
    entries: Mapping[str, Entry] = field(default_factory=dict)
    reckoning: Reckoning | None = None
    repair_work: RepairWork | None = None
    misconceptions: Mapping[str, Misconception] = field(default_factory=dict)
    lessons: Mapping[str, Lesson] = field(default_factory=dict)
    theme_labels: Mapping[str, str] = field(default_factory=dict)
    cards: tuple[CardGroup, ...] = ()

    def theme_label(self, theme: str) -> str:
        """How a theme is called on paper; its file's name where the book says nothing."""
        return self.theme_labels.get(theme) or plain_label(theme)

    @cached_property
    def assumed(self) -> tuple[Quantity, ...]:
        """Givens that the book assumes something of where nobody tells."""
        return tuple(q for q in self.quantities.values() if q.role == "given" and q.assume)

    @cached_property
    def noting(self) -> tuple[Quantity, ...]:
        """Readings behind which words are asked for."""
        return tuple(q for q in self.quantities.values() if q.note is not None)

    def in_order(self, names: Iterable[str]) -> list[str]:
        """Names of quantities in the order of the book."""
        return sorted(names, key=self._places.__getitem__)

    @cached_property
    def _places(self) -> Mapping[str, int]:
        return {name: place for place, name in enumerate(self.quantities)}

    @cached_property
    def decided_on(self) -> Mapping[str, tuple[str, ...]]:
        """By service: what the rules that decide for it look at, as often as they do."""
        found: dict[str, tuple[str, ...]] = {}
        for rule in self.rules.values():
            if rule.decides:
                looks = tuple(condition.quantity for condition in rule.when)
                found[rule.decides] = found.get(rule.decides, ()) + looks
        return found

    @cached_property
    def deciding_looks(self) -> Counter[str]:
        """How many deciding rules look at each quantity."""
        return Counter(name for looks in self.decided_on.values() for name in looks)

    @cached_property
    def noticed(self) -> frozenset[str]:
        """Readings that are only asked of people, together with givens and without a tool: what the driver noticed."""
        found: dict[str, bool] = {}
        for test in self.tests.values():
            names = [each.quantity for each in test.yields]
            by_hand = bool(test.tools) or bool(test.needs)
            asked = not by_hand and any(self.quantities[name].role == "given" for name in names)
            for name in names:
                found[name] = asked and found.get(name, True)
        return frozenset(name for name, asked in found.items() if asked)

    @cached_property
    def computed(self) -> tuple[Quantity, ...]:
        """Quantities with a formula, each after those that stand in it."""
        found: dict[str, Quantity] = {}
        for quantity in self.quantities.values():
            self._compute(quantity, found, frozenset())
        return tuple(found.values())

    def _compute(self, quantity: Quantity, found: dict[str, Quantity], above: frozenset[str]) -> None:
        if quantity.formula is None or quantity.id in found or quantity.id in above:
            return
        for name in quantity.formula.names:
            if name in self.quantities:
                self._compute(self.quantities[name], found, above | {quantity.id})
        found[quantity.id] = quantity

    @cached_property
    def reckoned_from(self) -> frozenset[str]:
        """What stands in a formula."""
        return frozenset(name for quantity in self.computed if quantity.formula for name in quantity.formula.names)

    @cached_property
    def asked(self) -> frozenset[str]:
        """What a rule's condition or a formula asks for."""
        return self.reckoned_from | {condition.quantity for rule in self.rules.values() for condition in rule.when}
