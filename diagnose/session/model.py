"""What passes between a session and the one who sits before it: questions and replies, as values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal["title", "visit", "done", "repaired", "left", "value", "note", "family", "test", "over"]


@dataclass(frozen=True, slots=True)
class Question:
    """One thing that is asked.

    `asks` is the question, `takes` tells what may be answered, `label` stands before the cursor. `test` is
    the id of the test it belongs to, `quantity` and `method` what the answer is recorded as; '' where none.
    """

    kind: Kind
    asks: str
    takes: str
    label: str
    test: str = ""
    quantity: str = ""
    method: str = ""
    before: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """A line to be said; `lead` hangs before it, such as '- '."""

    text: str
    lead: str = ""


@dataclass(frozen=True, slots=True)
class Reply:
    """What is said to an answer. `taken` tells that it was accepted as an answer to the question."""

    lines: tuple[Line, ...]
    taken: bool = False


def said(*texts: str, taken: bool = False) -> Reply:
    return Reply(tuple(Line(text) for text in texts), taken)
