"""A diagram as PDF, on a page of its own size. Handouts put diagrams onto sheets of paper."""

from __future__ import annotations

import re

from diagnose.report.diagram.refused import Refused
from diagnose.report.paper.press import NoPress, press

_PAGE = """
#set document(title: sys.inputs.title)
#set page(width: float(sys.inputs.width) * 1pt, height: float(sys.inputs.height) * 1pt, margin: 0pt)
#set text(font: "Liberation Sans", lang: sys.inputs.language)
#image(bytes(sys.inputs.svg), format: "svg", alt: sys.inputs.alt, width: 100%, height: 100%)
"""
_SIZE = re.compile(r'<svg width="([0-9.]+)pt" height="([0-9.]+)pt"')
LARGEST = 14_400.0
"""Points; no PDF page is larger."""


def render(svg: str, title: str, alt: str, language: str) -> bytes:
    """The same bytes for the same drawing. Raises Refused."""
    size = _SIZE.search(svg)
    if size is None:
        raise Refused("the drawing has no size", "write svg")
    if max(map(float, size.groups())) > LARGEST:
        raise Refused("this drawing is larger than a PDF page can be", "draw one theme or one cause, or write svg")
    told = {"title": title, "alt": alt, "language": language, "svg": svg, "width": size[1], "height": size[2]}
    try:
        return press(_PAGE, None, told)
    except NoPress as error:
        says, _, hint = str(error).partition("; ")
        raise Refused(says, hint) from None
