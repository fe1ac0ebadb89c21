"""The one home of typst: a page's source and its data to the bytes of a PDF."""

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib.resources import as_file, files

MISSING = "a PDF needs the library typst; install it with: pip install 'diagnose[draw]'"
FONTS = files("diagnose.report") / "fonts"


class NoPress(Exception):
    """The library that makes PDFs is not installed; says so in one sentence with a hint."""


def need_press() -> None:
    """Raise NoPress where the library is missing, before anything is worked up in vain."""
    try:
        import typst  # noqa: F401
    except ModuleNotFoundError:
        raise NoPress(MISSING) from None


def press(source: str, data: object, inputs: Mapping[str, str] | None = None) -> bytes:
    """A tagged PDF (PDF/UA-1) in the shipped typeface; the same source and data give the same bytes.

    `data` is anything JSON can hold; the source reads it with `#let data = json(bytes(sys.inputs.data))`
    and must set the document's title and language; every image needs an `alt` text. `inputs` are further
    strings for `sys.inputs`. Raises NoPress.
    """
    try:
        import typst
    except ModuleNotFoundError:
        raise NoPress(MISSING) from None
    with as_file(FONTS) as fonts:
        shipped = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(fonts)])
        given = {"data": json.dumps(data, ensure_ascii=False), **(inputs or {})}
        compiler = typst.Compiler(input=source.encode(), font_paths=shipped, sys_inputs=given)
        made = compiler.compile(format="pdf", timestamp=0, pdf_standards=["ua-1"])
    assert isinstance(made, bytes)
    return made
