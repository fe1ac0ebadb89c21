"""Conditions and good ranges of a rulebook as a handout tells them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from diagnose.findings.shown import show_limits, show_range
from diagnose.plan.wording import first_upper, sentence
from diagnose.rulebook.model import FAMILY, Band, Book, Condition, Edges, Quantity, Test


def told_when(conditions: Iterable[Condition], book: Book) -> str:
    """'Level: low or empty; and hybrid: a hybrid, engine loop'; all of it has to hold."""
    return first_upper("; and ".join(_told(condition, book) for condition in conditions))


def _told(condition: Condition, book: Book) -> str:
    if condition.quantity == FAMILY:
        return f"coolant family: {' or '.join(book.families[name].label for name in condition.bands)}"
    quantity = book.quantities[condition.quantity]
    bands = [quantity.band(name) for name in condition.bands]
    return f"{quantity.label}: {' or '.join(band.says for band in bands if band is not None)}"


def told_good(test: Test, book: Book) -> list[str]:
    """Within which numbers a reading of this test is good, each with the name of what is read."""
    read = [book.quantities[name] for name in dict.fromkeys(each.quantity for each in test.yields)]
    return [
        sentence(f"{quantity.label}: {limits}")
        for quantity in map(_as_printed, (each for each in read if not each.in_words))
        for limits in _limits(quantity, book)
    ]


def _limits(quantity: Quantity, book: Book) -> Iterator[str]:
    families: dict[str, list[str]] = {}
    for family in book.families.values():
        families.setdefault(show_limits(quantity, [family.id]), []).append(family.label)
    if len(families) > 1:
        yield "; ".join(f"{limits} for {', '.join(labels)}" for limits, labels in families.items() if limits)
        return
    good = next(iter(families), "")
    worst = quantity.bands[-1]
    if good and quantity.combine == "worst_wins" and len(quantity.bands) > 2 and "" in worst.edges:
        yield f"{good}, bad {show_range(worst.edges[''], quantity)}"
    elif good:
        yield good


def _as_printed(quantity: Quantity) -> Quantity:
    """A share in percent, and a difference of temperatures in the degrees that the workshop reads."""
    if quantity.unit == "K":
        return replace(quantity, unit="degC")
    if quantity.unit != "1":
        return quantity
    low, high = quantity.possible
    bands = tuple(_in_percent(band) for band in quantity.bands)
    return replace(quantity, unit="%", possible=(low * 100, high * 100), bands=bands)


def _in_percent(band: Band) -> Band:
    edges = {name: _times_100(each) for name, each in band.edges.items()}
    return band._replace(edges=edges)


def _times_100(edges: Edges) -> Edges:
    return edges._replace(low=edges.low * 100, high=edges.high * 100)
