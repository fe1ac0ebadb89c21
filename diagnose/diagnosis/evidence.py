"""What the findings tell: one witness for each instrument, and which misreadings spoil it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple, TypeAlias

from diagnose.findings.model import Finding
from diagnose.firings.model import Firings
from diagnose.rulebook.formula import inputs
from diagnose.rulebook.model import Book, Quantity

Spoiled: TypeAlias = tuple[tuple[frozenset[str], ...], ...]
"""When a reading is worthless: where in any one of these lists every set holds a cause that is present."""


class Witness(NamedTuple):
    """One instrument's likelihood over the bands of a quantity."""

    shares: tuple[float, ...]
    spoiled: Spoiled


class Evidence:
    """Reads the findings of one case; a quantity is evidence only if rules link causes to it."""

    def __init__(self, book: Book, firings: Firings) -> None:
        self._book = book
        self._firings = firings
        self._witnesses: dict[str, tuple[Witness, ...]] = {}

    def finding(self, name: str) -> Finding | None:
        """What is known of a quantity."""
        finding = self._firings.findings.found.get(name)
        return finding if finding is not None and finding.status == "known" and finding.readings else None

    def witnesses(self, name: str) -> tuple[Witness, ...]:
        """What speaks about a quantity: one for each instrument that was used, none where it is not known.

        Where instruments exclude each other and the book knows nothing that could have fooled one of
        them, the better one is believed.
        """
        if name not in self._witnesses:
            self._witnesses[name] = self._speaking(name)
        return self._witnesses[name]

    def _speaking(self, name: str) -> tuple[Witness, ...]:
        finding = self.finding(name)
        if finding is None:
            return ()
        quantity = self._book.quantities[name]
        if quantity.role != "reading":
            spoiled = self.spoiled(name, {})
            return tuple(Witness(reading.shares, spoiled) for reading in finding.readings)
        found = {r.method: Witness(r.shares, spoiled_by(quantity, r.method, r.settled)) for r in finding.readings}
        fooled = any(witness.spoiled for witness in found.values())
        agree = any(all(column) for column in zip(*(witness.shares for witness in found.values()), strict=True))
        if not fooled and not agree:
            found = {method: found[method] for method in trusted(finding)}
        return tuple(found.values())

    def spoiled(self, name: str, taken: Mapping[str, str]) -> Spoiled:
        """What makes a quantity that follows from others worthless: the misreadings of what it is reckoned from.

        `taken` gives the method of readings that would be taken; the others are in the findings.
        """
        found = [clause for source in self._sources(name) for clause in self._behind(source, taken)]
        return tuple(dict.fromkeys(found))

    def _behind(self, name: str, taken: Mapping[str, str]) -> Spoiled:
        quantity = self._book.quantities[name]
        if name in taken:
            return spoiled_by(quantity, taken[name])
        if quantity.role != "reading":
            return self.spoiled(name, taken)
        finding = self.finding(name)
        if finding is None:
            return ()
        settled = {reading.method: reading.settled for reading in finding.readings}
        fools = [_fooled_by(quantity, method, settled[method]) for method in trusted(finding)]
        return (tuple(fools),) if fools and all(fools) else ()

    def _sources(self, name: str) -> tuple[str, ...]:
        quantity = self._book.quantities[name]
        if quantity.formula is not None:
            names = inputs(quantity.formula)
        else:
            rules = self._firings.concluded_by.get(name, ())
            names = {condition.quantity for rule in rules for condition in self._book.rules[rule].when}
        known = self._book.quantities
        return tuple(name for name in sorted(names) if name in known and known[name].role != "given")


def spoiled_by(quantity: Quantity, method: str, settled: tuple[str, ...] = ()) -> Spoiled:
    """When a reading by this method is worthless; what is `settled` did not fool it."""
    fools = _fooled_by(quantity, method, settled)
    return ((fools,),) if fools else ()


def trusted(finding: Finding) -> tuple[str, ...]:
    """The methods used for which no better one was used; a derived quantity is reckoned from these."""
    used = {reading.method for reading in finding.readings}
    return tuple(r.method for r in finding.readings if not used & set(better_than(finding.quantity, r.method)))


def better_than(quantity: Quantity, method: str) -> tuple[str, ...]:
    """The methods to be trusted over this one, the next better first."""
    found: list[str] = []
    while (known := quantity.method(method)) is not None and known.better and known.better not in found:
        method = known.better
        found.append(method)
    return tuple(found)


def _fooled_by(quantity: Quantity, method: str, settled: tuple[str, ...]) -> frozenset[str]:
    known = quantity.method(method)
    return frozenset(known.fooled_by).difference(settled) if known is not None else frozenset()
