"""What is measured, asked, derived or concluded, and the coolant families whose limits it has."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, NamedTuple

from diagnose.rulebook.model.common import Amount, Citation, Condition, Word
from diagnose.yamlfile import Place

Role = Literal["reading", "given", "derived", "pattern"]
Combine = Literal["first_to_act", "worst_wins", "balance"]
Instrument = Literal["", "refractometer", "hydrometer"]


class Limits(NamedTuple):
    """The closed interval of a quantity that is good for one family, in the quantity's unit."""

    low: float
    high: float
    sources: tuple[Citation, ...]
    place: Place


class Family(NamedTuple):
    id: str
    label: str
    how_common: Word
    limits: Mapping[str, Limits]
    values: Mapping[str, Amount]
    also_called: tuple[str, ...]
    note: str
    place: Place


class Edges(NamedTuple):
    """An interval; an infinite edge is open. `low_in` and `high_in` tell whether an edge belongs to it."""

    low: float
    high: float
    low_in: bool
    high_in: bool


class Band(NamedTuple):
    """One range, or one word, of a quantity.

    `edges` holds the interval for each family id, or under '' where it is the same for all;
    it is empty where the quantity is told in words. `says` completes "the reading is ...".
    `customer` is the same in the customer's words. `looks_at` are the quantities that have to be read before a
    complaint counts as answered, in the order in which they are read; `shows_in` is what the complaint would be as a
    reading, so that a cause with this sign accounts for it; `groundless` is how many cars without such a cause come
    in with it, for each car with one. `after_repair` are causes whose repair at the visit before tells this band.
    `gone_when` tells how it is seen that a complaint is gone.
    """

    id: str
    says: str
    customer: str
    edges: Mapping[str, Edges]
    also_called: tuple[str, ...]
    sources: tuple[Citation, ...]
    place: Place
    looks_at: tuple[str, ...] = ()
    shows_in: tuple[Condition, ...] = ()
    groundless: Word | None = None
    after_repair: tuple[str, ...] = ()
    gone_when: str = ""


@dataclass(frozen=True, slots=True)
class Method:
    """An instrument or way of looking. `plus_minus` is in the quantity's unit.

    `fooled_by` names the misread causes that make a reading by this method worthless.
    `better` names a method of the same quantity to be trusted over this one.
    `principle` is the physical principle (chemical, pressure, electrical, optical, sight, ...).
    `instrument` names the physics by which a reading is corrected for how it was taken; `settles` tells,
    for a circumstance that a case may record (such as zero), which of `fooled_by` it rules out.
    `ask` is how a guided session asks for its reading; '' where the quantity's own question fits.
    """

    id: str
    label: str
    plus_minus: float
    principle: str
    fooled_by: tuple[str, ...]
    better: str
    place: Place
    instrument: Instrument = ""
    settles: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    ask: str = ""


class NoteAsked(NamedTuple):
    """Words that are asked for behind a reading, such as the name of a circuit, and kept as its note.

    `label` is what they are called when they are said again: before the questions about the quantities `said_at`, and
    where a cause in `causes` is repaired. They are asked for only where `when` holds for sure.
    """

    ask: str
    label: str
    when: tuple[Condition, ...]
    said_at: tuple[str, ...]
    causes: tuple[str, ...]
    place: Place


class ReadAs(NamedTuple):
    """Another kind of unit in which the quantity may be recorded, and the fluid property that converts it."""

    unit: str
    through: str
    place: Place


class Term(NamedTuple):
    """One argument of a formula: a quantity, a family's value, or a number; optionally scaled.

    The term's value is `name` (or `number`) times `by` divided by `over` where those are given.
    """

    name: str
    number: float
    by: str
    over: float
    place: Place


@dataclass(frozen=True)  # no slots, as for quantities
class Formula:
    """A fixed operator over terms: ratio, difference, spread, maximum, minimum, margin, freezing_point or
    water_gained.
    """

    operator: str
    terms: tuple[Term, ...]
    place: Place

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The quantities and family values that it names."""
        return tuple(dict.fromkeys(name for term in self.terms for name in (term.name, term.by) if name))


@dataclass(frozen=True)  # no slots: what every case looks up is found once and kept
class Quantity:
    """Something measured, asked, derived or concluded. Bands stand in order of the value or of severity.

    `healthy` is what a system with no cause in it really has, as a fraction for every band
    (they sum to 1; the `normal` band takes the rest). Givens have no `healthy` and are never evidence.
    `customer` is its name in the customer's words; without one it is not told to the customer.
    `cancel` is for `balance`: the fraction of cases in which pushes from both sides read normal.
    `told_in` are the units that are usual for it where there are several: a number without one is then refused.
    In each of `not_asked_when`, if it holds, there is nothing to ask (conditions on givens in words).
    `note` asks for words behind a reading.
    """

    id: str
    label: str
    role: Role
    unit: str
    possible: tuple[float, float]
    bands: tuple[Band, ...]
    normal: str
    healthy: Mapping[str, float]
    combine: Combine
    cancel: float
    moves_together: str
    methods: tuple[Method, ...]
    read_as: tuple[ReadAs, ...]
    formula: Formula | None
    instead_of: tuple[str, ...]
    under: str
    how_often: Mapping[str, Word]
    assume: str
    ask: str
    sources: tuple[Citation, ...]
    place: Place
    customer: str = ""
    told_in: tuple[str, ...] = ()
    not_asked_when: tuple[tuple[Condition, ...], ...] = ()
    note: NoteAsked | None = None

    @cached_property
    def several(self) -> bool:
        """Whether several bands may hold at once, as of what brought the car in."""
        return any(band.looks_at for band in self.bands)

    @cached_property
    def in_words(self) -> bool:
        """Whether the quantity is told in words only."""
        return all(not band.edges for band in self.bands)

    @cached_property
    def by_family(self) -> bool:
        """Whether the edges of its bands hang on the family."""
        return any(band.edges.keys() != {""} for band in self.bands)

    @cached_property
    def remembered(self) -> dict[object, object]:
        """What later stages worked out from the book alone, for the next case."""
        return {}

    def band(self, name: str) -> Band | None:
        return self._bands.get(name)

    def method(self, name: str) -> Method | None:
        return self._methods.get(name)

    @cached_property
    def _bands(self) -> Mapping[str, Band]:
        return {band.id: band for band in reversed(self.bands)}

    @cached_property
    def _methods(self) -> Mapping[str, Method]:
        return {method.id: method for method in reversed(self.methods)}
