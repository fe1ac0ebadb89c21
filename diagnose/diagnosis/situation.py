"""One case as the choice of a test sees it: the belief, what can be done, and what it costs to stop."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from diagnose.diagnosis.answers import Foresight
from diagnose.diagnosis.arrays import Floats, steady
from diagnose.diagnosis.candidates import Candidate, candidates
from diagnose.diagnosis.complaint import complaint_of
from diagnose.diagnosis.confirm import unconfirmed
from diagnose.diagnosis.costs import losses
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.given import given_hypotheses
from diagnose.diagnosis.information import Question
from diagnose.diagnosis.model import LISTED, Suspect
from diagnose.diagnosis.posterior import Posterior
from diagnose.diagnosis.shop import Shop
from diagnose.diagnosis.waits import deciding, doubted

CUT = 1e-4
"""Hypotheses below this have no say in what to test next: they move less than a tenth of a minute."""
TOLD_CUT = 1e-7
"""Hypotheses below this move no probability by a tenth of a percent (measured on the cases of the shipped book)."""
PROBABLE = 0.5
"""More likely than not."""


class Situation:
    """`counted` are the causes that a test may be done for, `worth` the minutes that knowing everything would spare."""

    def __init__(self, posterior: Posterior, suspects: Sequence[Suspect], shop: Shop) -> None:
        self.posterior = posterior
        self.suspects = suspects
        self.book = posterior.belief.book
        self.firings = posterior.firings
        self.focus = Focus.above(posterior, CUT)
        roots = [suspect.cause.id for suspect in suspects if suspect.root and suspect.state in LISTED]
        question = Question(self.focus, posterior.belief.places(roots))
        self.mass: Floats = question.mass
        self.foresight = Foresight(posterior, self.focus, question)
        every = candidates(posterior, shop, doubted(suspects, self.firings, self.book))
        self.candidates = {name: each for name, each in every.items() if each.able}
        self.lacking = tuple(each for each in every.values() if not each.able)
        self.unconfirmed = unconfirmed(suspects, posterior)
        self.complaint = complaint_of(posterior, suspects)
        self.counted = counted(posterior, suspects)
        self.losses = losses(self.book, self.counted, self.focus, posterior.belief.index)
        self._given: dict[str, Floats] = {}

    @cached_property
    def stopping(self) -> float:
        """Minutes that stopping now costs."""
        return self.losses.of(self.mass)

    @cached_property
    def wait(self) -> float:
        """Minutes until any test can begin that reads something on this car, whichever is done first."""
        reads = [c for c in self.candidates.values() if c.way.today and c.left.evidence]
        return min((c.way.minutes - c.test.waiting for c in reads), default=0.0)

    def own(self, candidate: Candidate) -> float:
        """The minutes of a test beyond what every one of them waits for; what only asks has no such wait."""
        return max(candidate.minutes - self.wait, candidate.test.minutes)

    @cached_property
    def worth(self) -> float:
        if not self.counted:
            return 0.0
        least = np.minimum.reduceat(self.losses.matrix, self.losses.starts, axis=1)
        return self.stopping - float(self.mass @ least.sum(axis=1))

    @cached_property
    def told(self) -> tuple[Focus, Foresight]:
        """For figures that are printed: what is left out here shows in no percent, as it does among the few above."""
        focus = Focus.above(self.posterior, TOLD_CUT)
        return focus, Foresight(self.posterior, focus, Question(focus, []))

    def given(self, candidate: Candidate) -> Floats:
        """P(answers | hypothesis) of all that a test yields."""
        name = candidate.test.id
        if name not in self._given:
            self._given[name] = given_hypotheses(candidate.left, self.foresight, self.posterior, self.focus, self.mass)
        return self._given[name]

    def saves(self, candidate: Candidate) -> float:
        """Minutes that the answers of a test spare on average."""
        if not self.counted or not (candidate.left.evidence or candidate.left.givens):
            return 0.0
        return max(0.0, steady(self.stopping - float(self.losses.best(self.given(candidate).T * self.mass).sum())))

    def rate(self, candidate: Candidate) -> float:
        """Minutes spared for each minute of its own."""
        return steady(self.saves(candidate) / max(self.own(candidate), 1.0))

    def bits(self, candidate: Candidate) -> float:
        """What the answers of a test tell of the roots."""
        return self.foresight.bits(candidate.left)


def counted(posterior: Posterior, suspects: Sequence[Suspect]) -> tuple[str, ...]:
    """The listed causes that a test may be done for.

    What a proven cause brings about is looked for after its repair, unless it is more likely than not; and what the
    coolant service cures is not looked for where the coolant is replaced anyway.
    """
    belief = posterior.belief
    follows = {name for proven in posterior.proven for name in belief.follows[proven]}
    replaced = _replaced(posterior)
    found = []
    for suspect in suspects:
        cause = suspect.cause
        if suspect.state not in LISTED or (replaced and cause.repair.by_service):
            continue
        if cause.id not in follows or suspect.probability >= PROBABLE:
            found.append(cause.id)
    return tuple(found)


def _replaced(posterior: Posterior) -> bool:
    """Whether the coolant is replaced anyway: then a test for what the service cures spares nothing."""
    group = deciding(posterior.firings, posterior.belief.book)
    return any(
        firing.state == "fires" and posterior.belief.book.services[firing.rule.decides].quantities == "replacement"
        for firing in group
    )
