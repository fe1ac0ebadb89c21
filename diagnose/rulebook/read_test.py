"""Tests, services and cautions: what is done, in which state, with which care."""

from __future__ import annotations

from diagnose.rulebook.known import Known
from diagnose.rulebook.model import FAMILY, WANTING, Caution, Condition, RepairWork, Service, State, Test, Yield
from diagnose.rulebook.parts import (
    read_cautions,
    read_citations,
    read_condition,
    read_drive,
    read_excuses,
    read_lines,
    read_state,
)
from diagnose.rulebook.read_cause import read_minutes
from diagnose.yamlfile import ListNode, MapNode, Record, TextNode


def read_test(record: Record, known: Known, states: dict[str, State]) -> Test:
    name = record.ident()
    opens, cautions = record.flag("opens"), read_cautions(record, known)
    if opens and not cautions:
        says = f"the test '{name}' opens the system but names no caution"
        hint = "add 'cautions: [...]' for a hot system under pressure"
        known.problems.add(record.place, "missing-cautions", says, hint)
    yields = record.records("yields", "yield", lambda one: _yield(one, known), required=True)
    told = tuple(each for each in yields if each.quantity != FAMILY)
    if yields and not told:
        says = f"the test '{name}' yields nothing but the family"
        hint = "name a given as well that tells by what it was found; without it a case can't tell that nobody knows"
        known.problems.add(record.place_of("yields"), "family-alone", says, hint)
    test = Test(
        id=name,
        label=record.text("label"),
        steps=read_lines(record, "steps"),
        minutes=read_minutes(record, "minutes"),
        wait=read_minutes(record, "wait", required=False),
        tools=read_lines(record, "tools", required=False),
        needs=read_state(record, "needs", known, states),
        leaves=read_state(record, "leaves", known, states),
        opens=opens,
        dismantling=read_minutes(record, "dismantling", required=False),
        spoils=known.names("quantity", record.texts("spoils")),
        cautions=cautions,
        misleads=record.text("misleads"),
        yields=told,
        sources=read_citations(record, known),
        place=record.place,
        day_away=read_minutes(record, "day_away", required=False) if record.has("day_away") else None,
        customer=record.text("customer", required=False),
        finds_family=len(told) < len(yields),
        first=known.names("quantity", record.texts("first")),
        not_on=_not_on(record, known),
    )
    listed = record.node("yields")
    if isinstance(listed, ListNode) and not listed.items:
        hint = "name what it tells, 'yields: [{quantity: ...}]', or delete the test"
        known.problems.add(listed.place, "empty-value", f"the test '{name}' yields nothing", hint)
    read_excuses(record, known, "test", name)
    return test


def _not_on(record: Record, known: Known) -> tuple[tuple[Condition, ...], ...]:
    """`[{quantity: band}, ...]`, or one mapping: it is not done where all that stands in one of them holds."""
    node = record.node("not_on")
    if node is None:
        return ()
    found = []
    for item in node.items if isinstance(node, ListNode) else (node,):
        if isinstance(item, MapNode) and item.pairs:
            found.append(tuple(read_condition(name, value, known) for name, value in item.pairs))
        else:
            says = "'not_on' takes a list of conditions"
            known.problems.add(item.place, "wrong-shape", says, "write 'not_on: [{level: [low, empty]}]'")
    return tuple(found)


def _yield(record: Record, known: Known) -> Yield:
    if record.text("quantity") == FAMILY:
        return Yield(FAMILY, "", record.place)
    name, method = known.named(record, "quantity", "quantity", required=True), record.text("method", required=False)
    quantity = known.quantities.get(name)
    if method and quantity is not None and quantity.method(method) is None:
        names = [one.id for one in quantity.methods]
        known.problems.unknown_name(record.place_of("method"), f"method of '{name}'", method, names)
    return Yield(name, method, record.place)


def read_service(record: Record, known: Known) -> Service:
    name = record.ident()
    quantities = record.choice("quantities", ("none", "correction", "replacement"), "none")
    service = Service(
        id=name,
        label=record.text("label"),
        cause_first=record.flag("cause_first"),
        quantities=quantities,  # type: ignore[arg-type]
        steps=read_lines(record, "steps"),
        verify=read_lines(record, "verify"),
        next_check=record.text("next_check"),
        next_check_months=read_minutes(record, "next_check_months"),
        drive=read_drive(record),
        customer=record.text("customer"),
        cautions=read_cautions(record, known),
        sources=read_citations(record, known),
        place=record.place,
        opens=record.flag("opens", default=True),
        before_repair=record.flag("before_repair"),
        first=known.names("quantity", record.texts("first")),
        instead=_instead(record, known),
        read_before=known.names("quantity", record.texts("read_before")),
        reckons_with=known.names("quantity", record.texts("reckons_with")),
    )
    read_excuses(record, known, "service", name)
    return service


def read_repair_work(record: Record, known: Known) -> RepairWork:
    return RepairWork(
        drain=read_lines(record, "drain"),
        fill=read_lines(record, "fill"),
        top_up=read_lines(record, "top_up"),
        cautions=read_cautions(record, known),
        place=record.place,
    )


def _instead(record: Record, known: Known) -> dict[str, str]:
    """`{open: service, ...}`, by what is wanting."""
    found: dict[str, str] = {}
    for name, node in record.pairs("instead"):
        if name.text not in WANTING:
            says = f"'{name.text}' is nothing that can be wanting"
            known.problems.add(name.place, "unknown-choice", says, f"it is one of: {', '.join(WANTING)}")
        elif not isinstance(node, TextNode):
            says = f"'{name.text}' takes one service here"
            known.problems.add(node.place, "wrong-shape", says, f"write '{name.text}: measure_again'")
        else:
            found[name.text] = known.name("service", node)
    return found


def read_caution(record: Record, known: Known) -> Caution:
    name = record.ident()
    when = record.choice("when", ("always", "opening", "named", "unconfirmed"), "named", required=True)
    caution = Caution(name, record.text("text"), when, read_citations(record, known), record.place)  # type: ignore[arg-type]
    read_excuses(record, known, "caution", name)
    return caution
