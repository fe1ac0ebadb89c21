"""One text as a YAML scalar that reads back as the same text and looks as a person would write it."""

from __future__ import annotations

import re

_PLAIN = re.compile(r"[^\s\-?:,\[\]{}#&*!|>'\"%@`=<~].*|-(?=[^\s-]).*", re.DOTALL)
_BREAKS = re.compile(r":(\s|$)|\s#|^(---|\.\.\.)")
_IN_FLOW = re.compile(r"[,\[\]{}?]|:$")


def scalar(text: str, flow: bool) -> str:
    """`text` bare where it is safe, else in single quotes; `flow` inside braces or brackets."""
    bare = (
        _PLAIN.fullmatch(text) is not None
        and text == " ".join(text.split())
        and _BREAKS.search(text) is None
        and not (flow and _IN_FLOW.search(text))
    )
    return text if bare else "'" + text.replace("'", "''") + "'"
