"""How each kind of box and line looks: black on white, told by shape, line weight and word, never by colour."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.graph.model import EdgeKind, Graph, Mark, NodeKind

THIN, THICK, PATH = 1.0, 2.5, 2.5
"""Widths of lines in points; a case's way on a double border merges from 4 pt on."""


@dataclass(frozen=True, slots=True)
class Box:
    """`word` is the box's first line; `shape` and `style` are Graphviz's; `open` and `close` are Mermaid's."""

    word: str
    shape: str
    style: str
    pen: float
    borders: int
    open: str
    close: str
    legend: str


BOXES: dict[NodeKind, Box] = {
    "entry": Box("COMES IN WITH", "box", "rounded", THICK, 1, '("', '")', "thick rounded box: how the car comes in"),
    "question": Box("TEST", "box", "rounded", THIN, 1, '("', '")', "rounded box: a test"),
    "finding": Box("FINDING", "box", "", THIN, 1, '["', '"]', "plain box: a finding"),
    "rule": Box("RULE", "note", "", THIN, 1, '[/"', '"/]', "box with a folded corner: a rule"),
    "cause": Box("CAUSE", "box", "", THIN, 2, '[["', '"]]', "double border: a cause"),
    "test": Box("TEST", "box", "rounded", THIN, 1, '("', '")', "rounded box: a test"),
    "service": Box("SERVICE", "box", "filled", THICK, 1, '["', '"]', "thick border on grey: a service"),
    "caution": Box("CAUTION", "octagon", "", THICK, 1, '{{"', '"}}', "thick octagon: a caution"),
    "result": Box("RESULT", "ellipse", "", THIN, 1, '(["', '"])', "ellipse: a result"),
    "continue": Box("GO ON", "box", "", THIN, 1, '["', '"]', "plain box: go on with the program"),
}

DASHED: frozenset[EdgeKind] = frozenset({"sound_answer", "before"})
LINES: dict[EdgeKind, str] = {
    "answer": "solid line: something is out of order, or a fact",
    "sound_answer": "dashed line: as in a sound system",
    "before": "dashed line from a caution: mind it before any test",
    "when": "line into a rule: it stands on this finding, with 'and' on every one so marked, with 'either' on any one "
    "of them (of each group, where there are groups)",
    "seen_with": "line from a rule to a cause: how often systems with this cause show the finding",
    "leads_to": "line between causes: one brings about the other",
    "asks_for": "line from a rule to a test: the rule asks for it",
    "concludes": "line from a rule to a finding: the rule concludes it",
    "decides": "line from a rule to a service: the rule decides for it",
    "proves": "thick line from a rule to a cause: proof",
}
MARKS: dict[Mark, str] = {"": "", "path": "", "added": "ADDED", "removed": "REMOVED", "moved": "MOVED"}
"""The word that stands in a box or on a line that changed."""


def legend(graph: Graph) -> tuple[str, ...]:
    """What the shapes and lines of this diagram mean; only what occurs in it."""
    boxes = _in_order([BOXES[node.kind].legend for node in graph.nodes])
    lines = _in_order([LINES[edge.kind] for edge in graph.edges])
    told = [f"{'; '.join([*boxes, *lines])}."] if boxes else []
    if any(MARKS[node.mark] for node in graph.nodes) or any(MARKS[edge.mark] for edge in graph.edges):
        told.append("The words ADDED, REMOVED and MOVED stand where something changed.")
    return tuple(f"{text[0].upper()}{text[1:]}" for text in told)


def _in_order(found: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(found))
