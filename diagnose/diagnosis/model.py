"""Which causes are probable, what speaks for and against each, and what to test next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from diagnose.firings.model import Firings
from diagnose.rulebook.model import Cause, PriorWhen, Test

CauseState = Literal["proven", "probable", "possible", "unlikely", "impossible"]
LISTED: tuple[CauseState, ...] = ("proven", "probable", "possible")
"""The states of causes that are worth a line on paper."""


@dataclass(frozen=True, slots=True)
class Weight:
    """What one finding does to the odds of a cause: `factor` above 1 speaks for it, below 1 against."""

    quantity: str
    band: str
    factor: float
    rules: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Suspect:
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


@dataclass(frozen=True, slots=True)
class Outlook:
    """One possible answer of a test: how probable it is, and the first suspects as it would leave them.

    `answer` is told in words; it is the band `band` of `quantity`.
    """

    answer: str
    probability: float
    after: Mapping[str, float]
    quantity: str = ""
    band: str = ""


@dataclass(frozen=True, slots=True)
class NextTest:
    """`bits` is the expected information about which of the listed roots are present.

    `minutes` includes waiting and bringing the car into the state that the test needs.
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


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """`suspects` holds every cause of the book: the listed ones first, in the order to be shown.

    `nothing_wrong` is the probability of the empty set; `not_in_book` that of a cause the book
    does not know. `later` are nominated tests that can't be done today, each with its reason.
    """

    firings: Firings
    suspects: tuple[Suspect, ...]
    nothing_wrong: float
    not_in_book: float
    next_tests: tuple[NextTest, ...]
    later: tuple[tuple[Test, str], ...]

    def listed(self) -> tuple[Suspect, ...]:
        return tuple(s for s in self.suspects if s.state in LISTED)

    def suspect(self, cause: str) -> Suspect:
        return next(s for s in self.suspects if s.cause.id == cause)
