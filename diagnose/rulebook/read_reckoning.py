"""The trade's positions that litres and protection are reckoned from."""

from __future__ import annotations

from collections.abc import Callable

from diagnose.fluid.freezing import TOP_OF_SCALE
from diagnose.rulebook.known import Known
from diagnose.rulebook.model import Amount, Draining, Reckoning
from diagnose.rulebook.parts import read_citations, read_interval, unknown_band
from diagnose.yamlfile import Record, TextNode

DRAINED_HOW = "drained_how"
"""The given whose bands may name ways of draining."""
_LARGEST = 2000.0
"""Litres; more than any cooling system holds."""


def read_reckoning(record: Record, known: Known) -> Reckoning:
    """The mapping `reckoning`; every amount has its unit, its range and its sources."""

    def amount(key: str, unit: str, low: float, high: float) -> Amount:
        found = record.record(key, "amount", _amount(known), required=True)
        if found is None:
            return Amount(low, unit, (), record.place)
        return _checked(key, found, unit, low, high, known)

    hot, cold = amount("hot", "degC", 0.0, 110.0), amount("cold", "degC", 0.0, 110.0)
    if hot.value <= cold.value and record.has("hot") and record.has("cold"):
        says = f"'hot' is {hot.value:g} degC and 'cold' {cold.value:g} degC"
        known.problems.add(hot.place, "out-of-range", says, "the engine's temperature is the higher one")
    containers = record.records("containers", "amount", _amount(known), required=True)
    return Reckoning(
        target=amount("target", "vol %", 1.0, TOP_OF_SCALE),
        most_old=amount("most_old", "%", 0.1, 50.0),
        water_in_concentrate=amount("water_in_concentrate", "%", 0.0, 20.0),
        premix=amount("premix", "vol %", 20.0, 70.0),
        boiling_margin=amount("boiling_margin", "K", 0.0, 50.0),
        hot=hot,
        cold=cold,
        measure=amount("measure", "L", 0.01, 10.0),
        containers=tuple(_checked("containers", each, "L", 0.1, _LARGEST, known) for each in containers),
        draining=record.records("draining", "way of draining", lambda one: _draining(one, known), required=True),
        no_scale_reads=known.names("cause", record.texts("no_scale_reads")),
        place=record.place,
    )


def _amount(known: Known) -> Callable[[Record], Amount]:
    def read(record: Record) -> Amount:
        return Amount(record.number("value"), known.unit(record), read_citations(record, known), record.place)

    return read


def _checked(key: str, amount: Amount, unit: str, low: float, high: float, known: Known) -> Amount:
    if amount.unit and amount.unit != unit:
        says = f"'{key}' is reckoned in {unit}, not in {amount.unit}"
        known.problems.add(amount.place, "not-the-unit", says, f"write '{{value: ..., unit: {unit}}}'")
    elif not low <= amount.value <= high:
        says = f"'{key}' can't be {amount.value:g} {unit}"
        known.problems.add(amount.place, "out-of-range", says, f"it lies between {low:g} and {high:g} {unit}")
    return amount


def _draining(record: Record, known: Known) -> Draining:
    name = record.ident()
    given = known.quantities.get(DRAINED_HOW)
    if given is not None and name and given.band(name) is None:
        unknown_band(TextNode(name, record.place_of("id")), DRAINED_HOW, [band.id for band in given.bands], known)
    low, high = read_interval(record, "stays", required=True) or (0.0, 50.0)
    if not 0.0 <= low < high < 100.0:
        says = f"{low:g} to {high:g} % of a system can't stay inside"
        known.problems.add(record.place_of("stays"), "out-of-range", says, "write two shares from 0 to under 100")
    sources = read_citations(record, known)
    return Draining(name, record.text("label"), (low / 100, high / 100), sources, record.place)
