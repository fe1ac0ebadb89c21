"""A page in Markdown with one diagram on it, for sites that draw Mermaid by themselves."""

from __future__ import annotations

from diagnose.graph.model import Graph
from diagnose.report.diagram import mermaid
from diagnose.report.diagram.looks import legend


def page(graph: Graph) -> str:
    """Title, cautions, drawing, legend and notes."""
    notes = "\n".join(f"- {_plain(note)}" for note in (*legend(graph), *graph.notes))
    return f"# {_plain(graph.title)}\n\n```mermaid\n{mermaid.render(graph)}```\n\n{notes}\n"


def _plain(text: str) -> str:
    """Text that Markdown shows as it is."""
    return "".join(f"\\{char}" if char in "\\`*_{}[]<>#+!|~" else char for char in text)
