"""Methods: the instruments of a quantity."""

from __future__ import annotations

from diagnose.rulebook.known import Known
from diagnose.rulebook.model import Method
from diagnose.yamlfile import ListNode, Record, TextNode, did_you_mean, short

INSTRUMENTS = {"refractometer": ("sample", "compensated", "zero", "scale"), "hydrometer": ("sample",)}
"""Instruments whose readings the program can correct, each with the circumstances that a case may tell."""


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
        settles=_settles(record, known),
        ask=record.text("ask", required=False),
    )


def _settles(record: Record, known: Known) -> dict[str, tuple[str, ...]]:
    """Which misreadings a circumstance rules out, each one that could have fooled the method."""
    takes = INSTRUMENTS.get(record.text("instrument", required=False), ())
    fooled = {node.text.strip() for node in record.texts("fooled_by")}
    found: dict[str, tuple[str, ...]] = {}
    for key, value in record.pairs("settles"):
        if key.text not in takes:
            says = f"no circumstance of this instrument is called '{short(key.text)}'"
            ways = f"it takes: {', '.join(takes)}" if takes else "name the 'instrument' first"
            known.problems.add(key.place, "unknown-name", says, did_you_mean(key.text, takes, ways))
            continue
        nodes = value.items if isinstance(value, ListNode) else (value,)
        causes = tuple(node.text.strip() for node in nodes if isinstance(node, TextNode))
        for cause in causes:
            if cause not in fooled:
                says = f"'{key.text}' can't rule out '{cause}', which does not fool this method"
                known.problems.add(value.place, "settles-nothing", says, "name causes that stand under 'fooled_by'")
        found[key.text] = causes
    return found


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
