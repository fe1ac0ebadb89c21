"""What was recorded about one car. Names are as written; whether a book knows them is asked later."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal, NamedTuple, TypeAlias

from diagnose.yamlfile import Place

Held: TypeAlias = Literal["held", "came back", "not known"]
"""Whether a repair held, as the next visit shows it."""


class Circumstance(NamedTuple):
    """How a reading was taken: `name` is `sample`, `compensated`, `zero` or `scale`."""

    name: str
    text: str
    place: Place


class Entry(NamedTuple):
    """One recorded value: of a reading, a given (`section` names where it stood) or a state of the car."""

    name: str
    text: str
    method: str
    note: str
    section: str
    place: Place
    name_place: Place
    method_place: Place
    taken_at: tuple[Circumstance, ...] = ()


class Named(NamedTuple):
    name: str
    place: Place


class Expect(NamedTuple):
    """What the tool should say of one visit. Every part is optional; only what is stated is checked.

    `first` is the first root; `followers` are consequences in its story; `includes` must be listed
    (probable, possible or proven) and `excludes` must not be; `next` is one of the next tests offered.
    `held`, `came_back` and `left_open` are causes that were repaired at the visit before.
    """

    first: Named | None
    followers: tuple[Named, ...]
    includes: tuple[Named, ...]
    excludes: tuple[Named, ...]
    impossible: tuple[Named, ...]
    decision: Named | None
    next: tuple[Named, ...]
    place: Place
    held: tuple[Named, ...] = ()
    came_back: tuple[Named, ...] = ()
    left_open: tuple[Named, ...] = ()

    def of_repairs(self) -> dict[Held, tuple[Named, ...]]:
        """What should be said of the repairs, by the words of the comparison."""
        return {"held": self.held, "came back": self.came_back, "not known": self.left_open}


class Outcome(NamedTuple):
    """What proved to be true of one visit, and how that is known. Evidence: never edited to please the tool."""

    causes: tuple[Named, ...]
    known_by: str
    note: str
    place: Place


class Work(NamedTuple):
    """What was done at the end of a visit: a service of the book, causes repaired, the mixture the car left with."""

    service: Named | None
    repaired: tuple[Named, ...]
    mixture: str
    note: str
    place: Place
    mixture_place: Place


@dataclass(frozen=True, slots=True)
class Visit:
    """A later visit of the same car. What stands in `givens` holds from this visit on, `families` where told."""

    date: date
    families: tuple[Named, ...] | None
    givens: tuple[Entry, ...]
    readings: tuple[Entry, ...]
    state: tuple[Entry, ...]
    note: str
    work: Work | None
    place: Place
    expect: Expect | None = None
    outcome: Outcome | None = None


@dataclass(frozen=True, slots=True)
class Case:
    """`families` is empty where nobody knows the family; several mean 'one of these'.

    The case itself is the first visit, with its own `expect` and `outcome`; `visits` are the later ones in order of
    their dates. `in_hand` is the test that a guided session was in the middle of ('' or 'none' where there was none).
    `repaired` is what was repaired at the end of the visit before.
    """

    id: str
    date: date
    title: str
    book: str
    families: tuple[Named, ...]
    givens: tuple[Entry, ...]
    readings: tuple[Entry, ...]
    state: tuple[Entry, ...]
    note: str
    expect: Expect | None
    outcome: Outcome | None
    place: Place
    visits: tuple[Visit, ...] = ()
    work: Work | None = None
    in_hand: str = ""
    repaired: tuple[str, ...] = ()
