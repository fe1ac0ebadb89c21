"""What is done: tests, the states of the car that they need, services, repairs, cautions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from math import inf
from typing import Literal, NamedTuple

from diagnose.rulebook.model.common import DAY, Citation, Condition, Drive
from diagnose.yamlfile import Place

WANTING = ("open", "unexplained", "nothing_read")
"""What may be wanting for a decision: something of what brought the car in was not looked at yet; all of it was and
nothing was found; nothing of what the decision stands on was read."""


class Yield(NamedTuple):
    quantity: str
    method: str
    place: Place


class Test(NamedTuple):
    """`needs` and `leaves` map a part of the car's state (engine, cap, ...) to what it must be or will be.

    `day_away` is told where nobody stands by while the answer is waited for (a sample is away, or stands in a jar):
    the minutes of work that a day of it costs. None where the technician waits.
    `customer` completes "we ..." in the customer's words; '' where the book has none.
    `finds_family` tells that it settles which coolant family is in the car; that stands not in `yields`.
    `first` are quantities that have to be known, or asked for in vain, before it is done. It is not done on a car of
    which all conditions of one of `not_on` are known to hold.
    """

    id: str
    label: str
    steps: tuple[str, ...]
    minutes: float
    wait: float
    tools: tuple[str, ...]
    needs: Mapping[str, str]
    leaves: Mapping[str, str]
    opens: bool
    dismantling: float
    spoils: tuple[str, ...]
    cautions: tuple[str, ...]
    misleads: str
    yields: tuple[Yield, ...]
    sources: tuple[Citation, ...]
    place: Place
    finds_family: bool = False
    day_away: float | None = None
    customer: str = ""
    first: tuple[str, ...] = ()
    not_on: tuple[tuple[Condition, ...], ...] = ()

    @property
    def waiting(self) -> float:
        """What its wait counts as, in minutes of work."""
        return self.wait if self.day_away is None else self.wait / DAY * self.day_away


class Passage(NamedTuple):
    """Bringing a part of the car's state from `start` to `end` takes `minutes`."""

    start: str
    end: str
    minutes: float
    place: Place


@dataclass(frozen=True)  # no slots, as for quantities
class State:
    """A part of the car's state that tests need or leave, with what it may be; the first is how a car comes in.

    `takes` lists the changes that can be made; where it is empty, every change is made at once.
    """

    id: str
    label: str
    values: tuple[str, ...]
    place: Place
    takes: tuple[Passage, ...] = ()

    def minutes(self, start: str, end: str) -> float:
        """The least minutes from one value to another; infinite where no listed change leads there."""
        return 0.0 if start == end or not self.takes else self._least.get((start, end), inf)

    @cached_property
    def _least(self) -> Mapping[tuple[str, str], float]:
        found: dict[tuple[str, str], float] = {}
        for start in {*self.values, *(change.start for change in self.takes)}:
            least = {start: 0.0}
            for _ in self.values:
                for change in self.takes:
                    if change.start in least:
                        least[change.end] = min(least.get(change.end, inf), least[change.start] + change.minutes)
            found |= {(start, end): minutes for end, minutes in least.items()}
        return found


@dataclass(frozen=True, slots=True)
class Service:
    """What is done with the coolant. Services stand in order: an earlier one outranks a later one.

    `cause_first`: the cause is found and repaired before this service is done.
    `quantities`: which reckoning of litres belongs to it (none, correction, replacement).
    `opens`: the work opens the cooling system. `before_repair`: its steps come before anything is mended. `first` are
    quantities that are asked for before it is settled that this is done, `read_before` those that nobody can read any
    more once it has begun, `reckons_with` those from which its litres follow. `instead` names the service that is
    decided for in its place, by what is wanting (see WANTING).
    """

    id: str
    label: str
    cause_first: bool
    quantities: Literal["none", "correction", "replacement"]
    steps: tuple[str, ...]
    verify: tuple[str, ...]
    next_check: str
    next_check_months: float
    drive: Drive | None
    customer: str
    cautions: tuple[str, ...]
    sources: tuple[Citation, ...]
    place: Place
    opens: bool = True
    before_repair: bool = False
    first: tuple[str, ...] = ()
    instead: Mapping[str, str] = field(default_factory=dict)
    read_before: tuple[str, ...] = ()
    reckons_with: tuple[str, ...] = ()


class RepairWork(NamedTuple):
    """What goes with a repair, whatever the service: `drain` before one that needs it and `fill` after it,
    `top_up` after one that only opens the system.
    """

    drain: tuple[str, ...]
    fill: tuple[str, ...]
    top_up: tuple[str, ...]
    cautions: tuple[str, ...]
    place: Place


class Caution(NamedTuple):
    """`when`: always, opening (before anything that opens the system), named (by a test, cause or service), or
    unconfirmed (named, and told as long as no second physical principle confirms what is to be mended).
    """

    id: str
    text: str
    when: Literal["always", "opening", "named", "unconfirmed"]
    sources: tuple[Citation, ...]
    place: Place
