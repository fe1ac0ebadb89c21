"""Entries: the symptoms with which a decision tree begins."""

from __future__ import annotations

from itertools import product

from diagnose.rulebook.known import Known
from diagnose.rulebook.model import Condition, Entry
from diagnose.rulebook.parts import read_condition, refuse_empty
from diagnose.yamlfile import ListNode, MapNode, Record

MAX_LABEL = 60
MOST_STARTS = 24


def read_entry(record: Record, known: Known) -> Entry:
    """One entry; each combination of the bands that a start lists is a way to begin."""
    name, label = record.ident(), record.text("label")
    if len(label) > MAX_LABEL:
        says = f"the label has {len(label)} characters, more than {MAX_LABEL}"
        known.problems.add(record.place_of("label"), "too-long", says, "it must fit into the title of a diagram")
    starts = _starts(record, known)
    if len(starts) > MOST_STARTS:
        says = f"the entry '{name}' has {len(starts)} ways to begin, more than {MOST_STARTS}"
        known.problems.add(record.place_of("starts"), "too-many-starts", says, "make two entries of it")
    return Entry(name, label, starts, record.place)


def _starts(record: Record, known: Known) -> tuple[tuple[Condition, ...], ...]:
    node = record.node("starts", required=True)
    if node is None:
        return ()
    items = node.items if isinstance(node, ListNode) else (node,)
    if not items:
        refuse_empty(record, "starts")
    found: list[tuple[Condition, ...]] = []
    for item in items:
        if not isinstance(item, MapNode) or not item.pairs:
            hint = "write '- {quantity: band}', or '- {quantity: [band, band]}'"
            known.problems.add(item.place, "wrong-shape", "a start is a mapping of quantities to bands", hint)
            continue
        each = [read_condition(key, value, known) for key, value in item]
        ways = [[Condition(c.quantity, (band,), c.place) for band in c.bands] for c in each]
        found += product(*ways)
    return tuple(dict.fromkeys(found))
