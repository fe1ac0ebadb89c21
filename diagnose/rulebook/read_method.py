"""Methods: the instruments of a quantity."""

from __future__ import annotations

from diagnose.rulebook.known import Known
from diagnose.rulebook.model import Method
from diagnose.yamlfile import Record

INSTRUMENTS = ("refractometer", "hydrometer")
"""Instruments whose readings the program can correct for temperature, zero and scale."""


def read_methods(record: Record, known: Known) -> tuple[Method, ...]:
    """The methods of the quantity at `record`, each with an id of its own."""
    methods = record.records("methods", "method", lambda method: _method(method, known))
    _check_methods(record, methods, known)
    return methods


def _method(record: Record, known: Known) -> Method:
    return Method(
        id=record.ident(),
        label=record.text("label"),
        plus_minus=record.number("plus_minus", required=False),
        principle=record.text("principle", required=False),
        fooled_by=known.names("cause", record.texts("fooled_by")),
        better=record.text("better", required=False),
        place=record.place,
        instrument=record.choice("instrument", INSTRUMENTS),  # type: ignore[arg-type]
    )


def _check_methods(record: Record, methods: tuple[Method, ...], known: Known) -> None:
    names = [method.id for method in methods]
    in_percent = record.text("unit", required=False) == "vol %"
    for index, method in enumerate(methods):
        if method.id in names[:index]:
            says = f"two methods of this {record.kind} have the id '{method.id}'"
            known.problems.add(method.place, "duplicate-id", says, "give one of them another id")
        if method.better and (method.better == method.id or method.better not in names):
            others = [name for name in names if name != method.id]
            known.problems.unknown_name(method.place, "other method of this quantity", method.better, others)
        if method.instrument and not in_percent:
            says = f"a {method.instrument} reads a mixture, and this {record.kind} is not in vol %"
            known.problems.add(method.place, "not-a-mixture", says, "leave out 'instrument'")
        if method.plus_minus < 0:
            says = f"'plus_minus' of '{method.id}' is below 0"
            known.problems.add(method.place, "not-a-number", says, "write how far a reading may be off, such as 0.5")
