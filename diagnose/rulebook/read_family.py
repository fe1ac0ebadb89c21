"""Families, sources and states: what quantities and rules build on."""

from __future__ import annotations

from diagnose.rulebook.known import Known
from diagnose.rulebook.model import Amount, Family, Limits, Passage, Source, State
from diagnose.rulebook.parts import read_citations, read_excuses, read_interval
from diagnose.rulebook.read_cause import read_minutes
from diagnose.rulebook.shares import SHARE_TOLERANCE
from diagnose.rulebook.words import percent
from diagnose.yamlfile import Problems, Record

_SOURCE_KINDS = ("standard", "handbook", "published", "common-practice", "judgement")


def read_source(record: Record, known: Known) -> Source:
    kind = record.choice("kind", _SOURCE_KINDS, "judgement", required=True)
    source = Source(
        id=record.ident(),
        title=record.text("title"),
        publisher=record.text("publisher"),
        year=record.text("year", required=kind not in ("common-practice", "judgement")),
        kind=kind,  # type: ignore[arg-type]
        where=record.text("where", required=False),
        place=record.place,
    )
    read_excuses(record, known, "source", source.id)
    return source


def read_state(record: Record) -> State:
    values = tuple(node.text.strip() for node in record.texts("values", required=True))
    if record.has("values") and len(set(values)) < max(2, len(values)):
        says = "a state has two values at least, none of them twice"
        record.problems.add(record.place_of("values"), "bad-state", says, "write 'values: [closed, open]'")
    takes = record.records("takes", "change", lambda one: _read_passage(one, values))
    for index, one in enumerate(takes):
        if one.start == one.end or (one.start, one.end) in ((t.start, t.end) for t in takes[:index]):
            says = f"the change from '{one.start}' to '{one.end}' stands here twice or leads nowhere"
            record.problems.add(one.place, "bad-state", says, "list every change once")
    return State(record.ident(), record.text("label"), values, record.place, takes)


def _read_passage(record: Record, values: tuple[str, ...]) -> Passage:
    start, end = (record.choice(key, values, required=True) for key in ("from", "to"))
    return Passage(start, end, read_minutes(record, "minutes"), record.place)


def read_family(record: Record, known: Known) -> Family:
    name = record.ident()
    limits: dict[str, Limits] = {}
    for key, node in record.pairs("limits"):
        known.name("quantity", key)
        inner = Record(node, known.problems, "limit")
        interval = read_interval(inner, "good", required=True)
        sources = read_citations(inner, known)
        inner.done()
        if interval is not None:
            limits[key.text] = Limits(*interval, sources, node.place)
    values: dict[str, Amount] = {}
    for key, node in record.pairs("values"):
        inner = Record(node, known.problems, "value")
        amount = Amount(inner.number("value"), known.unit(inner), read_citations(inner, known), node.place)
        inner.done()
        values[key.text] = amount
    family = Family(
        id=name,
        label=record.text("label"),
        how_common=known.word(record, "how_common", known.how_common, whole=True),
        limits=limits,
        values=values,
        also_called=tuple(node.text.strip() for node in record.texts("also_called")),
        note=record.text("note", required=False),
        place=record.place,
    )
    read_excuses(record, known, "family", name)
    return family


def check_families(families: dict[str, Family], problems: Problems) -> None:
    """Shares make up all cars, and a name means one family only."""
    total = sum(family.how_common.value for family in families.values())
    if families and all(f.how_common.value for f in families.values()) and abs(total - 1) > SHARE_TOLERANCE:
        place = next(iter(families.values())).how_common.place
        says = f"the shares of the families add up to {percent(total)}, not 100 %"
        problems.add(place, "shares-sum", says, "change 'how_common' of one or more families")
    taken: dict[str, str] = {}
    for family in families.values():
        for name in (family.id, *family.also_called):
            owner = taken.setdefault(name.lower(), family.id)
            if owner != family.id:
                says = f"'{name}' means the family '{owner}' already"
                problems.add(family.place, "name-taken", says, "take it out of 'also_called' of one of them")
