"""The trade's positions, from the rulebook: what counts as a good mixture or a fit water, and the cautions."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from math import inf, isfinite
from typing import TypeVar

import click

from diagnose.cli.mix.amounts import Refused, Wanted, read_amount
from diagnose.fluid.measure import Measure, exactly
from diagnose.fluid.water import Limit
from diagnose.rulebook.find import find_book
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Amount, Band, Book, Edges, Quantity, Reckoning

F = TypeVar("F", bound=Callable[..., object])
MIXTURE, FROST_MARGIN, FILL_SHARE = "mixture", "frost_margin", "fill_share"
WATER = {"hardness": "water_hardness", "chloride": "water_chloride"}


def book_option(command: F) -> F:
    says = "The rulebook whose limits and cautions count: a shipped one's name, or a folder of your own."
    return click.option(
        "--book", "book", default="passenger-car", show_default=True, is_eager=True, metavar="NAME-OR-FOLDER", help=says
    )(command)


@lru_cache(maxsize=1)  # a job and each of its options that the book fills in ask for the same one
def open_book(name: str) -> Book:
    return read_book(find_book(name))


def position_option(name: str, wanted: Wanted, says: str, position: str) -> Callable[[F], F]:
    """An amount that is the book's position (a field of its reckoning) unless it is given; needs `book_option`."""

    def read(ctx: click.Context, param: click.Parameter, value: str | None) -> Measure:
        if value is not None:
            return read_amount(value, wanted, name)
        amount: Amount = getattr(reckoning(open_book(ctx.params["book"]), name), position)
        return exactly(amount.value, amount.unit)

    says = f"{says} Default: the rulebook's."
    return click.option(name, metavar=f"'{wanted.example}'", help=says, callback=read)


def reckoning(book: Book, name: str) -> Reckoning:
    if book.reckoning is None:
        raise Refused(
            f"{name}: the rulebook '{book.id}' has no position on it; write it, or add a 'reckoning' to the book"
        )
    return book.reckoning


def good_range(book: Book, quantity: str = MIXTURE) -> tuple[float, float] | None:
    """The normal band of a quantity, where the book has one edge pair for every family."""
    found = book.quantities.get(quantity)
    edges = _edges(found, found.normal) if found else None
    return (edges.low, edges.high) if edges else None


def frost_margin(book: Book) -> float:
    """How far under the coldest night the book wants the freezing point, K; 0 where it doesn't say."""
    edge = good_range(book, FROST_MARGIN)
    return edge[0] if edge and isfinite(edge[0]) else 0.0


def least_fill(book: Book) -> float | None:
    """The share of the capacity from which the book calls a fill full."""
    edge = good_range(book, FILL_SHARE)
    return edge[0] if edge else None


def water_limits(book: Book) -> tuple[Limit, ...]:
    """Good up to the end of the normal band, unfit from the lowest edge of the last band."""
    limits = []
    for name, quantity in WATER.items():
        found = book.quantities.get(quantity)
        good = _edges(found, found.normal) if found else None
        if found is None or good is None:
            continue
        worst = _edges(found, found.bands[-1].id)
        sources = [citation.source for band in found.bands for citation in band.sources]
        titles = "; ".join(dict.fromkeys(book.sources[source].title for source in sources))
        limits.append(Limit(name, good.high, worst.low if worst else inf, found.unit, titles))
    return tuple(limits)


def opening_cautions(book: Book) -> tuple[str, ...]:
    """What the book says before a system is opened."""
    return tuple(caution.text for caution in book.cautions.values() if caution.when == "opening")


def all_cautions(book: Book) -> tuple[str, ...]:
    """Those, what it always says, and who has the last word."""
    always = tuple(caution.text for caution in book.cautions.values() if caution.when == "always")
    return (*opening_cautions(book), *always, *([book.defers_to] if book.defers_to else []))


def _edges(quantity: Quantity, name: str) -> Edges | None:
    band: Band | None = quantity.band(name)
    return band.edges.get("") if band else None
