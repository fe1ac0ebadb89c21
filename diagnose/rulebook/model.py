"""What a rulebook says, once read. Names are resolved, numbers are converted, places are kept.

Probabilities are fractions from 0 to 1, times are minutes, and every edge of a band is in the
unit of its quantity. Nothing here knows how the knowledge is used.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from math import inf
from typing import Literal

from diagnose.yamlfile import Place

DAY = 1440.0
"""Minutes."""
FAMILY = "family"
"""The name under which conditions and examples speak of the coolant family."""

Role = Literal["reading", "given", "derived", "pattern"]
Combine = Literal["first_to_act", "worst_wins", "balance"]
SourceKind = Literal["standard", "handbook", "published", "common-practice", "judgement"]
CauseKind = Literal["fault", "misread", "elsewhere"]
MayDrive = Literal["yes", "short", "no"]
Instrument = Literal["", "refractometer", "hydrometer"]
WANTING = ("open", "unexplained", "nothing_read")
"""What may be wanting for a decision: something of what brought the car in was not looked at yet; all of it was and
nothing was found; nothing of what the decision stands on was read."""


@dataclass(frozen=True, slots=True)
class Source:
    id: str
    title: str
    publisher: str
    year: str
    kind: SourceKind
    where: str
    place: Place


@dataclass(frozen=True, slots=True)
class Citation:
    """A source, and where in it (`at`: page, section, table; may be empty)."""

    source: str
    at: str
    place: Place


@dataclass(frozen=True, slots=True)
class Word:
    """A frequency as the author wrote it ('often', '12 %') and as a fraction."""

    text: str
    value: float
    place: Place


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with its unit as written in the book, such as a family's value or interval."""

    value: float
    unit: str
    sources: tuple[Citation, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Limits:
    """The closed interval of a quantity that is good for one family, in the quantity's unit."""

    low: float
    high: float
    sources: tuple[Citation, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Family:
    id: str
    label: str
    how_common: Word
    limits: Mapping[str, Limits]
    values: Mapping[str, Amount]
    also_called: tuple[str, ...]
    note: str
    place: Place


@dataclass(frozen=True, slots=True)
class Edges:
    """An interval; an infinite edge is open. `low_in` and `high_in` tell whether an edge belongs to it."""

    low: float
    high: float
    low_in: bool
    high_in: bool


@dataclass(frozen=True, slots=True)
class Band:
    """One range, or one word, of a quantity.

    `edges` holds the interval for each family id, or under '' where it is the same for all;
    it is empty where the quantity is told in words. `says` completes "the reading is ...".
    `customer` is the same in the customer's words. `looks_at` are the quantities that have to be read before a
    complaint counts as answered, in the order in which they are read; `shows_in` is what the complaint would be as a
    reading, so that a cause with this sign accounts for it; `groundless` is how many cars without such a cause come
    in with it, for each car with one.
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


@dataclass(frozen=True, slots=True)
class NoteAsked:
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


@dataclass(frozen=True, slots=True)
class ReadAs:
    """Another kind of unit in which the quantity may be recorded, and the fluid property that converts it."""

    unit: str
    through: str
    place: Place


@dataclass(frozen=True, slots=True)
class Term:
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


@dataclass(frozen=True, slots=True)
class Condition:
    """True where the quantity is in one of the bands (a family: is one of the ids)."""

    quantity: str
    bands: tuple[str, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class PriorWhen:
    when: tuple[Condition, ...]
    how_common: Word
    because: str
    place: Place


@dataclass(frozen=True, slots=True)
class Arc:
    """How often the cause that holds this arc brings about `cause`."""

    cause: str
    how_often: Word
    because: str
    place: Place


@dataclass(frozen=True, slots=True)
class Repair:
    """`dismantling` is the part of `minutes` spent taking the engine or car apart.

    `by_service`: the coolant service that the rules decide for is the repair; nothing else has to be mended.
    `opens`: the work opens the cooling system; `drains`: the coolant has to come out for it. `proof` are the quantities
    whose readings show whether it is cured; where none are named, all that the cause shows in.
    `customer` completes "we ..." in the customer's words; '' where the book has none.
    """

    what: str
    part: str
    minutes: float
    dismantling: float
    cured_when: str
    same_repair: str
    place: Place
    by_service: bool = False
    opens: bool = True
    drains: bool = False
    customer: str = ""
    proof: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ComesBack:
    minutes: float
    because: str


@dataclass(frozen=True, slots=True)
class Drive:
    may: MayDrive
    because: str


@dataclass(frozen=True, slots=True)
class Cause:
    """`kind` misread: an instrument was fooled; elsewhere: the coolant is not the problem."""

    id: str
    label: str
    short: str
    kind: CauseKind
    how_common: Word
    prior_when: tuple[PriorWhen, ...]
    only_when: tuple[Condition, ...]
    leads_to: tuple[Arc, ...]
    mechanism: str
    repair: Repair
    comes_back: ComesBack
    drive: Drive
    customer: str
    cautions: tuple[str, ...]
    sources: tuple[Citation, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Yield:
    quantity: str
    method: str
    place: Place


@dataclass(frozen=True, slots=True)
class Test:
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


@dataclass(frozen=True, slots=True)
class Passage:
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
    quantities that are asked for before it is settled that this is done. `instead` names the service that is decided
    for in its place, by what is wanting (see WANTING).
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


@dataclass(frozen=True, slots=True)
class RepairWork:
    """What goes with a repair, whatever the service: `drain` before one that needs it and `fill` after it,
    `top_up` after one that only opens the system.
    """

    drain: tuple[str, ...]
    fill: tuple[str, ...]
    top_up: tuple[str, ...]
    cautions: tuple[str, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Caution:
    """`when`: always, opening (before anything that opens the system), named (by a test, cause or service), or
    unconfirmed (named, and told as long as no second physical principle confirms what is to be mended).
    """

    id: str
    text: str
    when: Literal["always", "opening", "named", "unconfirmed"]
    sources: tuple[Citation, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Link:
    """How often a system with `cause` alone shows the band that the rule's `when` names."""

    cause: str
    how_often: Word
    place: Place


@dataclass(frozen=True, slots=True)
class Example:
    """Readings, as a case would record them, under which the rule fires or stays silent."""

    readings: tuple[tuple[str, str, Place], ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Rule:
    """One piece of reasoning. `theme` is the name of its file.

    `when` holds with every condition. A rule with `seen_with` has exactly one condition on a
    reading, derived quantity or pattern, with exactly one band; its other conditions are givens.
    `says` is no longer told once one of `moot_when` holds.
    `cautions` are those that its advice needs beside the ones of the tests it asks for.
    """

    id: str
    title: str
    theme: str
    lesson: str
    when: tuple[Condition, ...]
    seen_with: tuple[Link, ...]
    next: tuple[str, ...]
    concludes: Condition | None
    decides: str
    proves: str
    drive: Drive | None
    says: str
    because: str
    limits: str
    sources: tuple[Citation, ...]
    fires: tuple[Example, ...]
    silent: tuple[Example, ...]
    place: Place
    moot_when: tuple[Condition, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Lesson:
    """What a class is taught in one go: the rules that name it, the themes in `themes` first and in that order."""

    id: str
    title: str
    place: Place
    themes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CardGroup:
    """Tests whose cards are printed under one heading, in this order."""

    title: str
    tests: tuple[str, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Entry:
    """A symptom with which the work begins: a decision tree is drawn for each.

    `starts` are the ways to begin; in each, every condition holds and names exactly one band.
    """

    id: str
    label: str
    starts: tuple[tuple[Condition, ...], ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Misconception:
    """What people in the trade believe, and what is true instead; `rules` reason from what is true."""

    id: str
    belief: str
    truth: str
    because: str
    rules: tuple[str, ...]
    sources: tuple[Citation, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Scale:
    """Words for frequencies, as fractions, in the order the book lists them."""

    words: tuple[tuple[str, float], ...]

    def value(self, word: str) -> float | None:
        return next((value for name, value in self.words if name == word), None)


@dataclass(frozen=True, slots=True)
class Excuse:
    """An exception to a check of a whole book, written at the entry `entry` of kind `kind` (rule, cause, ...)."""

    kind: str
    entry: str
    check: str
    because: str
    date: str
    place: Place


@dataclass(frozen=True, slots=True)
class Change:
    """What changed in an edition of the book; `date` is written as 2026-11-24."""

    edition: str
    date: str
    what: str
    place: Place


@dataclass(frozen=True, slots=True)
class Draining:
    """A way of draining; `stays` is the share of the capacity that stays inside, least and most, 0 to 1.

    `id` is a band of the given `drained_how`, where the book has it.
    """

    id: str
    label: str
    stays: tuple[float, float]
    sources: tuple[Citation, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Reckoning:
    """The trade's positions that litres and protection are reckoned from.

    `target` and `premix` in vol %, `most_old` (of the old coolant, left at the end) and
    `water_in_concentrate` in %, `boiling_margin` in K, `hot` and `cold` in degC, `measure` (the smallest
    amount that can be measured) and `containers` in L. `draining` stands in order of preference.
    `no_scale_reads` names causes that make every reading of the mixture worthless.
    """

    target: Amount
    most_old: Amount
    water_in_concentrate: Amount
    premix: Amount
    boiling_margin: Amount
    hot: Amount
    cold: Amount
    measure: Amount
    containers: tuple[Amount, ...]
    draining: tuple[Draining, ...]
    no_scale_reads: tuple[str, ...]
    place: Place


def plain_label(theme: str) -> str:
    """The name of a theme's file, as words."""
    plain = theme.replace("-", " ").replace("_", " ")
    return plain[:1].upper() + plain[1:]


@dataclass(frozen=True)  # no slots, as for quantities
class Book:
    """A whole rulebook. Mappings keep the order of the files."""

    id: str
    title: str
    edition: str
    language: str
    scope: str
    defers_to: str
    weights_are: str
    how_often: Scale
    how_common: Scale
    not_in_book: Word
    sources: Mapping[str, Source]
    families: Mapping[str, Family]
    quantities: Mapping[str, Quantity]
    states: Mapping[str, State]
    causes: Mapping[str, Cause]
    tests: Mapping[str, Test]
    services: Mapping[str, Service]
    cautions: Mapping[str, Caution]
    rules: Mapping[str, Rule]
    place: Place
    changes: tuple[Change, ...] = ()
    excused: tuple[Excuse, ...] = ()
    entries: Mapping[str, Entry] = field(default_factory=dict)
    reckoning: Reckoning | None = None
    repair_work: RepairWork | None = None
    misconceptions: Mapping[str, Misconception] = field(default_factory=dict)
    lessons: Mapping[str, Lesson] = field(default_factory=dict)
    theme_labels: Mapping[str, str] = field(default_factory=dict)
    cards: tuple[CardGroup, ...] = ()

    def theme_label(self, theme: str) -> str:
        """How a theme is called on paper; its file's name where the book says nothing."""
        return self.theme_labels.get(theme) or plain_label(theme)

    @cached_property
    def assumed(self) -> tuple[Quantity, ...]:
        """Givens that the book assumes something of where nobody tells."""
        return tuple(q for q in self.quantities.values() if q.role == "given" and q.assume)

    @cached_property
    def noting(self) -> tuple[Quantity, ...]:
        """Readings behind which words are asked for."""
        return tuple(q for q in self.quantities.values() if q.note is not None)

    def in_order(self, names: Iterable[str]) -> list[str]:
        """Names of quantities in the order of the book."""
        return sorted(names, key=self._places.__getitem__)

    @cached_property
    def _places(self) -> Mapping[str, int]:
        return {name: place for place, name in enumerate(self.quantities)}

    @cached_property
    def decided_on(self) -> Mapping[str, tuple[str, ...]]:
        """By service: what the rules that decide for it look at, as often as they do."""
        found: dict[str, tuple[str, ...]] = {}
        for rule in self.rules.values():
            if rule.decides:
                looks = tuple(condition.quantity for condition in rule.when)
                found[rule.decides] = found.get(rule.decides, ()) + looks
        return found

    @cached_property
    def deciding_looks(self) -> Counter[str]:
        """How many deciding rules look at each quantity."""
        return Counter(name for looks in self.decided_on.values() for name in looks)

    @cached_property
    def noticed(self) -> frozenset[str]:
        """Readings that are only asked of people, together with givens: what the driver has noticed."""
        found: dict[str, bool] = {}
        for test in self.tests.values():
            names = [each.quantity for each in test.yields]
            asked = any(self.quantities[name].role == "given" for name in names if name in self.quantities)
            for name in names:
                found[name] = asked and found.get(name, True)
        return frozenset(name for name, asked in found.items() if asked)

    @cached_property
    def computed(self) -> tuple[Quantity, ...]:
        """Quantities with a formula, each after those that stand in it."""
        found: dict[str, Quantity] = {}
        for quantity in self.quantities.values():
            self._compute(quantity, found, frozenset())
        return tuple(found.values())

    def _compute(self, quantity: Quantity, found: dict[str, Quantity], above: frozenset[str]) -> None:
        if quantity.formula is None or quantity.id in found or quantity.id in above:
            return
        for name in quantity.formula.names:
            if name in self.quantities:
                self._compute(self.quantities[name], found, above | {quantity.id})
        found[quantity.id] = quantity

    @cached_property
    def reckoned_from(self) -> frozenset[str]:
        """What stands in a formula."""
        return frozenset(name for quantity in self.computed if quantity.formula for name in quantity.formula.names)

    @cached_property
    def asked(self) -> frozenset[str]:
        """What a rule's condition or a formula asks for."""
        return self.reckoned_from | {condition.quantity for rule in self.rules.values() for condition in rule.when}
