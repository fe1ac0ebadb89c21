"""How a session asks for a quantity: units that must be named, questions that are void, words behind a reading."""

from __future__ import annotations

from diagnose.fluid.units import find_unit, kind, unit_names
from diagnose.rulebook.known import Known
from diagnose.rulebook.model import FAMILY, Book, Condition, NoteAsked, ReadAs
from diagnose.rulebook.parts import read_condition, read_conditions, refuse_empty
from diagnose.yamlfile import ListNode, MapNode, Problems, Record, short


def read_told_in(record: Record, unit: str, other: tuple[ReadAs, ...], known: Known) -> tuple[str, ...]:
    """Two units at least of the quantity's kind, or of those it is also read as, by the names that books use."""
    found: list[str] = []
    nodes = record.texts("told_in")
    kinds = {kind(own) for own in (unit, *(each.unit for each in other)) if find_unit(own) == own}
    fit = [name for name in unit_names() if kind(name) in kinds]
    for node in nodes:
        text = node.text.strip()
        if text not in fit:
            says = f"'{short(text)}' is no unit that this quantity can be told in"
            known.problems.add(node.place, "unknown-unit", says, f"units are: {', '.join(fit) or 'none'}")
        elif text in found:
            known.problems.add(node.place, "listed-twice", f"'{text}' stands twice in this list", "delete one")
        else:
            found.append(text)
    if record.has("told_in") and len(nodes) < 2:
        hint = "name two units at least, or leave it out: then a number without a unit counts in the quantity's own"
        known.problems.add(record.place_of("told_in"), "too-few-units", "one unit leaves nothing to ask", hint)
    return tuple(found)


def read_not_asked(record: Record, known: Known) -> tuple[tuple[Condition, ...], ...]:
    """`not_asked_when: {given: band}`, or a list of such mappings, of which any is enough."""
    node = record.node("not_asked_when")
    if node is None:
        return ()
    if isinstance(node, MapNode):
        return (read_conditions(record, "not_asked_when", known, required=True),)
    if not isinstance(node, ListNode):
        says, hint = "'not_asked_when' is a mapping or a list of mappings", "write 'not_asked_when: {fuel: petrol}'"
        known.problems.add(node.place, "wrong-shape", says, hint)
        return ()
    if not node.items:
        refuse_empty(record, "not_asked_when")
    found = []
    for item in node:
        if not isinstance(item, MapNode):
            known.problems.add(item.place, "wrong-shape", "this is no mapping", "write '- {fuel: petrol}'")
            continue
        found.append(tuple(read_condition(name, value, known) for name, value in item))
    return tuple(found)


def read_note(record: Record, known: Known) -> NoteAsked:
    return NoteAsked(
        ask=record.text("ask"),
        label=record.text("label"),
        when=read_conditions(record, "when", known),
        said_at=known.names("quantity", record.texts("said_at")),
        causes=known.names("cause", record.texts("causes")),
        place=record.place,
    )


def check_asking(book: Book, problems: Problems) -> None:
    """What can only be judged when all quantities are read: later ones were not known while earlier ones were."""
    for quantity in book.quantities.values():
        for condition in (each for way in quantity.not_asked_when for each in way):
            other = book.quantities.get(condition.quantity)
            if condition.quantity == FAMILY or (other is not None and (other.role != "given" or not other.in_words)):
                says = f"'{condition.quantity}' can't make a question void"
                problems.add(condition.place, "not-a-given", says, "name a given that is told in words")
            _check_bands(condition, book, problems)
        for condition in quantity.note.when if quantity.note is not None else ():
            _check_bands(condition, book, problems)


def _check_bands(condition: Condition, book: Book, problems: Problems) -> None:
    quantity = book.quantities.get(condition.quantity)
    for band in condition.bands if quantity is not None else ():
        if quantity is not None and quantity.band(band) is None:
            words = ", ".join(each.id for each in quantity.bands)
            says = f"'{quantity.id}' has no band '{short(band)}'"
            problems.add(condition.place, "unknown-band", says, f"the bands of '{quantity.id}' are: {words}")
