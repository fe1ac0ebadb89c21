"""A car that shows given bands, written as readings: what a gap in a book looks like in a workshop."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import inf

from diagnose.findings.bands import edges_for
from diagnose.findings.from_case import find
from diagnose.firings.model import Firings
from diagnose.rulebook.formula import inputs
from diagnose.rulebook.model import FAMILY, Band, Book, Quantity
from diagnose.vet.examples import case_of, example_of
from diagnose.vet.whole_book import WholeBook
from diagnose.yamlfile import InputError

STEPS = 40
"""So many values of a number are tried where another quantity is reckoned from it."""


@dataclass(frozen=True, slots=True)
class Car:
    """`readings` are quantities (and the family) with what is recorded of them."""

    readings: Mapping[str, str]
    firings: Firings

    def shows(self, name: str) -> str | None:
        """The one band that a quantity, or the family, is surely in."""
        if name == FAMILY:
            return next(iter(self.firings.findings.families)) if len(self.firings.findings.families) == 1 else None
        return self.firings.findings.sure(name)


Wanted = Mapping[str, tuple[str, ...]]
"""Quantities, and the family, with the bands that would do, best first."""


def make_car(wanted: Wanted, whole: WholeBook) -> Car | None:
    """A car that surely shows one of the wanted bands in every quantity; None where none was found."""
    book = whole.book
    for family in wanted.get(FAMILY, tuple(book.families)):
        for told in _resolved(wanted, book):
            readings = _plain(told, family, book)
            if readings is not None:
                car = _reckoned(told, {FAMILY: family, **readings}, whole)
                if car is not None:
                    return car
    return None


def see(readings: Mapping[str, str], whole: WholeBook) -> Car | None:
    """The car with these readings; None where they can't be used."""
    example = example_of(readings.items(), whole.book.place)
    try:
        return Car(readings, whole.engine.run(find(case_of(example, whole.book, "example"), whole.book)))
    except InputError:
        return None


def _resolved(wanted: Wanted, book: Book) -> Iterator[Wanted]:
    """Patterns replaced by what the rules that conclude them look at, in every way there is."""
    pattern = next((name for name in wanted if name != FAMILY and book.quantities[name].role == "pattern"), None)
    if pattern is None:
        yield wanted
        return
    rest = {name: bands for name, bands in wanted.items() if name != pattern}
    for rule in book.rules.values():
        if rule.concludes is None or rule.concludes.quantity != pattern:
            continue
        if rule.concludes.bands[0] in wanted[pattern]:
            joined = dict(rest)
            for condition in rule.when:
                bands = joined.get(condition.quantity, condition.bands)
                joined[condition.quantity] = tuple(band for band in bands if band in condition.bands)
            if all(joined.values()):
                yield from _resolved(joined, book)


def _plain(wanted: Wanted, family: str, book: Book) -> dict[str, str] | None:
    """What is recorded of everything that can be recorded; None where the family has no such band."""
    found: dict[str, str] = {}
    for name, bands in wanted.items():
        if name == FAMILY or book.quantities[name].formula is not None:
            continue
        told = (value_in(book.quantities[name], band, family) for band in bands)
        text = next((each for each in told if each), None)
        if text is None:
            return None
        found[name] = text
    return found


def value_in(quantity: Quantity, band: str, family: str) -> str:
    """A reading that the usual instrument surely puts into a band; '' where the family has no such band."""
    known = quantity.band(band)
    if known is None or quantity.in_words:
        return band if known is not None else ""
    inner = _room(quantity, known, family)
    if inner is None:
        return ""
    low, high, value = inner
    for digits in range(4):
        if low < round(value, digits) < high:
            return _number(round(value, digits), quantity)
    return _number(value, quantity)


def _room(quantity: Quantity, band: Band, family: str) -> tuple[float, float, float] | None:
    """The ends between which a reading is surely in the band, and a value that people would believe."""
    edges = edges_for(band, family)
    if edges is None:
        return None
    off = quantity.methods[0].plus_minus if quantity.methods else 0.0
    low, high = max(edges.low, quantity.possible[0]), min(edges.high, quantity.possible[1])
    at_bottom, at_top = edges.low <= quantity.possible[0], edges.high >= quantity.possible[1]
    middle = (low + high) / 2
    if at_bottom and not at_top:
        middle = max(middle, high - max(2.5 * off, 0.1 * abs(high)))
    elif at_top and not at_bottom:
        middle = min(middle, low + max(2.5 * off, 0.1 * abs(low)))
    low, high = (-inf if at_bottom else low + off), (inf if at_top else high - off)
    return low, high, middle


def _number(value: float, quantity: Quantity) -> str:
    return f"{value:g}" if quantity.unit in ("pH", "1", "") else f"{value:g} {quantity.unit}"


def _reckoned(wanted: Wanted, readings: dict[str, str], whole: WholeBook) -> Car | None:
    """The readings with more numbers, until what is reckoned from them is in a wanted band too."""
    missing = [name for name in wanted if name != FAMILY and whole.book.quantities[name].formula is not None]
    car = see(readings, whole)
    for name in missing:
        if car is not None and car.shows(name) not in wanted[name]:
            tried = (see(more, whole) for more in _with_inputs(name, car.readings, whole.book))
            car = next((each for each in tried if each is not None and each.shows(name) in wanted[name]), None)
    if car is None or any(car.shows(name) not in bands for name, bands in wanted.items()):
        return None
    return car


def _with_inputs(name: str, readings: Mapping[str, str], book: Book) -> Iterator[dict[str, str]]:
    """The readings with one number that a quantity is reckoned from at every step, and the others as they should be."""
    leaves = [leaf for leaf in _leaves(name, book) if leaf not in readings]
    usual = {leaf: _usual(book.quantities[leaf], readings[FAMILY]) for leaf in leaves}
    for leaf in leaves:
        for value in _steps(book.quantities[leaf]):
            text = _number(value, book.quantities[leaf])
            yield {**readings, leaf: text}
            if len(leaves) > 1:
                yield {**readings, **usual, leaf: text}


def _leaves(name: str, book: Book) -> list[str]:
    """The readings and givens from which a quantity is reckoned."""
    formula = book.quantities[name].formula
    if formula is None:
        return [name]
    return list(dict.fromkeys(leaf for each in sorted(inputs(formula)) for leaf in _leaves(each, book)))


def _usual(quantity: Quantity, family: str) -> str:
    return value_in(quantity, quantity.normal or quantity.bands[0].id, family)


def _steps(quantity: Quantity) -> list[float]:
    """Values over what is possible, small ones first: close together near 0, even over the whole."""
    low, high = quantity.possible
    far = max(abs(low), abs(high))
    near = [sign * far * 0.5 ** (step / 3) for step in range(STEPS) for sign in (1, -1)]
    even = [low + (high - low) * step / STEPS for step in range(STEPS + 1)]
    values = {float(f"{value:.2g}") for value in (*near, *even)}
    return sorted((value for value in values if low <= value <= high), key=lambda value: (abs(value), -value))
