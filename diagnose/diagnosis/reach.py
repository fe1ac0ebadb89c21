"""How long it takes until a test can begin: bringing the car into the state that it needs."""

from __future__ import annotations

from collections.abc import Mapping
from math import inf
from typing import NamedTuple

from diagnose.rulebook.model import DAY, Book, Test

TODAY = 240.0
"""Minutes of waiting and of bringing the car there, beyond which a test is not for today: half a working day."""


class Way(NamedTuple):
    """`minutes` before and during the test besides the work of hands, as they count; `why` tells what takes so long.

    `begins`: the test can be begun today; `today`: its answer is there today too.
    """

    minutes: float
    why: str
    begins: bool
    today: bool


def way_to(test: Test, state: Mapping[str, str], book: Book) -> Way:
    """Waiting that belongs to the test, and every change of state it needs."""
    access, reasons = 0.0, []
    if test.wait > TODAY:
        reasons.append(f"it takes {told(test.wait)}")
    for name, value in test.needs.items():
        part = book.states[name]
        takes = part.minutes(state.get(name, part.values[0]), value)
        if takes == inf:
            reasons.append(f"it needs the {part.label} {_said(value)}, and that can't be had today")
        elif takes > TODAY:
            reasons.append(f"it needs the {part.label} {_said(value)}, which takes {told(takes)}")
        access += takes
    elapsed = access + test.wait
    if elapsed > TODAY and not reasons:
        reasons.append(f"it takes {told(elapsed)} until it can be done")
    begins = access <= TODAY if test.day_away is not None else elapsed <= TODAY
    return Way(access + test.waiting, "; ".join(reasons), begins, elapsed <= TODAY)


def told(minutes: float) -> str:
    """'45 min', '12 h', '3 days'."""
    if minutes >= 2 * DAY:
        return f"{round(minutes / DAY)} days"
    return f"{round(minutes / 60)} h" if minutes >= 120 else f"{round(minutes)} min"


def _said(value: str) -> str:
    return value.replace("_", " ")
