"""Mermaid text, for pages that draw it by themselves. One drawing has 500 lines and 50,000 characters at most."""

from __future__ import annotations

import re

from diagnose.graph.model import Graph, Node
from diagnose.report.diagram.labels import box_lines, line_word
from diagnose.report.diagram.looks import BOXES, DASHED, legend
from diagnose.report.diagram.refused import Refused

MOST_EDGES, MOST_CHARACTERS = 500, 50_000
_MARKUP = re.compile(r"""["#<>&\\`{}|;~*_\[\]()@$]""")


def render(graph: Graph) -> str:
    """A flowchart from left to right. Raises Refused where it is too large for Mermaid."""
    names = ids(graph)
    lines = ["flowchart LR"]
    for node in graph.nodes:
        look = BOXES[node.kind]
        lines.append(f"  {names[node.id]}{look.open}{_label(node)}{look.close}")
    for edge in graph.edges:
        heavy = edge.mark == "path" or edge.kind == "proves"
        arrow = "==>" if heavy else "-.->" if edge.kind in DASHED or edge.mark == "removed" else "-->"
        word = "<br/>".join(map(escaped, line_word(edge)))
        lines.append(f'  {names[edge.source]} {arrow}|"{word}"| {names[edge.target]}')
    lines += _styles(graph, names)
    lines += [f"%% {_comment(text)}" for text in (graph.title, *legend(graph), *graph.notes)]
    text = "\n".join(lines) + "\n"
    if len(graph.edges) > MOST_EDGES or len(text) > MOST_CHARACTERS:
        says = f"{len(graph.edges)} lines and {len(text)} characters are too much for Mermaid"
        raise Refused(says, "draw one theme, one cause or one tree, or choose another form")
    return text


def ids(graph: Graph) -> dict[str, str]:
    """A name for each box that Mermaid takes: letters, digits and '_', beginning with its kind."""
    found: dict[str, str] = {}
    for node in graph.nodes:
        name = plain = f"{node.kind}_{re.sub('[^A-Za-z0-9]', '_', node.id)}"
        count = 1
        while name in found.values():
            count += 1
            name = f"{plain}_{count}"
        found[node.id] = name
    return found


def escaped(text: str) -> str:
    """Every character that could be markup by its number; a leading digit or dash too, for it could be a list."""
    told = _MARKUP.sub(lambda match: f"#{ord(match.group())};", text)
    if re.match(r"[0-9]+[.)] |[-+] ", told):
        told = f"#{ord(told[0])};{told[1:]}"
    return told.replace("%%", "#37;#37;")


def _label(node: Node) -> str:
    return "<br/>".join(map(escaped, box_lines(node)))


def _comment(text: str) -> str:
    return text.replace("{", "(").replace("}", ")")


def _styles(graph: Graph, names: dict[str, str]) -> list[str]:
    """Black on white, whatever the page's theme is."""
    lines = ["  classDef default fill:#fff,stroke:#000,color:#000,stroke-width:1px"]
    thick = [names[node.id] for node in graph.nodes if BOXES[node.kind].pen > 1 or node.mark == "path"]
    grey = [names[node.id] for node in graph.nodes if BOXES[node.kind].style == "filled"]
    gone = [names[node.id] for node in graph.nodes if node.mark == "removed"]
    for word, style, members in (
        ("thick", "stroke-width:3px", thick),
        ("grey", "fill:#e6e6e6,stroke-width:3px", grey),
        ("gone", "stroke-dasharray:2 2", gone),
    ):
        if members:
            lines += [f"  classDef {word} {style}", f"  class {','.join(members)} {word}"]
    return lines
