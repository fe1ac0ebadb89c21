"""A diagram by meaning: typed nodes, and edges with words. How it looks is told elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

NodeKind = Literal["entry", "question", "finding", "rule", "cause", "test", "service", "caution", "result", "continue"]
EdgeKind = Literal[
    "answer",
    "sound_answer",
    "before",
    "when",
    "seen_with",
    "leads_to",
    "asks_for",
    "concludes",
    "decides",
    "proves",
]
"""`sound_answer` is what a system without a fault shows; `before` leads from a caution to what it comes before."""
Mark = Literal["", "path", "added", "removed", "moved"]
"""`path`: on the way that one case took. The others compare two editions."""


@dataclass(frozen=True, slots=True)
class Node:
    """`label` is what the node is called, `lines` what else is said of it; `ref` is its id in the book.

    Ids hold letters, digits, `_`, `-` and `.` only, and stay the same from one edition to the next
    as long as the node means the same.
    """

    id: str
    kind: NodeKind
    label: str
    lines: tuple[str, ...] = ()
    ref: str = ""
    mark: Mark = ""


@dataclass(frozen=True, slots=True)
class Edge:
    """`word` stands on the line; two nodes may be joined by several edges with different words."""

    source: str
    target: str
    kind: EdgeKind
    word: str
    mark: Mark = ""


@dataclass(frozen=True, slots=True)
class Graph:
    """Nodes in the order in which they are met, edges by source. `notes` are sentences that belong to the diagram."""

    id: str
    title: str
    nodes: tuple[Node, ...]
    edges: tuple[Edge, ...]
    notes: tuple[str, ...] = ()

    def node(self, name: str) -> Node:
        return next(node for node in self.nodes if node.id == name)
