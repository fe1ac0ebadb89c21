"""Bands as written: ids, sayings, and the edges that stand beside them."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.rulebook.known import NOT_AS_ID, Known
from diagnose.rulebook.model import Citation, Condition, Word
from diagnose.rulebook.parts import read_citations, read_conditions, read_interval
from diagnose.yamlfile import Place, Record, TextNode

_EDGE_KEYS = ("from", "below", "good", "limits")


@dataclass(frozen=True, slots=True)
class WrittenBand:
    """`low` is the number after `from`, `high` the one after `below`; `closed` is the interval of `good`.

    `family` is the quantity whose interval each family brings along (`limits: family.ph`).
    """

    id: str
    says: str
    customer: str
    low: float | None
    high: float | None
    closed: tuple[float, float] | None
    family: str
    also_called: tuple[str, ...]
    sources: tuple[Citation, ...]
    place: Place
    looks_at: tuple[str, ...] = ()
    shows_in: tuple[Condition, ...] = ()
    groundless: Word | None = None
    after_repair: tuple[str, ...] = ()
    gone_when: str = ""

    @property
    def has_edges(self) -> bool:
        return self.low is not None or self.high is not None or self.is_closed

    @property
    def is_closed(self) -> bool:
        return self.closed is not None or bool(self.family)


def read_band(record: Record, known: Known) -> WrittenBand:
    name = record.ident()
    if name in NOT_AS_ID:
        says = f"'{name}' has a meaning of its own"
        known.problems.add(record.place_of("id"), "bad-id", says, "choose another id")
    closed = read_interval(record, "good")
    family = _family_limits(record, known)
    low = record.number("from") if record.has("from") else None
    high = record.number("below") if record.has("below") else None
    record.node("from"), record.node("below")
    if (closed or family) and (low is not None or high is not None or (closed and family)):
        used = " and ".join(f"'{key}'" for key in _EDGE_KEYS if record.has(key))
        says = f"the band '{name}' has {used} at once"
        hint = "'good' or 'limits' gives both edges; keep only one of them"
        known.problems.add(record.place, "edges-twice", says, hint)
        low = high = None
    elif low is not None and high is not None and low >= high:
        says = f"the band '{name}' begins at {low:g} and ends at {high:g}"
        known.problems.add(record.place, "edges-out-of-order", says, "'from' is the lower edge, 'below' the upper one")
        low = high = None
    says = record.text("says")
    return WrittenBand(
        id=name,
        says=says,
        customer=record.text("customer", required=False, default=says),
        low=low,
        high=high,
        closed=closed,
        family=family,
        also_called=tuple(node.text.strip() for node in record.texts("also_called")),
        sources=read_citations(record, known),
        place=record.place,
        looks_at=known.names("quantity", record.texts("looks_at")),
        shows_in=read_conditions(record, "shows_in", known),
        groundless=known.word(record, "groundless", known.how_often) if record.has("groundless") else None,
        after_repair=known.names("cause", record.texts("after_repair")),
        gone_when=record.text("gone_when", required=False),
    )


def _family_limits(record: Record, known: Known) -> str:
    text = record.text("limits", required=False)
    if text and not text.startswith("family."):
        says = f"'limits' can't be '{text}'"
        hint = "write 'limits: family.<quantity>', or 'good: [low, high]' for one interval"
        known.problems.add(record.place_of("limits"), "unknown-choice", says, hint)
        return ""
    name = text.removeprefix("family.")
    return known.name("quantity", TextNode(name, record.place_of("limits"))) if name else ""
