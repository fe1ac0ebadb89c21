"""What a test of the book reads, and what follows from it: the same for every case."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from itertools import combinations, product
from typing import NamedTuple

from diagnose.diagnosis.asked import wanted_first
from diagnose.diagnosis.evidence import Spoiled, better_than, spoiled_by
from diagnose.diagnosis.excluded import Concluded, concluded_of
from diagnose.rulebook.formula import inputs
from diagnose.rulebook.model import FAMILY, Book, Quantity, Rule, Test

_ANY_TERM = ("maximum", "minimum")
"""Operators that do with the terms that are known."""
MANY = 64
"""Ways to know one quantity beyond this many are not followed up."""

Way = frozenset[str]
"""Readings and givens that must be known together."""


class Follower(NamedTuple):
    """A derived quantity or a pattern, with the ways to come to know it in which the test has a part.

    `concluded` are the rules that conclude a pattern.
    """

    name: str
    ways: tuple[Way, ...]
    concluded: Concluded = ()


class Read(NamedTuple):
    """One quantity that a test reads: by a method, what of it is `as_good` or better, and what makes it worthless.

    `tells` whether the quantity is evidence.
    """

    quantity: Quantity
    method: str
    as_good: frozenset[str]
    spoiled: Spoiled
    tells: bool


class Reads(NamedTuple):
    """`readings` are quantities with the method; `givens` are asked and change how common causes are, or which tests
    may be done; `facts` are asked because a test or a service wants them, and nobody can say what will be answered.
    """

    each: tuple[Read, ...]
    givens: tuple[str, ...]
    followers: tuple[Follower, ...]
    facts: tuple[str, ...] = ()

    @property
    def readings(self) -> tuple[tuple[str, str], ...]:
        return tuple((read.quantity.id, read.method) for read in self.each)


def reads_of(tests: Iterable[Test], book: Book, evidence: Container[str], moves: Container[str]) -> dict[str, Reads]:
    """By test. `evidence` are the quantities that tell of causes, `moves` the givens that do."""
    follows = _Follows(book)
    ways = {
        quantity.id: follows.ways(quantity.id)
        for quantity in book.quantities.values()
        if quantity.role in ("derived", "pattern") and quantity.id in evidence
    }
    tests = tuple(tests)
    wanted = wanted_first(book)
    return {test.id: _reads(test, book, evidence, moves, ways, wanted) for test in tests}


def _reads(
    test: Test,
    book: Book,
    evidence: Container[str],
    moves: Container[str],
    ways: Mapping[str, tuple[Way, ...]],
    wanted: Container[str],
) -> Reads:
    roles = {each.quantity: book.quantities[each.quantity].role for each in test.yields}
    readings = {each.quantity: each.method for each in test.yields if roles[each.quantity] == "reading"}
    asked = [name for name, role in roles.items() if role == "given" and (name in moves or name in wanted)]
    givens = tuple(name for name in asked if book.quantities[name].how_often)
    facts = tuple(name for name in asked if name in wanted and name not in givens)
    followers = []
    for name, every in ways.items():
        own = tuple(way for way in every if not way.isdisjoint(readings))
        if own:
            followers.append(Follower(name, own, concluded_of(book.quantities[name], book)))
    each = tuple(_read(book.quantities[name], method, name in evidence) for name, method in readings.items())
    return Reads(each, givens, tuple(followers), facts)


def _read(quantity: Quantity, method: str, tells: bool) -> Read:
    as_good = frozenset({method, *better_than(quantity, method)})
    return Read(quantity, method, as_good, spoiled_by(quantity, method), tells)


class _Follows:
    """From what the quantities of a book follow, each worked out once."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._rules: dict[str, list[Rule]] = {}
        for rule in book.rules.values():
            if rule.concludes is not None:
                self._rules.setdefault(rule.concludes.quantity, []).append(rule)
        self._known: dict[str, tuple[Way, ...]] = {}

    def ways(self, name: str) -> tuple[Way, ...]:
        """Every set of readings and givens from which a quantity follows."""
        if name not in self._known:
            self._known[name] = self._find(name)
        return self._known[name]

    def _find(self, name: str) -> tuple[Way, ...]:
        quantity = self._book.quantities.get(name)
        if quantity is None or quantity.role in ("reading", "given"):
            return (frozenset() if name == FAMILY else frozenset({name}),)
        if quantity.formula is not None:
            terms = sorted(inputs(quantity.formula))
            if quantity.formula.operator in _ANY_TERM:
                return tuple(way for term in terms for way in self.ways(term))
            if quantity.formula.operator == "spread":
                numbers = sum(not term.name for term in quantity.formula.terms)
                pairs = combinations(terms, max(1, 2 - numbers))  # a spread does with two terms, numbers counted
                return tuple(dict.fromkeys(way for pair in pairs for way in self._all_of(list(pair))))
            return self._all_of(terms)
        # A rule that concludes the normal band needs less than it takes to tell the other bands apart.
        rules = self._rules.get(name, [])
        telling = [rule for rule in rules if rule.concludes and rule.concludes.bands != (quantity.normal,)]
        found = [
            way
            for rule in telling or rules
            for way in self._all_of(list(dict.fromkeys(condition.quantity for condition in rule.when)))
        ]
        return tuple(dict.fromkeys(found))[:MANY]

    def _all_of(self, names: list[str]) -> tuple[Way, ...]:
        ways = (frozenset().union(*chosen) for chosen in product(*map(self.ways, names)))
        return tuple(dict.fromkeys(way for way, _ in zip(ways, range(MANY), strict=False)))
