"""Two editions of one diagram, compared by meaning: what was added, removed or moved."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from diagnose.graph.model import Edge, Graph, Mark, Node


def against(new: Graph, old: Graph) -> Graph:
    """The new diagram with the changes marked; what is gone stands in it too, marked as removed.

    A box is the same where its id is. A new box that says what a box that is gone said has moved.
    A box that says something else than before counts as removed and added.
    """
    before = {node.id: node for node in old.nodes}
    now = {node.id: node for node in new.nodes}
    gone = [node for node in old.nodes if node.id not in now or _says(now[node.id]) != _says(node)]
    fresh = [node for node in new.nodes if node.id not in before or _says(before[node.id]) != _says(node)]
    left = [_says(node) for node in gone]
    moved = set()
    for node in fresh:
        if node.id not in before and _says(node) in left:
            left.remove(_says(node))
            moved.add(node.id)
    marks: dict[str, Mark] = {node.id: "moved" if node.id in moved else "added" for node in fresh}
    removed = _removed(gone, now, [_says(node) for node in fresh if node.id in moved])
    nodes = (*(replace(node, mark=marks.get(node.id, "")) for node in new.nodes), *removed.values())
    edges = _edges(new, old, removed)
    notes = (_counts(nodes, edges), *new.notes)
    title = f"{new.title}: what changed"
    return replace(new, id=f"{new.id}.changes", title=title, nodes=nodes, edges=edges, notes=notes)


def _says(node: Node) -> tuple[object, ...]:
    return (node.kind, node.label, node.lines, node.ref)


def _removed(gone: Iterable[Node], now: dict[str, Node], moved: list[tuple[object, ...]]) -> dict[str, Node]:
    """Boxes that are gone for good, by their old ids; where the id lives on, the old text gets one of its own."""
    found: dict[str, Node] = {}
    for node in gone:
        if _says(node) in moved:
            moved.remove(_says(node))
            continue
        name = f"{node.id}.before" if node.id in now else node.id
        found[node.id] = replace(node, id=name, mark="removed")
    return found


def _edges(new: Graph, old: Graph, removed: dict[str, Node]) -> tuple[Edge, ...]:
    """Lines of both; lines of the old one are drawn where both their ends still stand."""
    before, now = {_line(edge) for edge in old.edges}, {_line(edge) for edge in new.edges}
    stand = {node.id for node in new.nodes}
    found = [replace(edge, mark="" if _line(edge) in before else "added") for edge in new.edges]
    for edge in old.edges:
        if _line(edge) in now:
            continue
        source = removed[edge.source].id if edge.source in removed else edge.source
        target = removed[edge.target].id if edge.target in removed else edge.target
        ends = stand | {node.id for node in removed.values()}
        if source in ends and target in ends:
            found.append(replace(edge, source=source, target=target, mark="removed"))
    return tuple(dict.fromkeys(found))


def _line(edge: Edge) -> tuple[str, str, str, str]:
    return (edge.source, edge.target, edge.kind, edge.word)


def _counts(nodes: Iterable[Node], edges: Iterable[Edge]) -> str:
    boxes, lines = [node.mark for node in nodes], [edge.mark for edge in edges]
    told = [f"{boxes.count(mark)} {mark}" for mark in ("added", "removed", "moved") if mark in boxes]
    more = [f"{lines.count(mark)} {mark}" for mark in ("added", "removed") if mark in lines]
    if not told and not more:
        return "Nothing changed."
    return f"Boxes: {', '.join(told) or 'no change'}. Lines: {', '.join(more) or 'no change'}."
