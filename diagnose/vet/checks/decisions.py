"""What is done with the coolant: every car gets a decision, and every rule that decides can have the last word."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.plan.wording import join
from diagnose.rulebook.model import FAMILY, Condition, Rule
from diagnose.vet.boxes import Box, inside, is_covered
from diagnose.vet.check import Fault
from diagnose.vet.example_car import Car, make_car, see
from diagnose.vet.table import Table, table_of
from diagnose.vet.whole_book import WholeBook

SHOWN = 10
"""So many gaps are told, one by one."""
LISTED = 4
"""Where a gap has more findings in it that are as they should be, only those that many rules ask for are told."""


@dataclass(frozen=True, slots=True)
class _Gap:
    """`odd` columns are not as they should be in a sound car; of those that are, `shown` ones are worth telling."""

    box: Box
    odd: tuple[int, ...]
    plain: tuple[int, ...]
    shown: tuple[int, ...]

    def is_part_of(self, other: _Gap) -> bool:
        """Whether it is the other gap with something more wrong that the other does not ask about."""
        more = set(self.odd) - set(other.odd)
        same = set(self.odd) - more
        return not more & set(other.shown) and all(self.box[c] == other.box[c] for c in (*same, *other.odd))


def missing_decisions(whole: WholeBook) -> Iterator[Fault]:
    """Combinations of findings, everything being known, in which no rule decides.

    A combination for which no car can be made up, with readings that the rules were run on, is no gap.
    """
    table = table_of(whole.book)
    gaps = [_gap(box, table) for box in (table.gaps() if table.rules else ())]
    told: list[_Gap] = []
    for gap in sorted(gaps, key=lambda gap: len(gap.odd)):
        if len(told) < SHOWN and not any(gap.is_part_of(other) for other in told):
            fault = _fault(gap, table, whole)
            if fault is not None:
                told.append(gap)
                yield fault


def _gap(box: Box, table: Table) -> _Gap:
    narrowed = table.narrowed(box)
    odd = tuple(column for column in narrowed if table.is_odd(column, box))
    plain = tuple(column for column in narrowed if column not in odd)
    return _Gap(box, odd, plain, plain if len(narrowed) <= LISTED else _asked_often(plain, table))


def _fault(gap: _Gap, table: Table, whole: WholeBook) -> Fault | None:
    box, told = gap.box, (*gap.odd, *gap.shown)
    wanted = {table.columns[column]: _best_first(column, box, table) for column in told if column}
    car = make_car({FAMILY: table.names(0, box[0]), **wanted}, whole)
    rest = [column for column in gap.plain if column not in gap.shown]
    full = _with_the_rest(car, rest, box, table, whole) if car is not None else None
    if car is None or full is None or _decided(full):
        return None
    where = join([table.told(column, box) for column in told]) or "nothing is wrong"
    where += " and nothing else decides" if rest else ""
    says = f"no rule decides where {where}; for example in {car.written()}"
    near = table.nearest(box, gap.odd)
    if near is None:
        service = list(table.book.services.values())[-1]
        return Fault(service.place, says, "write a rule that decides there", (("service", service.id),))
    rule, condition, band = near
    hint = f"add '{band}' to '{condition.quantity}' of '{rule.id}', or write a rule that decides there"
    return Fault(condition.place, says, hint, (("rule", rule.id),))


def _best_first(column: int, box: Box, table: Table) -> tuple[str, ...]:
    """The bands of a column of a box, the normal one first."""
    return tuple(sorted(table.names(column, box[column]), key=lambda band: band != table.normal(column)))


def _asked_often(columns: tuple[int, ...], table: Table) -> tuple[int, ...]:
    """Those columns that a quarter of the deciding rules ask for."""
    enough = len(table.covers) / 4
    return tuple(column for column in columns if sum(column in cover for cover in table.covers) >= enough)


def _decided(car: Car) -> bool:
    return any(firing.rule.decides for firing in car.firings.fired)


def _with_the_rest(car: Car, columns: list[int], box: Box, table: Table, whole: WholeBook) -> Car | None:
    """The car with everything else recorded that is told in words, each in a band of the box."""
    more = {}
    for column in columns:
        quantity = table.book.quantities[table.columns[column]]
        if quantity.role in ("reading", "given") and quantity.in_words:
            more[quantity.id] = (_best_first(column, box, table)[0], "")
    return see(car.family, {**car.readings, **more}, whole)


def outranked_decisions(whole: WholeBook) -> Iterator[Fault]:
    """Rules that decide and never have the last word, since another decision outranks theirs everywhere."""
    table = table_of(whole.book)
    rank = {name: number for number, name in enumerate(whole.book.services)}
    for rule, cover in zip(table.rules, table.covers, strict=True):
        own = inside(table.whole, cover)
        above = {
            other.id: each
            for other, each in zip(table.rules, table.covers, strict=True)
            if rank[other.decides] < rank[rule.decides]
            and own is not None
            and inside(own, each) is not None
            and not _gives_way(other, rule)
        }
        if own is None or not above or not is_covered(own, (*above.values(), *table.impossible)):
            continue
        alone = [name for name, each in above.items() if is_covered(own, (each,))]
        over = join([f"'{name}' decides for '{whole.book.rules[name].decides}'" for name in alone[:1] or above])
        says = f"'{rule.id}' decides for '{rule.decides}' and is outranked wherever it fires: {over}"
        car = make_car(_both(rule.when), whole)
        if car is not None:
            says += f"; for example in {car.written()}"
        hint = "change 'when' of one of them, or delete the one that never decides"
        yield Fault(rule.place, says, hint, (("rule", rule.id),))


def _gives_way(other: Rule, rule: Rule) -> bool:
    """Whether the other rule is void wherever this one fires."""
    return any(
        own.quantity == moot.quantity and set(own.bands) <= set(moot.bands)
        for moot in other.moot_when
        for own in rule.when
    )


def contradicting_conclusions(whole: WholeBook) -> Iterator[Fault]:
    """Rules that put one pattern into two bands at once leave it open, and what hangs on it undecided."""
    concluding = [(rule, rule.concludes) for rule in whole.book.rules.values() if rule.concludes is not None]
    for number, (rule, two) in enumerate(concluding):
        for other, one in concluding[:number]:
            if one.quantity != two.quantity or one.bands == two.bands:
                continue
            both = _both((*other.when, *rule.when))
            car = make_car(both, whole) if all(both.values()) else None
            if car is not None:
                says = f"'{other.id}' concludes '{one.quantity}: {one.bands[0]}' and '{rule.id}' concludes "
                says += f"'{two.bands[0]}' at once; for example in {car.written()}"
                hint = "add a condition to one of them, so that they can't hold together"
                yield Fault(two.place, says, hint, (("rule", rule.id), ("rule", other.id)))


def _both(conditions: tuple[Condition, ...]) -> dict[str, tuple[str, ...]]:
    """What holds where all conditions do; no band where they exclude each other."""
    found: dict[str, tuple[str, ...]] = {}
    for condition in conditions:
        bands = found.get(condition.quantity, condition.bands)
        found[condition.quantity] = tuple(band for band in bands if band in condition.bands)
    return found
