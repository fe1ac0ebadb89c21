"""The rules that decide, as a table over the bands of everything they ask for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from diagnose.rulebook.model import FAMILY, Book, Condition, Rule
from diagnose.vet.boxes import Box, Cover, uncovered, widened

Bands = tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Table:
    """Column 0 is the family. `covers` are what the rules cover, `impossible` is what no car can show."""

    book: Book
    columns: tuple[str, ...]
    bands: Bands
    rules: tuple[Rule, ...]
    covers: tuple[Cover, ...]
    impossible: tuple[Cover, ...]

    @property
    def whole(self) -> Box:
        return tuple((1 << len(bands)) - 1 for bands in self.bands)

    def gaps(self) -> list[Box]:
        """Where no rule decides, in boxes as wide as can be; they may overlap."""
        every = (*self.covers, *self.impossible)
        return list(dict.fromkeys(widened(box, self.whole, every) for box in uncovered(self.whole, every)))

    def narrowed(self, box: Box) -> list[int]:
        """The columns of a gap in which other bands would be decided; the family only where rules ask for it."""
        columns = [column for column in range(1, len(box)) if box[column] != self.whole[column]]
        return [0, *columns] if widened(box, self.whole, self.covers)[0] != self.whole[0] else columns

    def names(self, column: int, bands: int) -> tuple[str, ...]:
        return tuple(band for number, band in enumerate(self.bands[column]) if bands >> number & 1)

    def normal(self, column: int) -> str:
        """The band of a column where nothing has to be found, or that most cars have; '' where none stands out."""
        quantity = self.book.quantities.get(self.columns[column])
        if quantity is None:
            return ""
        if quantity.role == "given":
            answers = {band: word.value for band, word in quantity.how_often.items()}
            return quantity.assume or max(answers, key=lambda band: answers[band], default="")
        return quantity.normal

    def is_odd(self, column: int, box: Box) -> bool:
        """Whether the bands of a box are not what a sound car has in this column."""
        return self.normal(column) not in self.names(column, box[column])

    def told(self, column: int, box: Box) -> str:
        """'ph is low', 'mixture is not water_alone'."""
        names, others = self.names(column, box[column]), self.names(column, self.whole[column] & ~box[column])
        if len(others) < len(names):
            return f"{self.columns[column]} is not {' or '.join(others)}"
        return f"{self.columns[column]} is {' or '.join(names)}"

    def _beside(self, column: int, one: int, other: int) -> bool:
        """Whether bands of the two stand side by side, the normal band left out of the row."""
        row = [1 << number for number, band in enumerate(self.bands[column]) if band != self.normal(column)]
        return any((a & one and b & other) or (a & other and b & one) for a, b in pairwise(row))

    def nearest(self, box: Box, columns: Iterable[int]) -> tuple[Rule, Condition, str] | None:
        """A rule that would decide in a gap if one of its conditions, in one of the columns, took one band more.

        Best is a rule that takes a band beside the missing one, then the one with the fewest conditions.
        """
        found: list[tuple[bool, int, int]] = []
        columns = set(columns)
        for number, cover in enumerate(self.covers):
            fails = [column for column, bands in cover.items() if not box[column] & bands]
            if len(fails) == 1 and fails[0] in columns:
                found.append((not self._beside(fails[0], box[fails[0]], cover[fails[0]]), len(cover), number))
        if not found:
            return None
        rule, cover = self.rules[min(found)[2]], self.covers[min(found)[2]]
        column = next(column for column, bands in cover.items() if not box[column] & bands)
        condition = next(each for each in rule.when if each.quantity == self.columns[column])
        return rule, condition, self.names(column, box[column])[0]


def table_of(book: Book) -> Table:
    rules = tuple(rule for rule in book.rules.values() if rule.decides)
    asked = dict.fromkeys(condition.quantity for rule in rules for condition in rule.when)
    columns = tuple(dict.fromkeys((FAMILY, *asked)))
    bands = tuple(
        tuple(book.families) if name == FAMILY else tuple(band.id for band in book.quantities[name].bands)
        for name in columns
    )
    covers = tuple(_cover(rule.when, columns, bands) for rule in rules)
    return Table(book, columns, bands, rules, covers, tuple(_impossible(book, columns, bands)))


def _cover(conditions: Iterable[Condition], columns: tuple[str, ...], bands: Bands) -> Cover:
    found: dict[int, int] = {}
    for condition in conditions:
        column = columns.index(condition.quantity)
        found[column] = sum(1 << bands[column].index(band) for band in condition.bands)
    return found


def _impossible(book: Book, columns: tuple[str, ...], bands: Bands) -> Iterator[Cover]:
    """Bands that are empty for some families."""
    for column, name in enumerate(columns):
        quantity = book.quantities.get(name)
        for number, band in enumerate(quantity.bands if quantity is not None and not quantity.in_words else ()):
            lacking = [n for n, family in enumerate(bands[0]) if "" not in band.edges and family not in band.edges]
            if lacking:
                yield {0: sum(1 << n for n in lacking), column: 1 << number}
