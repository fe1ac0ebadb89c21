"""The diagram as JSON: nodes and edges by meaning. FORMAT grows with every change of shape."""

from __future__ import annotations

import json

from diagnose.graph.model import Graph

FORMAT = 1


def render(graph: Graph) -> str:
    """One node or edge a line, so that a change of one of them changes one line."""
    nodes = [
        {"id": n.id, "kind": n.kind, "label": n.label, "lines": list(n.lines), "ref": n.ref, "mark": n.mark}
        for n in graph.nodes
    ]
    edges = [
        {"source": e.source, "target": e.target, "kind": e.kind, "word": e.word, "mark": e.mark} for e in graph.edges
    ]
    head = {"format": FORMAT, "id": graph.id, "title": graph.title, "notes": list(graph.notes)}
    parts = [f"  {_text(key)}: {_text(value)}" for key, value in head.items()]
    for key, items in (("nodes", nodes), ("edges", edges)):
        inside = ",\n".join(f"    {_text(item)}" for item in items)
        parts.append(f"  {_text(key)}: [\n{inside}\n  ]" if items else f"  {_text(key)}: []")
    return "{\n" + ",\n".join(parts) + "\n}\n"


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)
