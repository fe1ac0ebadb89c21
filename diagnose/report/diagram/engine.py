"""Layout by Graphviz: the program that comes with the wheel graphviz-pure, or else a `dot` on the path."""

from __future__ import annotations

import importlib.metadata
import re
import shutil
from functools import cache
from pathlib import Path

from diagnose.report.diagram.dot import FONT
from diagnose.report.diagram.refused import Refused

INSTALL = "install it with: pip install 'diagnose[draw]'"
FAMILIES = "Liberation Sans,Arimo,Arial,Helvetica,sans-serif"
_MADE_BY = re.compile(r"<!--.*?-->\n?", re.DOTALL)


def need_graphviz() -> None:
    """Raise Refused where the library is missing, before anything is worked up in vain."""
    try:
        import graphviz  # noqa: F401
    except ModuleNotFoundError:
        raise Refused("a chart needs the library graphviz", INSTALL) from None
    _program()


def layout(dot: str, form: str) -> bytes:
    """What Graphviz makes of DOT text: `svg`, `png` or `json`. Raises Refused where it is missing or fails."""
    program = _program()
    try:
        import graphviz
        from graphviz.backend import dot_command
    except ModuleNotFoundError:
        raise Refused(f"{form} needs the library graphviz", INSTALL) from None
    dot_command.DOT_BINARY = program
    try:
        made: bytes = graphviz.pipe("dot", form, dot.encode(), quiet=True)
    except (graphviz.CalledProcessError, graphviz.ExecutableNotFound) as error:
        raise Refused(f"Graphviz could not draw this: {str(error).splitlines()[0][:200]}", "try another form") from None
    return made


def svg(dot: str, title: str) -> str:
    """SVG with the fonts in which it may be shown, and without the name and version of the program that made it."""
    text = _MADE_BY.sub("", layout(dot, "svg").decode())
    text = text.replace(f'font-family="{FONT}"', f'font-family="{FAMILIES}"').replace("\r\n", "\n")
    told = title.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return re.sub(r"(<svg\b[^>]*>\n)", lambda head: f"{head.group()}<desc>{told}</desc>\n", text, count=1)


@cache
def _program() -> Path:
    """graphviz-pure's program, found in the list of files that its installation wrote."""
    try:
        files = importlib.metadata.distribution("graphviz-pure").files or []
    except importlib.metadata.PackageNotFoundError:
        files = []
    for file in files:
        if file.stem == "graphviz-pure" and file.parent.name in ("bin", "Scripts"):
            path = Path(str(file.locate())).resolve()
            if path.is_file():
                return path
    found = shutil.which("dot")
    if found is None:
        raise Refused("drawing needs Graphviz, which is not installed", INSTALL)
    return Path(found)
