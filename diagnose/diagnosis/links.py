"""Which causes show in which quantity: the links of a book's rules, as the belief reads them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from diagnose.rulebook.formula import evidence_free
from diagnose.rulebook.model import FAMILY, Book


class RuleLink(NamedTuple):
    """Of systems with `cause` alone, `how_often` (0 to 1) show `band`, as `rule` says while it is in force."""

    rule: str
    cause: str
    band: str
    how_often: float


def links_of(book: Book) -> Mapping[str, tuple[RuleLink, ...]]:
    """The links by quantity; a quantity that stands here is evidence, and no other is.

    A rule's links speak of the one band that its `when` names outside givens and family.
    """
    free = evidence_free(dict(book.quantities))
    found: dict[str, list[RuleLink]] = {}
    for rule in book.rules.values():
        if not rule.seen_with:
            continue
        spot = next(c for c in rule.when if c.quantity != FAMILY and c.quantity not in free)
        found.setdefault(spot.quantity, []).extend(
            RuleLink(rule.id, link.cause, spot.bands[0], link.how_often.value) for link in rule.seen_with
        )
    return {name: tuple(found[name]) for name in book.quantities if name in found}
