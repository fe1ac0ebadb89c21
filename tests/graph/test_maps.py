"""The rule map against the book it is made from."""

from __future__ import annotations

import networkx as nx
import pytest

from diagnose.graph.from_rulebook import rule_map, themes
from diagnose.graph.network import around, network
from diagnose.pipeline import Bench


def test_every_rule_and_every_link_is_there_once(car: Bench) -> None:
    book, graph = car.book, rule_map(car.book)
    kinds = [node.kind for node in graph.nodes]
    assert kinds.count("rule") == len(book.rules)
    rules = book.rules.values()
    lines = [edge.kind for edge in graph.edges]
    assert lines.count("seen_with") == sum(len(rule.seen_with) for rule in rules)
    assert lines.count("asks_for") == sum(len(rule.next) for rule in rules)
    assert lines.count("decides") == sum(bool(rule.decides) for rule in rules)
    assert lines.count("proves") == sum(bool(rule.proves) for rule in rules)
    assert lines.count("concludes") == sum(len(rule.concludes.bands) for rule in rules if rule.concludes)
    assert lines.count("when") == sum(len(condition.bands) for rule in rules for condition in rule.when)
    assert lines.count("leads_to") == sum(len(cause.leads_to) for cause in book.causes.values())
    assert len(set(graph.edges)) == len(graph.edges)
    ends = {node.id for node in graph.nodes}
    assert len(ends) == len(graph.nodes)
    assert all(edge.source in ends and edge.target in ends for edge in graph.edges)
    assert all(edge.word for edge in graph.edges)


def test_the_themes_hold_all_rules_between_them(car: Bench) -> None:
    maps = [rule_map(car.book, theme) for theme in themes(car.book)]
    rules = [node.ref for graph in maps for node in graph.nodes if node.kind == "rule"]
    assert sorted(rules) == sorted(car.book.rules)


@pytest.mark.parametrize("cause", ["head_gasket_gas", "worn_out"])
def test_around_a_cause_stands_what_bears_on_it(cause: str, car: Bench) -> None:
    book = car.book
    graph = around(rule_map(book), cause, "around")
    names = {node.id for node in graph.nodes}
    linking = {rule.id for rule in book.rules.values() if any(link.cause == cause for link in rule.seen_with)}
    linking |= {rule.id for rule in book.rules.values() if rule.proves == cause}
    assert {node.ref for node in graph.nodes if node.kind == "rule"} == linking
    assert {f"cause.{arc.cause}" for arc in book.causes[cause].leads_to} <= names
    parents = {f"cause.{c.id}" for c in book.causes.values() if any(arc.cause == cause for arc in c.leads_to)}
    assert parents <= names
    assert nx.is_weakly_connected(network(graph))


def test_two_groups_of_bands_on_one_rule_are_told_apart(car: Bench) -> None:
    words: dict[str, set[str]] = {}
    for edge in rule_map(car.book, "misread").edges:
        if edge.kind == "when" and edge.target == "rule.MR-05":
            words.setdefault(edge.word, set()).add(edge.source.split(".")[1])
    assert words == {
        "and, either of group 1": {"mixture"},
        "and, either of group 2": {"drained_how"},
        "and": {"fill_share"},
    }
    single = [edge for edge in rule_map(car.book, "ph").edges if edge.target == "rule.PH-23" and edge.kind == "when"]
    assert {edge.word for edge in single} == {"and", "and, either"}


def test_waiting_is_told_in_hours_and_days(car: Bench) -> None:
    says = {node.ref: node.lines for node in rule_map(car.book).nodes if node.kind == "test"}
    assert says["laboratory"] == ("15 min and 3 days of waiting",)
    assert says["jar_overnight"] == ("4 min and 12 h of waiting",)
    assert says["cap_test"] == ("6 min",)


def test_a_rule_brings_the_cautions_it_names(car: Bench) -> None:
    notes = rule_map(car.book, "smell").notes
    assert f"CAUTION: {car.book.cautions['fuel_vapour'].text}" in notes


def test_a_test_of_a_hot_system_brings_its_cautions(car: Bench) -> None:
    graph = rule_map(car.book, "gas")
    tests = [car.book.tests[node.ref] for node in graph.nodes if node.kind == "test"]
    needed = {name for test in tests for name in test.cautions}
    assert needed
    assert {f"CAUTION: {car.book.cautions[name].text}" for name in needed} <= set(graph.notes)
