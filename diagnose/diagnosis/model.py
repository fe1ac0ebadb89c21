"""Which causes are probable, what speaks for and against each, and what to test next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from diagnose.diagnosis.shop import EVERY_TOOL, Shop
from diagnose.firings.model import Firings
from diagnose.rulebook.model import Cause, PriorWhen, Test

CauseState = Literal["proven", "probable", "possible", "unlikely", "impossible", "not_judged"]
LISTED: tuple[CauseState, ...] = ("proven", "probable", "possible")
"""The states of causes that are worth a line on paper."""


class Weight(NamedTuple):
    """What one finding does to the odds of a cause: `factor` above 1 speaks for it, below 1 against."""

    quantity: str
    band: str
    factor: float
    rules: tuple[str, ...]


class Suspect(NamedTuple):
    """One cause as the findings leave it.

    `probability` is P(present); `as_root` is P(present and none of its declared parents present);
    `prior` is P(present) before the findings, with the history taken in. `story` is the most
    probable chain from this root: ids of the consequences that are more likely than not, given it.
    `root` tells whether it is listed as a root of its own; if not, `roots` are the listed roots from
    which it follows. `proven_by` names rules; `ruled_out_by` tells, in words, the given that does.
    `weights` are told for listed causes only. `history` is the entry of `prior_when` that set the prior.
    """

    cause: Cause
    probability: float
    as_root: float
    prior: float
    state: CauseState
    root: bool
    roots: tuple[str, ...]
    story: tuple[str, ...]
    weights: tuple[Weight, ...]
    proven_by: tuple[str, ...]
    ruled_out_by: str
    history: PriorWhen | None = None


class Outlook(NamedTuple):
    """One possible answer of a test: how probable it is, and the first suspects as it would leave them.

    `answer` is told in words; it is the band `band` of `quantity`.
    """

    answer: str
    probability: float
    after: Mapping[str, float]
    quantity: str = ""
    band: str = ""


Reason = Literal["pays", "decides", "confirms", "parts", "finds", "complaint", "held", "first", "before", "reckons"]
"""Why a test is offered: it saves more than it takes; the decision waits for it; it confirms by a second principle; it
parts a cause from its rival; a cause has to be found before the coolant is changed; the car came in for it; it shows
whether an earlier repair held; another test must not be done before it; the work takes away what it reads; or
the litres are reckoned from it."""
FOR_THE_WORK: tuple[Reason, ...] = ("before", "reckons")
"""Read because of the work that comes, and not to find the cause."""


class NextTest(NamedTuple):
    """`bits` is the expected information about which of the listed roots are present.

    `saves` are the minutes of repair and of cars that come back that its answers spare on average; a test with
    another `reason` than "pays" is offered whatever it saves.

    `minutes` includes waiting and bringing the car into the state that the test needs; but not the `away` minutes of
    an answer for which nobody stands by, which in the choice count as `test.waiting`.
    `parts` are the ids of the two causes (or the one) that the answers move apart most.
    `asked_by` are the rules that nominated it (fired or may fire). `outlook` tells the answers of
    the most telling quantity it yields.
    """

    test: Test
    minutes: float
    bits: float
    parts: tuple[str, ...]
    asked_by: tuple[str, ...]
    outlook: tuple[Outlook, ...]
    why: str
    saves: float = 0.0
    reason: Reason = "pays"

    @property
    def away(self) -> float:
        return self.test.wait if self.test.day_away is not None else 0.0

    @property
    def counted(self) -> float:
        """The minutes that its savings are set against."""
        return self.minutes + (self.test.waiting if self.away else 0.0)


class RepairFirst(NamedTuple):
    """A repair that is quicker done and looked at again than told apart: `minutes` with the second look."""

    cause: Cause
    minutes: float
    saves: float


class Complaint(NamedTuple):
    """What brought the car in, of which the book says what has to be looked at.

    `says` is the complaint in words. `open` are quantities that were not looked at yet, `looked` those that were;
    `by` are the causes that account for it, of all those, `able`, that could. `held` are those of `open` that show
    whether what was repaired at the last visit, `repaired`, held.
    """

    says: str
    open: tuple[str, ...]
    looked: tuple[str, ...]
    by: tuple[str, ...]
    able: frozenset[str] = frozenset()
    repaired: tuple[str, ...] = ()
    held: tuple[str, ...] = ()

    @property
    def wanting(self) -> Literal["", "open", "unexplained"]:
        """Whether something is still to be looked at, or nothing that was looked at accounts for it."""
        if self.by:
            return ""
        return "open" if self.open else "unexplained"


class Verdict(NamedTuple):
    """Where the choice of a next test ends.

    `test`: do the first one. `act`: no further test is worth its time; `repairs` are the causes for which the work
    pays. `undetermined`: `causes` can't be told apart with what this shop has. `unconfirmed`: `causes` holds the one
    that nothing in this shop confirms by a second principle. `open`: something of what brought the car in is not
    looked at yet, and can't be today. `unexplained`: all of it was, nothing accounts for it, and no work pays.
    `ended`: the book has no say on this car.
    """

    kind: Literal["test", "act", "undetermined", "unconfirmed", "open", "unexplained", "ended"]
    causes: tuple[str, ...] = ()
    repairs: tuple[str, ...] = ()


NOTHING_PAYS = Verdict("act")
FRAGILE = 0.7
"""An answer that comes first in fewer of the shakes than this is fragile (judgement)."""


class Firmness(NamedTuple):
    """How often, of `times` shakes by `factor`, the same came first: root, next test and decision, each 0 to 1.

    A share is None where the work-up names none (no root, no test).
    """

    times: int
    factor: float
    root: float | None
    next_test: float | None
    decision: float

    @property
    def fragile(self) -> tuple[str, ...]:
        """What is fragile: 'first cause', 'next test', 'decision'."""
        shares = {"first cause": self.root, "next test": self.next_test, "decision": self.decision}
        return tuple(name for name, share in shares.items() if share is not None and share < FRAGILE)


class AheadAnswer(NamedTuple):
    """One answer: `says` in words, and what would then come first (a cause's id, or '' where nothing is listed).

    `then` is what would be done next; None where the choice ends, or where it was not followed.
    """

    says: str
    probability: float
    first: str
    first_probability: float
    verdict: Verdict
    then: Ahead | None


class Ahead(NamedTuple):
    """A test, its likely answers, and the probability of the answers that were not followed."""

    test: Test
    minutes: float
    answers: tuple[AheadAnswer, ...]
    other: float


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """`suspects` holds every cause of the book: the listed ones first, in the order to be shown.

    `nothing_wrong` is the probability of the empty set; `not_in_book` that of a cause the book
    does not know. `later` are tests worth doing that can't be done today, each with its reason.
    `unconfirmed` are causes whose repair takes more than an hour of taking apart and that fewer than two physical
    principles speak for, each with those that do. `firmness` and `ahead` are told where they were asked for.
    `complaint` is None where nothing has to be looked at for what brought the car in.
    """

    firings: Firings
    suspects: tuple[Suspect, ...]
    nothing_wrong: float
    not_in_book: float
    next_tests: tuple[NextTest, ...]
    later: tuple[tuple[Test, str], ...]
    verdict: Verdict = NOTHING_PAYS
    repair_first: RepairFirst | None = None
    unconfirmed: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    shop: Shop = EVERY_TOOL
    firmness: Firmness | None = None
    ahead: Ahead | None = None
    complaint: Complaint | None = None

    def listed(self) -> tuple[Suspect, ...]:
        return tuple(s for s in self.suspects if s.state in LISTED)

    def suspect(self, cause: str) -> Suspect:
        return next(s for s in self.suspects if s.cause.id == cause)
