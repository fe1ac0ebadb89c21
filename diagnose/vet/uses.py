"""Which names a book makes use of, apart from the entries that carry them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass

from diagnose.diagnosis.asked import wanted_first
from diagnose.rulebook.formula import inputs
from diagnose.rulebook.model import FAMILY, Book, Citation, Condition
from diagnose.yamlfile import Place


@dataclass(frozen=True, slots=True)
class Uses:
    """`bands` are asked for by a rule's `when`; `asked` are the quantities that rules or formulas look at,
    `reckoned` those that formulas do.

    `history` are givens, and what follows from them, that move a prior or make a cause impossible.
    `first` are wanted before a test is done or a service is settled.
    `families` stand in a condition; `family_values` are those that formulas reckon with.
    """

    sources: frozenset[str]
    cautions: frozenset[str]
    bands: frozenset[tuple[str, str]]
    asked: frozenset[str]
    reckoned: frozenset[str]
    history: frozenset[str]
    first: frozenset[str]
    families: frozenset[str]
    family_values: frozenset[str]
    nominated: frozenset[str]
    yielded: frozenset[tuple[str, str]]
    states: frozenset[tuple[str, str]]
    decided: frozenset[str]


def uses_of(book: Book) -> Uses:
    rules, tests = book.rules.values(), book.tests.values()
    in_rules = [condition for rule in rules for condition in rule.when]
    in_priors = list(_history(book))
    terms = [term for q in book.quantities.values() if q.formula is not None for term in q.formula.terms]
    reckoned = {name for q in book.quantities.values() if q.formula is not None for name in inputs(q.formula)}
    in_values = {n.removeprefix("family.") for t in terms for n in (t.name, t.by) if n.startswith("family.")}
    causes, services = book.causes.values(), book.services.values()
    named = [each.cautions for part in (tests, causes, services, rules) for each in part]
    return Uses(
        sources=frozenset(citation.source for citation in citations(book)),
        cautions=frozenset(name for names in named for name in names),
        bands=frozenset((c.quantity, band) for c in in_rules for band in c.bands),
        asked=frozenset({c.quantity for c in in_rules} | reckoned),
        reckoned=frozenset(reckoned),
        history=frozenset(c.quantity for c in in_priors),
        first=wanted_first(book),
        families=frozenset(name for c in (*in_rules, *in_priors) if c.quantity == FAMILY for name in c.bands),
        family_values=frozenset(in_values),
        nominated=frozenset(name for rule in rules for name in rule.next),
        yielded=frozenset((each.quantity, each.method) for test in tests for each in test.yields),
        states=frozenset(pair for test in tests for state in (test.needs, test.leaves) for pair in state.items()),
        decided=frozenset(rule.decides for rule in rules if rule.decides),
    )


def citations(part: object) -> Iterator[Citation]:
    """Every source that is named anywhere in a book or a part of it."""
    if isinstance(part, Citation):
        yield part
    elif isinstance(part, Mapping):
        for value in part.values():
            yield from citations(value)
    elif isinstance(part, tuple) and not isinstance(part, Place):
        for item in part:
            yield from citations(item)
    elif is_dataclass(part):
        for field in fields(part):
            yield from citations(getattr(part, field.name))


def _history(book: Book) -> Iterable[Condition]:
    for cause in book.causes.values():
        yield from cause.only_when
        for prior in cause.prior_when:
            yield from prior.when
