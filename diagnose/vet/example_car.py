"""A car that shows given bands, written as readings: what a gap in a book looks like in a workshop."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from diagnose.case.model import Entry
from diagnose.findings.from_case import find
from diagnose.firings.model import Firings
from diagnose.rulebook.formula import inputs
from diagnose.rulebook.model import FAMILY, Book, Quantity
from diagnose.vet.examples import case_with
from diagnose.vet.made_up import Told, digits, finest, number_read, reading_in
from diagnose.vet.whole_book import WholeBook
from diagnose.yamlfile import InputError

STEPS = 40
"""So many values of a number are tried where another quantity is reckoned from it."""

Wanted: TypeAlias = Mapping[str, tuple[str, ...]]
"""Quantities, and the family, with the bands that would do, best first."""


@dataclass(frozen=True, slots=True)
class Car:
    family: str
    readings: Mapping[str, Told]
    firings: Firings

    def shows(self, name: str) -> str | None:
        """The one band that a quantity, or the family, is surely in."""
        return self.family if name == FAMILY else self.firings.findings.sure(name)

    def written(self) -> str:
        """The readings side by side, as an example in a book lists them; instruments in brackets."""
        told = [f"{FAMILY}: {self.family}"]
        for name, (text, method) in self.readings.items():
            told.append(f"{name}: {text} ({method})" if method else f"{name}: {text}")
        return "{" + ", ".join(told) + "}"


def make_car(wanted: Wanted, whole: WholeBook) -> Car | None:
    """A car that surely shows one of the wanted bands in every quantity; None where none was found."""
    book = whole.book
    for family in wanted.get(FAMILY, tuple(book.families)):
        for told in _resolved(wanted, book):
            readings = _plain(told, family, book)
            car = _reckoned(told, family, readings, whole) if readings is not None else None
            if car is not None:
                return car
    return None


def see(family: str, readings: Mapping[str, Told], whole: WholeBook) -> Car | None:
    """The car with these readings; None where they can't be used."""
    place = whole.book.place
    entries = [Entry(name, text, method, "", "", place, place, place) for name, (text, method) in readings.items()]
    try:
        case = case_with(entries, family, whole.book, place)
        return Car(family, readings, whole.engine.run(find(case, whole.book)))
    except InputError:
        return None


def _resolved(wanted: Wanted, book: Book) -> Iterator[Wanted]:
    """Patterns replaced by what the rules that conclude them look at, in every way there is."""
    pattern = next((name for name in wanted if name != FAMILY and book.quantities[name].role == "pattern"), None)
    if pattern is None:
        yield wanted
        return
    rest = {name: bands for name, bands in wanted.items() if name != pattern}
    rules = [rule for rule in book.rules.values() if rule.concludes and rule.concludes.quantity == pattern]
    for rule in rules:
        if rule.concludes is not None and rule.concludes.bands[0] in wanted[pattern]:
            joined = dict(rest)
            for condition in rule.when:
                bands = joined.get(condition.quantity, condition.bands)
                joined[condition.quantity] = tuple(band for band in bands if band in condition.bands)
            if all(joined.values()):
                yield from _resolved(joined, book)
    if book.quantities[pattern].normal in wanted[pattern]:  # everything is known that its rules look at
        asked = dict.fromkeys(condition.quantity for rule in rules for condition in rule.when)
        sound = {name: (_sound(book.quantities[name]),) for name in asked if name != FAMILY}
        yield from _resolved({**sound, **rest}, book)


def _sound(quantity: Quantity) -> str:
    """The band of a car with nothing the matter."""
    return quantity.normal or quantity.assume or quantity.bands[0].id


def _plain(wanted: Wanted, family: str, book: Book) -> dict[str, Told] | None:
    """What is recorded of everything that can be recorded; None where the family has no such band."""
    found: dict[str, Told] = {}
    for name, bands in wanted.items():
        if name == FAMILY or book.quantities[name].formula is not None:
            continue
        told = next((told for band in bands if (told := reading_in(book.quantities[name], band, family))), None)
        if told is None:
            return None
        found[name] = told
    return found


def _reckoned(wanted: Wanted, family: str, readings: dict[str, Told], whole: WholeBook) -> Car | None:
    """The readings with more numbers, until what is reckoned from them is in a wanted band too."""
    missing = [name for name in wanted if name != FAMILY and whole.book.quantities[name].formula is not None]
    car = see(family, readings, whole)
    for name in missing:
        if car is not None and car.shows(name) not in wanted[name]:
            tried = (see(family, more, whole) for more in _with_inputs(name, car, whole.book))
            car = next((each for each in tried if each is not None and each.shows(name) in wanted[name]), None)
    if car is None or any(car.shows(name) not in bands for name, bands in wanted.items()):
        return None
    return car


def _with_inputs(name: str, car: Car, book: Book) -> Iterator[dict[str, Told]]:
    """The readings with one number that a quantity is reckoned from at every step, and the others as they should be."""
    leaves = [book.quantities[leaf] for leaf in _leaves(name, book) if leaf not in car.readings]
    usual = {q.id: reading_in(q, _sound(q), car.family) or ("", "") for q in leaves}
    for leaf in leaves:
        for value in _steps(leaf):
            told = number_read(digits(value), leaf, finest(leaf))
            yield {**car.readings, leaf.id: told}
            if len(leaves) > 1:
                yield {**car.readings, **usual, leaf.id: told}


def _leaves(name: str, book: Book) -> list[str]:
    """The readings and givens from which a quantity is reckoned."""
    formula = book.quantities[name].formula
    if formula is None:
        return [name]
    return list(dict.fromkeys(leaf for each in sorted(inputs(formula)) for leaf in _leaves(each, book)))


def _steps(quantity: Quantity) -> list[float]:
    """Values over what is possible, small ones first: close together near 0, even over the whole."""
    low, high = quantity.possible
    far = max(abs(low), abs(high))
    near = [sign * far * 0.5 ** (step / 3) for step in range(STEPS) for sign in (1, -1)]
    even = [low + (high - low) * step / STEPS for step in range(STEPS + 1)]
    values = {float(f"{value:.2g}") for value in (*near, *even)}
    return sorted((value for value in values if low <= value <= high), key=lambda value: (abs(value), -value))
