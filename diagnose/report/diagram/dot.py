"""Graphviz's DOT text."""

from __future__ import annotations

import re

from diagnose.graph.model import Edge, Graph, Node
from diagnose.report.diagram.labels import NOTE_WIDTH, box_lines, fold, line_word
from diagnose.report.diagram.looks import BOXES, DASHED, PATH, THICK, THIN, legend

FONT = "Arimo"
"""The name under which the layout knows the typeface that is as wide as Liberation Sans."""
_ENTITY = re.compile(r"&(?=#?[A-Za-z0-9]+;)")


def render(graph: Graph, notes: bool = True, dpi: int = 0) -> str:
    """One statement a line, in the order of the diagram; `notes` puts title, legend and notes under the drawing."""
    fine = f"dpi={dpi} " if dpi else ""
    lines = [
        f"digraph {quoted(graph.id)} {{",
        f'  graph [{fine}rankdir=LR ranksep=0.35 nodesep=0.18 fontname="{FONT}" fontsize=11 {_caption(graph, notes)}]',
        f'  node [fontname="{FONT}" fontsize=11 color=black fontcolor=black margin="0.12,0.06"]',
        f'  edge [fontname="{FONT}" fontsize=10 color=black fontcolor=black arrowsize=0.7]',
    ]
    title = f"label={quoted(graph.title)} labelloc=t labeljust=l fontsize=15 peripheries=0"
    lines += ['  subgraph "cluster" {', f"    graph [{title}]"] if notes else []
    lines += [f"    {quoted(node.id)} [{_box(node)}]" for node in graph.nodes]
    lines += ["  }"] if notes else []
    lines += [f"  {quoted(e.source)} -> {quoted(e.target)} [{_line(e)}]" for e in graph.edges]
    return "\n".join([*lines, "}"]) + "\n"


def quoted(text: str) -> str:
    """A string that Graphviz reads back as it is: no escapes, no character names, no markup."""
    return '"' + _escaped(text) + '"'


def _escaped(text: str) -> str:
    return _ENTITY.sub("&amp;", text).replace("\\", "\\\\").replace('"', '\\"')


def _lines(lines: list[str], end: str) -> str:
    return '"' + end.join(map(_escaped, lines)) + (end if end == "\\l" else "") + '"'


def _caption(graph: Graph, notes: bool) -> str:
    if not notes:
        return 'label=""'
    text = [line for note in (*legend(graph), *graph.notes) for line in fold(note, NOTE_WIDTH)]
    return f"label={_lines(text, chr(92) + 'l')} labelloc=b labeljust=l"


def _box(node: Node) -> str:
    look = BOXES[node.kind]
    styles = [look.style] if look.style else []
    if node.mark == "removed":
        styles.append("dotted")
    parts = [f"label={_lines(box_lines(node), chr(92) + 'n')}", f"shape={look.shape}"]
    if styles:
        parts.append(f'style="{",".join(styles)}"')
    if look.style == "filled":
        parts.append('fillcolor="#e6e6e6"')
    if look.borders > 1:
        parts.append(f"peripheries={look.borders}")
    pen = PATH if node.mark == "path" else look.pen
    if pen != THIN:
        parts.append(f"penwidth={pen:g}")
    return " ".join([*parts, f"class={node.kind}"])


def _line(edge: Edge) -> str:
    parts = [f"label={_lines(line_word(edge), chr(92) + 'n')}", f"class={edge.kind}"]
    if edge.mark == "removed":
        parts.append("style=dotted")
    elif edge.kind in DASHED:
        parts.append("style=dashed")
    if edge.mark == "path" or edge.kind == "proves":
        parts.append(f"penwidth={THICK:g}")
    return " ".join(parts)
