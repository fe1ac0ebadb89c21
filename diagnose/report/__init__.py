"""Results on screen and paper. A format is one module with `render` and one line in FORMATS."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from diagnose.plan.model import Plan
from diagnose.report import json, text
from diagnose.rulebook.model import Book


class Render(Protocol):
    """Work-ups, each with the book it was made by; `many` tells that several cases were given."""

    def __call__(self, plans: Sequence[tuple[Plan, Book]], many: bool) -> str: ...


FORMATS: dict[str, Render] = {"text": text.render_all, "json": json.render_all}
