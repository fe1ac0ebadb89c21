"""Parts that many entries share: citations, conditions, whether the car may be driven, excuses."""

from __future__ import annotations

import re

from diagnose.rulebook.known import Known
from diagnose.rulebook.model import FAMILY, Citation, Condition, Drive, Excuse, State
from diagnose.yamlfile import ListNode, Node, Record, TextNode, did_you_mean, short
from diagnose.yamlfile.record import plain_number

_DATE = re.compile(r"[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])")


def read_citations(record: Record, known: Known, required: bool = False) -> tuple[Citation, ...]:
    """`sources: [{id: ..., at: ...}]`."""

    def one(cite: Record) -> Citation:
        return Citation(known.named(cite, "id", "source", True), cite.text("at", required=False), cite.place)

    found = record.records("sources", "citation", one, required)
    if required and not found and record.has("sources"):
        refuse_empty(record, "sources")
    return found


def read_cautions(record: Record, known: Known) -> tuple[str, ...]:
    return known.names("caution", record.texts("cautions"))


def read_drive(record: Record, required: bool = False) -> Drive | None:
    """`drive: {may: ..., because: ...}`."""

    def one(drive: Record) -> Drive:
        may = drive.choice("may", ("yes", "short", "no"), "no", required=True)
        return Drive(may, drive.text("because"))  # type: ignore[arg-type]

    return record.record("drive", "drive", one, required)


def read_excuses(record: Record, known: Known, kind: str, entry: str) -> None:
    """`excused:` at an entry is kept for the checks of a whole book."""

    def one(excuse: Record) -> Excuse:
        check, because = excuse.ident("check"), excuse.text("because")
        return Excuse(kind, entry, check, because, read_date(excuse, "date"), excuse.place)

    known.excused.extend(record.records("excused", "excuse", one))


def read_date(record: Record, key: str) -> str:
    text = record.text(key)
    if text and not _DATE.fullmatch(text):
        says = f"'{short(text)}' is not a date"
        record.problems.add(record.place_of(key), "not-a-date", says, "write year, month and day as 2026-11-24")
    return text


def read_lines(record: Record, key: str, required: bool = True) -> tuple[str, ...]:
    """A list of sentences, at least one where it is required."""
    lines = tuple(node.text.strip() for node in record.texts(key, required))
    if required and not lines and record.has(key) and isinstance(record.node(key), ListNode):
        refuse_empty(record, key)
    return lines


def read_conditions(record: Record, key: str, known: Known, required: bool = False) -> tuple[Condition, ...]:
    """`{quantity: band}` or `{quantity: [band, band]}`; `family` takes ids of families."""
    pairs = record.pairs(key, required)
    if required and not pairs and record.has(key):
        refuse_empty(record, key)
    return tuple(read_condition(name, value, known) for name, value in pairs)


def read_condition(name: TextNode, value: Node, known: Known) -> Condition:
    nodes = _words(value, name.text, known)
    if name.text == FAMILY:
        return Condition(FAMILY, known.names("family", nodes), name.place)
    known.name("quantity", name)
    quantity = known.quantities.get(name.text)
    bands: list[str] = []
    for node in nodes:
        band = node.text.strip()
        if quantity is not None and quantity.band(band) is None:
            words = [band.id for band in quantity.bands]
            unknown_band(node, name.text, words, known)
        elif band in bands:
            known.problems.add(node.place, "listed-twice", f"'{band}' stands twice in this list", "delete one")
        else:
            bands.append(band)
    return Condition(name.text, tuple(bands), name.place)


def unknown_band(node: TextNode, quantity: str, words: list[str], known: Known) -> None:
    hint = did_you_mean(node.text.strip(), words, f"the bands of '{quantity}' are: {', '.join(words)}")
    known.problems.add(node.place, "unknown-band", f"'{quantity}' has no band '{short(node.text)}'", hint)


def refuse_empty(record: Record, key: str) -> None:
    record.problems.add(record.place_of(key), "empty-value", f"'{key}' is empty", "fill it in or delete the line")


def read_interval(record: Record, key: str, required: bool = False) -> tuple[float, float] | None:
    """`[low, high]`, two plain numbers of which the second is larger."""
    node = record.node(key, required)
    if node is None:
        return None
    items = node.items if isinstance(node, ListNode) else ()
    numbers = [plain_number(item.text.strip()) for item in items if isinstance(item, TextNode)]
    if len(items) == 2 and len(numbers) == 2 and numbers[0] is not None and numbers[1] is not None:
        if numbers[0] < numbers[1]:
            return numbers[0], numbers[1]
        says, hint = f"the first number of '{key}' must be below the second", "write the lower number first"
        record.problems.add(node.place, "edges-out-of-order", says, hint)
        return None
    says = f"'{key}' takes two plain numbers, the lower one first"
    record.problems.add(node.place, "wrong-shape", says, f"write '{key}: [0, 14]'")
    return None


def read_state(record: Record, key: str, known: Known, states: dict[str, State]) -> dict[str, str]:
    """`{part of the car's state: value}`."""
    found: dict[str, str] = {}
    for name, node in record.pairs(key):
        known.name("state", name)
        if not isinstance(node, TextNode):
            known.problems.add(node.place, "wrong-shape", f"'{name.text}' takes one word here", "write 'engine: cold'")
            continue
        value, state = node.text.strip(), states.get(name.text)
        if state is not None and value not in state.values:
            says = f"'{name.text}' can't be '{value}'"
            known.problems.add(node.place, "unknown-choice", says, f"it is one of: {', '.join(state.values)}")
        found[name.text] = value
    return found


def _words(value: Node, key: str, known: Known) -> tuple[TextNode, ...]:
    items = value.items if isinstance(value, ListNode) else (value,)
    for item in items:
        if not isinstance(item, TextNode):
            says = f"'{key}' takes a word or a list of words here"
            known.problems.add(item.place, "wrong-shape", says, f"write '{key}: [first, second]'")
    if not items:
        known.problems.add(value.place, "empty-value", f"'{key}' is empty", "name at least one band")
    return tuple(item for item in items if isinstance(item, TextNode))
