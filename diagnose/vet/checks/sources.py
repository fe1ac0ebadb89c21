"""Numbers that nobody vouches for."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from diagnose.rulebook.model import Amount, Draining
from diagnose.vet.check import Fault
from diagnose.vet.whole_book import WholeBook

_HINT = "add 'sources: [{id: ...}]'; a limit of your own is cited as judgement"


def limits_without_source(whole: WholeBook) -> Iterator[Fault]:
    """A quantity's own source covers all its edges, and a band's those on both its sides."""
    for quantity in whole.book.quantities.values():
        for lower, upper in pairwise(quantity.bands if not quantity.sources else ()):
            if "" in lower.edges and "" in upper.edges and not lower.sources and not upper.sources:
                says = f"the limit between '{quantity.id}: {lower.id}' and '{upper.id}' has no source"
                yield Fault(upper.place, says, _HINT, (("quantity", quantity.id),))
    for family in whole.book.families.values():
        for name, limits in family.limits.items():
            if not limits.sources:
                says = f"the limits of '{name}' for the family '{family.id}' have no source"
                yield Fault(limits.place, says, _HINT, (("family", family.id),))
        for name, amount in family.values.items():
            if not amount.sources:
                says = f"the value '{name}' of the family '{family.id}' has no source"
                yield Fault(amount.place, says, _HINT, (("family", family.id),))
    yield from _reckoning(whole)


def _reckoning(whole: WholeBook) -> Iterator[Fault]:
    """The figures that litres and protection are reckoned from, wherever they stand in the reckoning."""
    reckoning = whole.book.reckoning
    for name, value in reckoning._asdict().items() if reckoning is not None else ():
        for amount in (value,) if isinstance(value, Amount) else value:
            if isinstance(amount, Amount | Draining) and not amount.sources:
                yield Fault(amount.place, f"a figure under '{name}' of the reckoning has no source", _HINT, ())
