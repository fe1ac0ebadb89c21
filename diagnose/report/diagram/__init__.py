"""Diagrams as text and as pictures. A form is one module and one line in FORMS."""

from __future__ import annotations

from collections.abc import Callable

from diagnose.graph.model import Graph
from diagnose.report.diagram import dot, engine, glyphs, json, mermaid, pdf
from diagnose.report.diagram.refused import Refused

Render = Callable[[Graph, str], bytes]
PICTURES = ("svg", "png", "pdf")
"""Forms for which Graphviz has to be there."""

__all__ = ["FORMS", "PICTURES", "Refused", "Render"]


def _svg(graph: Graph, language: str) -> bytes:
    return engine.svg(dot.render(graph), graph.title).encode()


def _png(graph: Graph, language: str) -> bytes:
    glyphs.check(graph, "png")
    return engine.layout(dot.render(graph, dpi=144), "png")


def _pdf(graph: Graph, language: str) -> bytes:
    glyphs.check(graph, "pdf")
    alt = f"{graph.title}. {len(graph.nodes)} boxes, {len(graph.edges)} lines; the same in words: write it as json."
    return pdf.render(engine.svg(dot.render(graph), graph.title), graph.title, alt, language)


def _graphml(graph: Graph, language: str) -> bytes:
    from diagnose.graph.network import graphml

    return graphml(graph).encode()


FORMS: dict[str, Render] = {
    "dot": lambda graph, language: dot.render(graph).encode(),
    "svg": _svg,
    "png": _png,
    "pdf": _pdf,
    "mermaid": lambda graph, language: mermaid.render(graph).encode(),
    "graphml": _graphml,
    "json": lambda graph, language: json.render(graph).encode(),
}
"""Each takes the diagram and the language of its book."""
