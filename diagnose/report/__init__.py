"""Results on screen and paper. A format is one module with `render` and one line in FORMATS."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from diagnose.report import json, text
from diagnose.report.model import WorkUp


class Render(Protocol):
    """`many` tells that several cases were given."""

    def __call__(self, made: Sequence[WorkUp], many: bool) -> str: ...


FORMATS: dict[str, Render] = {"text": text.render_all, "json": json.render_all}
