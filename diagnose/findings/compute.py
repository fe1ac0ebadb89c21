"""Derived quantities of a case: computed for every family that may be in the car, then put into bands."""

from __future__ import annotations

from collections.abc import Container, Mapping

from diagnose.findings.bands import band_shares, edges_for
from diagnose.findings.derive import FAMILY_VALUE, FEWEST, Extent, Terms, derive
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
    """Every derived quantity whose terms are known; one that was measured stays as measured."""
    terms = {name: record for name, record in recorded.items() if name in book.reckoned_from}
    known = _known(terms, tuple(families))
    found: dict[str, Recorded] = {}
    any_family = next(iter(known.values()), {})
    for quantity in book.computed:
        record = recorded.get(quantity.id)
        if (record is not None and record.status == "known") or (known and _lacks(quantity, any_family)):
            continue
        extents = _extents(quantity, known, book, glycols)
        if extents is not None:
            for family, extent in extents.items():
                known[family][quantity.id] = extent
            found[quantity.id] = Recorded(quantity, "known", (_taken(quantity, extents, known),))
    return found


def _lacks(quantity: Quantity, known: Container[str]) -> bool:
    """Whether a term is missing that it can't do without: looked at first, since most are missing in most cases."""
    formula = quantity.formula
    if formula is None or formula.operator in FEWEST:
        return False
    return any(name not in known for name in formula.names if not name.startswith(FAMILY_VALUE))


def _known(recorded: Mapping[str, Recorded], families: tuple[str, ...]) -> dict[str, dict[str, Extent]]:
    """What is known in numbers, by family, then by quantity."""
    known: dict[str, dict[str, Extent]] = {family: {} for family in families}
    for name, record in recorded.items():
        if record.status != "known":
            continue
        extent = None
        for number, family in enumerate(families):
            if not number or record.quantity.by_family:
                extent = _extent(record, family)
            if extent is not None:
                known[family][name] = extent
    return known


def _extents(
    quantity: Quantity, known: Mapping[str, Mapping[str, Extent]], book: Book, glycols: tuple[str, ...]
) -> dict[str, Extent] | None:
    """The value for each family; None where a family gives none. Families with the same terms are reckoned once."""
    names = quantity.formula.names if quantity.formula is not None else ()
    own = any(name.startswith(FAMILY_VALUE) for name in names)
    made: dict[tuple[int, ...], Extent] = {}
    extents: dict[str, Extent] = {}
    for family, terms in known.items():
        same = tuple(id(terms.get(name)) for name in names)
        extent = made.get(same) if not own else None
        if extent is None:
            extent = derive(quantity, Terms(terms, book.families[family].values, glycols))
            if extent is None:
                return None
            made[same] = extent
        extents[family] = extent
    return extents


def _taken(quantity: Quantity, extents: Mapping[str, Extent], known: Mapping[str, Mapping[str, Extent]]) -> Taken:
    interval = hull([extent.interval for extent in extents.values()])
    shares = {}
    same: dict[int, tuple[float, ...]] = {}
    for family, extent in extents.items():
        if quantity.by_family or id(extent) not in same:
            same[id(extent)] = band_shares(extent.interval, quantity, family, extent.one_sided)
        shares[family] = same[id(extent)]
    one_sided = any(extent.one_sided for extent in extents.values())
    names = quantity.formula.names if quantity.formula is not None else ()
    terms = [name for name in names if any(name in each for each in known.values())]
    recorded = f"from {listed(terms, 'and')}" if terms else "computed"
    shown = show_computed(interval, quantity) if interval is not None else ""
    return Taken("", recorded, shown, interval, one_sided, shares, None)


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
