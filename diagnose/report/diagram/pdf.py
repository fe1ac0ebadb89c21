"""A diagram as PDF, on a page of its own size. Handouts put diagrams onto sheets of paper."""

from __future__ import annotations

import re
from importlib.resources import as_file

from diagnose.report.diagram.engine import INSTALL
from diagnose.report.diagram.glyphs import FOLDER
from diagnose.report.diagram.refused import Refused

_PAGE = b"""
#set document(title: sys.inputs.title)
#set page(width: eval(sys.inputs.width), height: eval(sys.inputs.height), margin: 0pt)
#set text(font: "Liberation Sans", lang: sys.inputs.language)
#image(bytes(sys.inputs.svg), format: "svg", alt: sys.inputs.alt, width: 100%, height: 100%)
"""
_SIZE = re.compile(r'<svg width="([0-9.]+)pt" height="([0-9.]+)pt"')
LARGEST = 14_400.0
"""Points; no PDF page is larger."""


def render(svg: str, title: str, alt: str, language: str) -> bytes:
    """The same bytes for the same drawing: the time in the file is fixed. Raises Refused."""
    try:
        import typst
    except ModuleNotFoundError:
        raise Refused("pdf needs the library typst", INSTALL) from None
    size = _SIZE.search(svg)
    if size is None:
        raise Refused("the drawing has no size", "write svg")
    if max(map(float, size.groups())) > LARGEST:
        raise Refused("this drawing is larger than a PDF page can be", "draw one theme or one cause, or write svg")
    inputs = {
        "title": title,
        "alt": alt,
        "language": language,
        "svg": svg,
        "width": f"{size[1]}pt",
        "height": f"{size[2]}pt",
    }
    with as_file(FOLDER) as fonts:
        shipped = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(fonts)])
        compiler = typst.Compiler(input=_PAGE, font_paths=shipped, sys_inputs=inputs)
        made = compiler.compile(format="pdf", timestamp=0, pdf_standards=["ua-1"])
    assert isinstance(made, bytes)
    return made
