"""A rulebook to its map: findings, rules, causes, chains, tests, services, and how they hang together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from diagnose.graph.model import Edge, Graph, Node
from diagnose.plan.wording import duration, first_upper
from diagnose.rulebook.model import FAMILY, Book, Condition, Rule


def rule_map(book: Book, theme: str = "") -> Graph:
    """The whole book, or the rules of one theme with all that they touch."""
    rules = [rule for rule in book.rules.values() if not theme or rule.theme == theme]
    edges = tuple(dict.fromkeys(edge for rule in rules for edge in _rule_edges(rule, book)))
    touched = {end for edge in edges for end in (edge.source, edge.target)}
    chains = [edge for edge in _chains(book) if not theme or (edge.source in touched and edge.target in touched)]
    edges = (*edges, *chains)
    touched |= {end for edge in chains for end in (edge.source, edge.target)}
    nodes = tuple(node for node in _nodes(book) if node.id in touched)
    order = {node.id: number for number, node in enumerate(nodes)}
    sorted_edges = sorted(edges, key=lambda e: (order[e.source], order[e.target], e.kind, e.word))
    title = f"Rules: {book.theme_label(theme)}" if theme else f"All rules: {book.title}"
    notes = map_notes(nodes, book)
    return Graph(f"{book.id}.map{'.' + theme if theme else ''}", title, nodes, tuple(sorted_edges), notes)


def themes(book: Book) -> tuple[str, ...]:
    """The themes, in the order of the book."""
    return tuple(dict.fromkeys(rule.theme for rule in book.rules.values()))


def map_notes(nodes: Sequence[Node], book: Book) -> tuple[str, ...]:
    """The cautions of the rules, tests and services shown and what always holds; edition, weights, the last word."""
    work = [book.tests[n.ref] for n in nodes if n.kind == "test"]
    named = {name for test in work for name in test.cautions}
    named |= {name for n in nodes if n.kind == "service" for name in book.services[n.ref].cautions}
    named |= {name for n in nodes if n.kind == "rule" for name in book.rules[n.ref].cautions}
    opens = any(test.opens for test in work)
    holds = {"always": True, "opening": opens, "named": False, "unconfirmed": False}
    cautions = [f"CAUTION: {c.text}" for c in book.cautions.values() if c.id in named or holds[c.when]]
    return (*cautions, f"{book.title}, edition {book.edition}.", book.weights_are, book.defers_to)


def _nodes(book: Book) -> Iterator[Node]:
    for family in book.families.values():
        yield Node(f"{FAMILY}.{family.id}", "finding", "Family", (family.label,), family.id)
    for quantity in book.quantities.values():
        for band in quantity.bands:
            name = f"finding.{quantity.id}.{band.id}"
            yield Node(name, "finding", first_upper(quantity.label), (band.says,), quantity.id)
    for rule in book.rules.values():
        yield Node(f"rule.{rule.id}", "rule", rule.id, (rule.title,), rule.id)
    for cause in book.causes.values():
        yield Node(f"cause.{cause.id}", "cause", first_upper(cause.short), (), cause.id)
    for test in book.tests.values():
        minutes = duration(test.minutes) + (f" and {duration(test.wait)} of waiting" if test.wait else "")
        yield Node(f"test.{test.id}", "test", first_upper(test.label), (minutes,), test.id)
    for service in book.services.values():
        yield Node(f"service.{service.id}", "service", first_upper(service.label), (), service.id)


def _rule_edges(rule: Rule, book: Book) -> Iterator[Edge]:
    me = f"rule.{rule.id}"
    several = [condition for condition in rule.when if len(condition.bands) > 1]
    for condition in rule.when:
        word = "and" if len(rule.when) > 1 else "if"
        group = f" of group {several.index(condition) + 1}" if len(several) > 1 and condition in several else ""
        either = f", either{group}" if condition in several else ""
        yield from (Edge(finding, me, "when", word + either) for finding in _findings(condition))
    for link in rule.seen_with:
        yield Edge(me, f"cause.{link.cause}", "seen_with", f"seen with it {_often(link.how_often.text)}")
    for test in rule.next:
        yield Edge(me, f"test.{test}", "asks_for", "asks for")
    if rule.concludes is not None:
        yield from (Edge(me, finding, "concludes", "concludes") for finding in _findings(rule.concludes))
    if rule.decides:
        yield Edge(me, f"service.{rule.decides}", "decides", "decides")
    if rule.proves:
        yield Edge(me, f"cause.{rule.proves}", "proves", "proves")


def _findings(condition: Condition) -> Iterable[str]:
    lead = FAMILY if condition.quantity == FAMILY else f"finding.{condition.quantity}"
    return [f"{lead}.{band}" for band in condition.bands]


def _often(text: str) -> str:
    return text if any(char.isalpha() for char in text) else f"in {text}"


def _chains(book: Book) -> Iterator[Edge]:
    for cause in book.causes.values():
        for arc in cause.leads_to:
            word = f"leads to it {_often(arc.how_often.text)}"
            yield Edge(f"cause.{cause.id}", f"cause.{arc.cause}", "leads_to", word)
