"""Diagrams as networks: the part around one cause, and GraphML."""

from __future__ import annotations

from dataclasses import replace

import networkx as nx

from diagnose.graph.model import Graph


def network(graph: Graph) -> nx.MultiDiGraph:
    """The same nodes and edges, in the same order, with all that the diagram knows of them as text."""
    net = nx.MultiDiGraph(title=graph.title)
    for node in graph.nodes:
        lines = "\n".join(node.lines)
        net.add_node(node.id, kind=node.kind, label=node.label, lines=lines, ref=node.ref, mark=node.mark)
    for number, edge in enumerate(graph.edges):
        net.add_edge(edge.source, edge.target, key=str(number), kind=edge.kind, word=edge.word, mark=edge.mark)
    return net


def around(graph: Graph, cause: str, title: str) -> Graph:
    """The part of a rule map that bears on one cause.

    What leads to it and what it leads to, the rules that link or prove it with the findings they stand
    on, and the tests that those rules ask for. The notes are those of the whole map.
    """
    net = network(graph)
    here = f"cause.{cause}"
    chains = nx.DiGraph((edge.source, edge.target) for edge in graph.edges if edge.kind == "leads_to")
    chains.add_node(here)
    kept = {here} | nx.ancestors(chains, here) | set(chains.successors(here))
    rules = {e.source for e in graph.edges if e.target == here and e.kind in ("seen_with", "proves")}
    kept |= rules | {name for rule in rules for name in net.predecessors(rule)}
    kept |= {e.target for e in graph.edges if e.source in rules and e.kind == "asks_for"}
    inside = _inside(graph, kept)
    edges = tuple(e for e in inside.edges if here in (e.source, e.target) or e.kind not in ("seen_with", "proves"))
    return replace(inside, id=f"{graph.id}.around.{cause}", title=title, edges=edges)


def _inside(graph: Graph, kept: set[str]) -> Graph:
    nodes = tuple(node for node in graph.nodes if node.id in kept)
    edges = tuple(edge for edge in graph.edges if edge.source in kept and edge.target in kept)
    return replace(graph, nodes=nodes, edges=edges)


def graphml(graph: Graph) -> str:
    """GraphML, as networkx writes it."""
    return "\n".join(nx.generate_graphml(network(graph))) + "\n"
