"""Which tests to do next: of those that rules ask for, the ones that tell most in a minute."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.diagnosis.answers import Answers, Foresight
from diagnose.diagnosis.evidence import better_than
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.information import Question
from diagnose.diagnosis.model import LISTED, NextTest, Suspect
from diagnose.diagnosis.outlook import Shown, prospect, shown
from diagnose.diagnosis.posterior import Posterior
from diagnose.diagnosis.reach import Way, way_to
from diagnose.diagnosis.yields import yielded
from diagnose.findings.model import Finding
from diagnose.rulebook.model import Test

OFFERED = 3
"""So many tests are offered at most."""
WORTH_DOING = 0.05
"""Bits below which a test is not worth the walk: on average it would hardly move a suspect."""
LEAST_MINUTES = 1.0
"""Even a glance costs this much; without it a question of no minutes would always come first."""
CUT = 1e-5
"""Hypotheses below this have no say in what to test next."""
SHOWN = 4
"""For so many suspects it is told what an answer does to them."""


@dataclass(frozen=True, slots=True)
class _Candidate:
    test: Test
    way: Way
    asked_by: tuple[str, ...]
    answers: tuple[Answers, ...]
    bits: float

    @property
    def minutes(self) -> float:
        return self.test.minutes + self.way.minutes

    @property
    def rate(self) -> float:
        """Bits in a minute."""
        return self.bits / max(self.minutes, LEAST_MINUTES)


def choose_tests(
    posterior: Posterior, suspects: Sequence[Suspect]
) -> tuple[tuple[NextTest, ...], tuple[tuple[Test, str], ...]]:
    """Tests to be done today, the most telling in a minute first, and nominated ones that are not for today.

    Rules that fired or may fire nominate; so does a reading that straddles two bands or instruments
    that disagree (the better instrument then). Where nothing nominated is worth doing, every test
    of the book is weighed by the same measure.
    """
    focus = Focus.above(posterior, CUT)
    roots = [suspect.cause.id for suspect in suspects if suspect.root]
    foresight = Foresight(posterior, focus, Question(focus, posterior.belief.places(roots)))
    asked_by = _nominated(posterior)
    found = _candidates(posterior, foresight, asked_by)
    useful = [candidate for candidate in found if candidate.bits >= WORTH_DOING]
    today = [candidate for candidate in useful if candidate.way.today]
    if not today:
        others: dict[str, tuple[str, ...]] = {n: () for n in posterior.belief.book.tests if n not in asked_by}
        more = _candidates(posterior, foresight, others, today_only=True)
        today = [candidate for candidate in more if candidate.bits >= WORTH_DOING]
    today.sort(key=lambda candidate: -candidate.rate)
    later = sorted((c for c in useful if not c.way.today), key=lambda c: -c.rate)
    of = shown(_first(suspects), posterior.belief, focus)
    return (
        tuple(_next_test(candidate, of) for candidate in today[:OFFERED]),
        tuple((candidate.test, candidate.way.why) for candidate in later),
    )


def _nominated(posterior: Posterior) -> dict[str, tuple[str, ...]]:
    """The tests asked for, each with the rules that ask."""
    found: dict[str, tuple[str, ...]] = {}
    for firing in posterior.firings.fired:
        for name in firing.rule.next:
            found[name] = (*found.get(name, ()), firing.rule.id)
    for finding in posterior.firings.findings.found.values():
        if finding.status == "known" and (finding.straddles or finding.disagree):
            for test in _with_better(finding, posterior.belief.book.tests.values()):
                found.setdefault(test.id, ())
    return found


def _with_better(finding: Finding, tests: Iterable[Test]) -> list[Test]:
    """Tests that read the quantity with a better instrument than any that was used."""
    better = {m for reading in finding.readings for m in better_than(finding.quantity, reading.method)}
    return [t for t in tests if any(y.quantity == finding.quantity.id and y.method in better for y in t.yields)]


def _candidates(
    posterior: Posterior, foresight: Foresight, asked_by: Mapping[str, tuple[str, ...]], today_only: bool = False
) -> list[_Candidate]:
    book, state = posterior.belief.book, posterior.firings.findings.state
    found = []
    for name, rules in asked_by.items():
        test = book.tests[name]
        way = way_to(test, state, book)
        if today_only and not way.today:
            continue
        left = yielded(test, posterior)
        if left:
            answers, bits = foresight.answers(left)
            found.append(_Candidate(test, way, rules, answers, bits))
    return found


def _first(suspects: Sequence[Suspect]) -> tuple[str, ...]:
    """The suspects of whom it is told what an answer does to them: listed ones, or else the most probable."""
    ranked = sorted(suspects, key=lambda s: (s.state not in LISTED, -s.probability))
    return tuple(s.cause.id for s in ranked if s.state not in ("proven", "impossible"))[:SHOWN]


def _next_test(candidate: _Candidate, of: Shown) -> NextTest:
    ahead = prospect(candidate.answers, of)
    return NextTest(
        test=candidate.test,
        minutes=candidate.minutes,
        bits=candidate.bits,
        parts=ahead.parts,
        asked_by=candidate.asked_by,
        outlook=ahead.outlook,
        why=ahead.why,
    )
