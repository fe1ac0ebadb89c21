"""Results on screen and paper. A format is one module with `render_one` and `joined`, and one line in FORMATS."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from diagnose.report import json, text
from diagnose.report.model import WorkUp


class Format(NamedTuple):
    """`one` renders a work-up; `joined` puts rendered ones together, each as it comes.

    `many` tells that several cases were given, whether or not all of them could be used.
    """

    one: Callable[[WorkUp], str]
    joined: Callable[[Iterable[str], bool], Iterator[str]]

    def __call__(self, made: Sequence[WorkUp], many: bool = False) -> str:
        return "".join(self.joined(map(self.one, made), many))


FORMATS = {"text": Format(text.render_one, text.joined), "json": Format(json.render_one, json.joined)}
