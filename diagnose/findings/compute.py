"""Derived quantities of a case: computed for every family that may be in the car, then put into bands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnose.findings.bands import band_shares, edges_for
from diagnose.findings.derive import Extent, Terms, derive
from diagnose.findings.model import Interval
from diagnose.findings.recorded import Recorded
from diagnose.findings.shown import show_computed
from diagnose.findings.taken import Taken, hull
from diagnose.findings.trust import common_interval
from diagnose.findings.words import listed
from diagnose.rulebook.model import Book, Quantity


def compute(
    book: Book, families: Mapping[str, float], recorded: Mapping[str, Recorded], glycols: tuple[str, ...]
) -> dict[str, Recorded]:
    """Every derived quantity whose terms are known, in the book's order; one that was measured stays as measured."""
    work = _Work(book, tuple(families), glycols)
    for name, record in recorded.items():
        if record.status == "known":
            work.seen.add(name)
            for family in families:
                extent = _extent(record, family)
                if extent is not None:
                    work.known[family][name] = extent
    for quantity in book.quantities.values():
        work.visit(quantity)
    return {name: work.found[name] for name in book.quantities if name in work.found}


@dataclass(slots=True)
class _Work:
    """`known` is what is known in numbers, by family, then by quantity."""

    book: Book
    families: tuple[str, ...]
    glycols: tuple[str, ...]
    known: dict[str, dict[str, Extent]] = field(init=False)
    found: dict[str, Recorded] = field(default_factory=dict)
    seen: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.known = {family: {} for family in self.families}

    def visit(self, quantity: Quantity) -> None:
        """Compute a quantity after the quantities in its formula; it stays out where a family gives no value."""
        if quantity.formula is None or quantity.id in self.seen:
            return
        self.seen.add(quantity.id)
        for name in _named(quantity):
            if name in self.book.quantities:
                self.visit(self.book.quantities[name])
        extents: dict[str, Extent] = {}
        for family in self.families:
            extent = derive(quantity, Terms(self.known[family], self.book.families[family].values, self.glycols))
            if extent is None:
                return
            extents[family] = extent
        for family, extent in extents.items():
            self.known[family][quantity.id] = extent
        self.found[quantity.id] = Recorded(quantity, "known", (self._taken(quantity, extents),))

    def _taken(self, quantity: Quantity, extents: Mapping[str, Extent]) -> Taken:
        interval = hull([extent.interval for extent in extents.values()])
        shares = {f: band_shares(e.interval, quantity, f, e.one_sided) for f, e in extents.items()}
        one_sided = any(extent.one_sided for extent in extents.values())
        terms = [name for name in _named(quantity) if any(name in known for known in self.known.values())]
        recorded = f"from {listed(terms, 'and')}" if terms else "computed"
        shown = show_computed(interval, quantity) if interval is not None else ""
        return Taken("", recorded, shown, interval, one_sided, shares, None)


def _named(quantity: Quantity) -> tuple[str, ...]:
    """The quantities and family values that a formula names."""
    terms = quantity.formula.terms if quantity.formula is not None else ()
    return tuple(dict.fromkeys(name for term in terms for name in (term.name, term.by) if name))


def _extent(record: Recorded, family: str) -> Extent | None:
    """What a recorded quantity may be for one family; a word counts only where its band has two edges."""
    trusted, quantity = record.trusted, record.quantity
    interval = common_interval(trusted)
    if interval is not None:
        return Extent(interval, quantity.unit, any(each.one_sided for each in trusted))
    low, high = quantity.possible
    between = []
    for index, band in enumerate(quantity.bands):
        if any(each.shares[family][index] > 0 for each in trusted):
            edges = edges_for(band, family)
            if edges is None or edges.low <= low or edges.high >= high:
                return None
            between.append(Interval(edges.low, edges.high, edges.low_in, edges.high_in))
    together = hull(between)
    return Extent(together, quantity.unit) if together is not None else None
