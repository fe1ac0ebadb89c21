"""Pairs of causes that look alike in every finding."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations
from typing import TypeAlias

from diagnose.rulebook.formula import evidence_free
from diagnose.rulebook.model import FAMILY, Book, Cause
from diagnose.vet.check import Fault
from diagnose.vet.whole_book import WholeBook

PARTS = 2.0
"""A finding parts two causes when one of them shows it at least this many times as often (judgement)."""

Facts: TypeAlias = frozenset[tuple[str, tuple[str, ...]]]
"""Givens, and the family, under which a rule's links are in force."""
Row: TypeAlias = Mapping[tuple[str, str, Facts], float]
"""How often a cause alone shows each band that rules link it to."""


def pairs_not_parted(whole: WholeBook) -> Iterator[Fault]:
    """Causes that one piece of work cures need not be parted; nor those of which one proof or one given tells."""
    rows = _rows(whole.book)
    proven = {rule.proves for rule in whole.book.rules.values()}
    for one, other in combinations(whole.book.causes.values(), 2):
        if one.kind != other.kind or {one.id, other.id} & proven or _one_repair(one, other):
            continue
        if _history(one) != _history(other) or _fools(one.id, whole.book) != _fools(other.id, whole.book):
            continue
        if all(_alike(pair, rows[one.id], rows[other.id], whole.book) for pair in {*rows[one.id], *rows[other.id]}):
            says = f"no finding parts '{one.id}' from '{other.id}': each shows all of them about as often as the other"
            hint = "link a finding that only one of them shows, or give both the same 'same_repair'"
            yield Fault(other.place, says, hint, (("cause", one.id), ("cause", other.id)))


def _rows(book: Book) -> Mapping[str, Row]:
    free = evidence_free(book.quantities)
    rows: dict[str, dict[tuple[str, str, Facts], float]] = {name: {} for name in book.causes}
    for rule in book.rules.values():
        if rule.seen_with:
            seen = next(c for c in rule.when if c.quantity != FAMILY and c.quantity not in free)
            facts = frozenset((c.quantity, tuple(sorted(c.bands))) for c in rule.when if c is not seen)
            for link in rule.seen_with:
                rows[link.cause][seen.quantity, seen.bands[0], facts] = link.how_often.value
    return rows


def _alike(pair: tuple[str, str, Facts], one: Row, other: Row, book: Book) -> bool:
    healthy = book.quantities[pair[0]].healthy.get(pair[1], 0.0)
    low, high = sorted((one.get(pair, healthy), other.get(pair, healthy)))
    return high < PARTS * low


def _one_repair(one: Cause, other: Cause) -> bool:
    return bool(one.repair.same_repair) and one.repair.same_repair == other.repair.same_repair


def _history(cause: Cause) -> tuple[object, ...]:
    """What is asked about the car that tells of this cause."""
    asked = (cause.only_when, *(prior.when for prior in cause.prior_when))
    return tuple(tuple((c.quantity, c.bands) for c in conditions) for conditions in asked)


def _fools(cause: str, book: Book) -> list[tuple[str, str]]:
    return [(q.id, method.id) for q in book.quantities.values() for method in q.methods if cause in method.fooled_by]
