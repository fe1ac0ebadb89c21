"""Rules: one piece of reasoning each."""

from __future__ import annotations

from diagnose.rulebook.known import Known
from diagnose.rulebook.model import FAMILY, Ban, Condition, Example, Link, Rule, State
from diagnose.rulebook.parts import (
    read_citations,
    read_condition,
    read_conditions,
    read_drive,
    read_excuses,
    read_state,
    refuse_empty,
)
from diagnose.rulebook.read_teaching import theme_of
from diagnose.rulebook.words import read_word
from diagnose.yamlfile import ListNode, MapNode, Node, Place, Record, TextNode, did_you_mean, short

MAX_TITLE = 70
DOES = ("seen_with", "next", "concludes", "decides", "proves", "drive", "says", "forbids")
"""What a rule can do; every rule does one of these at least."""


def read_rule(record: Record, known: Known, states: dict[str, State]) -> Rule:
    name, title = record.ident(), record.text("title")
    if len(title) > MAX_TITLE:
        says = f"the title has {len(title)} characters, more than {MAX_TITLE}"
        known.problems.add(record.place_of("title"), "too-long", says, "it must fit on one line of a handout")
    if not any(record.has(key) for key in DOES):
        says = f"the rule '{name}' does nothing"
        known.problems.add(record.place, "idle-rule", says, f"give it one of: {', '.join(DOES)}")
    when = read_conditions(record, "when", known, required=True)
    examples = record.record("examples", "pair of examples", lambda pair: _examples(pair, known), required=True)
    fires, silent = examples or ((), ())
    rule = Rule(
        id=name,
        title=title,
        theme=theme_of(record.place.file),
        lesson=known.named(record, "lesson", "lesson"),
        when=when,
        seen_with=_links(record, known),
        next=known.names("test", record.texts("next")),
        concludes=_conclusion(record, known),
        decides=known.named(record, "decides", "service"),
        proves=known.named(record, "proves", "cause"),
        drive=read_drive(record),
        says=record.text("says", required=False),
        because=record.text("because"),
        limits=record.text("limits"),
        sources=read_citations(record, known, required=True),
        fires=fires,
        silent=silent,
        place=record.place,
        moot_when=read_conditions(record, "moot_when", known),
        cautions=known.names("caution", record.texts("cautions")),
        forbids=record.record("forbids", "ban", lambda ban: _ban(ban, known, states)),
        first=known.names("quantity", record.texts("first")),
    )
    if rule.first and not rule.decides:
        says = f"the rule '{name}' decides nothing that 'first' could come before"
        known.problems.add(record.place_of("first"), "first-of-nothing", says, "add 'decides', or leave 'first' out")
    read_excuses(record, known, "rule", name)
    return rule


def _ban(record: Record, known: Known, states: dict[str, State]) -> Ban:
    """`{states: {part: value}, tests: [...]}`, one of the two at least; or `{everything: yes}`."""
    ban = Ban(
        tuple(read_state(record, "states", known, states).items()),
        known.names("test", record.texts("tests")),
        record.flag("everything"),
        record.place,
    )
    if not (ban.states or ban.tests or ban.everything) and known.complete:
        hint = "write 'forbids: {states: {engine: warm}}', name tests, or write 'everything: yes'"
        known.problems.add(record.place, "empty-value", "'forbids' forbids nothing", hint)
    return ban


def _links(record: Record, known: Known) -> tuple[Link, ...]:
    pairs = record.pairs("seen_with")
    if record.has("seen_with") and not pairs:
        refuse_empty(record, "seen_with")
    links: list[Link] = []
    for key, node in pairs:
        word = read_word(node, known.how_often, known.problems)
        cause = known.name("cause", key)
        if word is not None:
            links.append(Link(cause, word, key.place))
    return tuple(links)


def _conclusion(record: Record, known: Known) -> Condition | None:
    pairs = record.pairs("concludes")
    if not record.has("concludes"):
        return None
    if len(pairs) != 1 or not isinstance(pairs[0][1], TextNode):
        says = "'concludes' names one pattern and one band"
        known.problems.add(record.place_of("concludes"), "wrong-shape", says, "write 'concludes: {pattern: band}'")
        return None
    key, node = pairs[0]
    quantity = known.quantities.get(key.text)
    if quantity is not None and quantity.role != "pattern":
        says = f"'{key.text}' is no pattern; a rule can't conclude it"
        known.problems.add(key.place, "not-a-pattern", says, "list it under 'patterns', or name another")
    return read_condition(key, node, known)


def _examples(record: Record, known: Known) -> tuple[tuple[Example, ...], tuple[Example, ...]]:
    return _example_list(record, "fires", known), _example_list(record, "silent", known)


def _example_list(record: Record, key: str, known: Known) -> tuple[Example, ...]:
    node = record.node(key, required=True)
    if node is None:
        return ()
    items: tuple[Node, ...] = node.items if isinstance(node, ListNode) else (node,)
    if not items:
        refuse_empty(record, key)
    return tuple(_example(item, known) for item in items)


def _example(node: Node, known: Known) -> Example:
    readings: list[tuple[str, str, Place]] = []
    if not isinstance(node, MapNode) or not node.pairs:
        hint = "write '{quantity: reading, family: id}'"
        known.problems.add(node.place, "wrong-shape", "an example is a mapping of quantities to readings", hint)
        return Example((), node.place)
    for key, value in node:
        if not isinstance(value, TextNode) or not value.text.strip():
            says = f"'{key.text}' takes one reading here, as a case would record it"
            known.problems.add(value.place, "wrong-shape", says, "write one number with its unit, or one word")
            continue
        if key.text == FAMILY:
            _check_family(value, known)
        elif key.text == "method":
            _check_method(node, value, known)
        else:
            known.name("quantity", key)
        readings.append((key.text, value.text.strip(), value.place))
    return Example(tuple(readings), node.place)


def _check_family(value: TextNode, known: Known) -> None:
    names = {n for f in known.families.values() for n in (f.id, *f.also_called)} | {"unknown"}
    if value.text.strip() not in names and known.complete:
        known.problems.unknown_name(value.place, "family", value.text.strip(), sorted(names))


def _check_method(node: MapNode, value: TextNode, known: Known) -> None:
    quantities = [known.quantities[key.text] for key, _ in node if key.text in known.quantities]
    names = sorted({method.id for quantity in quantities for method in quantity.methods})
    if value.text.strip() not in names and known.complete:
        hint = did_you_mean(value.text.strip(), names, f"methods of its quantities: {', '.join(names) or 'none'}")
        says = f"no method of this example is called '{short(value.text)}'"
        known.problems.add(value.place, "unknown-name", says, hint)
