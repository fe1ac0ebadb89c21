"""Which test to do next, by what it saves, and when to stop.

Minutes count: a test takes its own, with waiting and bringing the car there; a repair takes its own; a cause that is
left in takes those of the car that comes back. The test that saves most in a minute comes first, as long as it saves
more than it takes. What stands above the sum of minutes is in `demands`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from diagnose.diagnosis.access import access_to
from diagnose.diagnosis.apart import together
from diagnose.diagnosis.arrays import Floats, steady
from diagnose.diagnosis.candidates import Candidate, bears_on
from diagnose.diagnosis.demands import QUICK, Offer, confirms, finds, lifts, looks, prepared, settles, waited_for
from diagnose.diagnosis.model import FOR_THE_WORK, LISTED, Complaint, NextTest, RepairFirst, Suspect, Verdict
from diagnose.diagnosis.posterior import Posterior
from diagnose.diagnosis.reach import told, way_to
from diagnose.diagnosis.reasons import LEADS, Prospect, prospect, shown
from diagnose.diagnosis.rollout import Rollout
from diagnose.diagnosis.shop import EVERY_TOOL, Shop
from diagnose.diagnosis.situation import Situation
from diagnose.diagnosis.value import Option, Problem, Step
from diagnose.diagnosis.verdict import repair_first, verdict
from diagnose.rulebook.model import Test

OFFERED = 4
"""So many tests are offered at most."""
LIKELY = 0.2
"""A test that comes next after the first one with less than this is not told yet."""
BRANCH = 0.03
"""An answer less probable than this is not followed."""
DEEP = 2
"""So many tests after the first one are looked for."""
AWAY = "; the answer takes {}, in which nobody stands by and which count as {:.0f} min of work"
MUCH = 30.0
"""Minutes that a test spares, from which on a look for the complaint may wait for it (judgement)."""
A_LOOK = 2.0
"""Minutes of what is done in passing."""
SHOWN = 4
"""For so many suspects it is told what an answer does to them."""


class Chosen(NamedTuple):
    """What to test next, what is not for today, and where the choice ends."""

    next_tests: tuple[NextTest, ...]
    later: tuple[tuple[Test, str], ...]
    verdict: Verdict
    repair_first: RepairFirst | None
    unconfirmed: Mapping[str, tuple[str, ...]]
    complaint: Complaint | None


def choose_tests(
    posterior: Posterior, suspects: Sequence[Suspect], shop: Shop = EVERY_TOOL, rollout: bool = False
) -> Chosen:
    """The tests to offer, in order; `rollout` follows each of the best ones to the end before one is chosen."""
    at = Situation(posterior, suspects, shop)
    problem = problem_of(at)
    first = Rollout(problem).best(at.mass) if rollout else problem.chosen(at.mass, 0)
    forced = waited_for(at)
    later: dict[str, Candidate] = {}
    confirming = confirms(at, later)
    offers = [*forced, *_paying(at, problem, first, [offer.candidate for offer in forced])]
    offers += settles(at)
    if first is None and not confirming:
        offers += finds(at)
    offers = prepared(at, _in_order(at, offers, confirming, looks(at, [*offers, *confirming], later)))
    offers = _on_the_way(_at_once(at, offers))
    if all(offer.reason in FOR_THE_WORK for offer in offers):
        offers = [*prepared(at, lifts(at)), *offers][:OFFERED]
    later |= _not_today(at)
    for offer in offers:
        later.pop(offer.candidate.test.id, None)
    return Chosen(
        next_tests=_told(at, offers, problem),
        later=tuple((candidate.test, candidate.why_not) for candidate in later.values()),
        verdict=verdict(at, bool(offers)),
        repair_first=repair_first(at, problem, first) if not forced else None,
        unconfirmed=at.unconfirmed,
        complaint=at.complaint,
    )


def problem_of(at: Situation) -> Problem:
    """The decision over the tests that bear on a counted cause and could be worth their minutes."""
    causes = frozenset(at.counted)
    worth = [c for c in at.candidates.values() if c.way.begins and c.minutes < at.worth]
    worth = [c for c in worth if bears_on(c, causes, at.posterior)]
    access = access_to([c.test for c in worth], at.firings.findings.state, at.book)
    options = []
    for c in worth:
        name = c.test.id
        spoils = frozenset(o.test.id for o in worth if o is not c and o.job <= set(c.test.spoils))
        minutes = c.test.minutes + c.test.waiting
        options.append(Option(name, minutes, at.given(c), access.minutes[name], access.leads[name], spoils))
    return Problem(at.mass, at.losses, options)


def _paying(at: Situation, problem: Problem, first: Step | None, forced: Sequence[Candidate]) -> list[Offer]:
    """The test that pays best, then those that will most likely come after it."""
    names: list[str] = []
    if forced:
        start = problem.index.get(forced[0].test.id)
    else:
        start = first.option if first is not None else None
        names = [problem.options[start].name] if start is not None else []
    if start is None:
        return [Offer(at.candidates[problem.options[first.option].name], "pays")] if first is not None else []
    reached: dict[str, float] = {}
    _reach(problem, start, at.mass, 0, tuple(range(len(problem.options))), DEEP, reached)
    names += [
        name for name in sorted(reached, key=lambda name: -steady(reached[name])) if steady(reached[name]) >= LIKELY
    ]
    return [Offer(at.candidates[name], "pays") for name in names]


def _reach(
    problem: Problem, start: int, mass: Floats, state: int, left: tuple[int, ...], deep: int, reached: dict[str, float]
) -> None:
    """How likely each option is to come after `start`, in so many tests; added to `reached`."""
    option = problem.options[start]
    rest = problem.without(start, left)
    for row in problem.answers(start, mass):
        chance = float(row.sum())
        step = problem.best(row, option.leads[state], rest) if steady(chance) >= BRANCH else None
        if step is not None:
            name = problem.options[step.option].name
            reached[name] = reached.get(name, 0.0) + chance
            if deep > 1:
                _reach(problem, step.option, row, option.leads[state], rest, deep - 1, reached)


def _in_order(at: Situation, offers: Sequence[Offer], confirms: Sequence[Offer], looks: Sequence[Offer]) -> list[Offer]:
    """What is waited for, what pays best, what confirms, what the work takes away or wants; each job once, and no more
    than OFFERED.

    What is looked at for the complaint comes before all of it where it shows whether a repair held, where it is a mere
    look, or where it is quick and nothing else spares much, and more of it in a minute.
    """
    before: list[Offer] = []
    last = [o for o in offers if o.reason in FOR_THE_WORK]
    head = [o for o in offers if o.reason != "pays" and o not in last]
    pays = [o for o in offers if o.reason == "pays"]
    rest = [*pays[:1], *confirms]
    for look in looks:
        most = max(QUICK, at.own(rest[0].candidate)) if rest else QUICK
        own = at.own(look.candidate)
        more = own > A_LOOK and bool(pays) and at.saves(pays[0].candidate) >= MUCH
        waits = more and at.rate(pays[0].candidate) > at.rate(look.candidate)
        quick = own <= most and not waits
        if look.reason == "held" or not rest or quick:
            before.append(look)
        else:
            confirms = [*confirms, look]
    head = [*before, *head]
    room = max(OFFERED - len(head) - len(confirms), 0)
    found: list[Offer] = []
    for offer in [*head, *pays[: min(1, room)], *confirms, *pays[min(1, room) :], *last]:
        if len(found) < OFFERED and together([o.candidate for o in found]).isdisjoint(offer.candidate.job):
            found.append(offer)
    return found


def _at_once(at: Situation, offers: Sequence[Offer]) -> list[Offer]:
    """What another test needs first comes after the looks that lead, and where it is quick before all others."""
    leads = next((n for n, offer in enumerate(offers) if offer.reason not in ("complaint", "held")), len(offers))
    rest = sorted(offers[leads:], key=lambda o: o.reason != "first" or at.own(o.candidate) > QUICK)
    return [*offers[:leads], *rest]


def _on_the_way(offers: Sequence[Offer]) -> list[Offer]:
    """Where a test is waited for, a mere look that the same wait allows, and that opens nothing, goes before."""
    first = next((n for n, offer in enumerate(offers) if offer.candidate.way.minutes > QUICK), len(offers))
    if first == len(offers):
        return list(offers)
    most = offers[first].candidate.way.minutes
    reached = [o for o in offers[first:] if o.candidate.way.minutes <= most and o.candidate.test.minutes <= A_LOOK]
    looks = [offer for offer in reached if not offer.candidate.test.opens]
    return [*offers[:first], *looks, *(offer for offer in offers[first:] if offer not in looks)]


def _not_today(at: Situation) -> dict[str, Candidate]:
    """Tests that rules ask for, that would pay by the work of hands alone, and that take more than today."""
    found = {}
    for candidate in (*at.candidates.values(), *at.lacking):
        able = candidate.way.today and candidate.able
        if able or not candidate.asked_by or candidate.test.minutes >= at.worth:
            continue
        if at.saves(candidate) > candidate.test.minutes:
            found[candidate.test.id] = candidate
    return found


def _told(at: Situation, offers: Sequence[Offer], problem: Problem) -> tuple[NextTest, ...]:
    saved = {problem.options[step.option].name: step.saves for step in problem.steps(at.mass, 0)}
    if not offers:
        return ()
    focus, foresight = at.told
    now = {suspect.cause.id: suspect.probability for suspect in at.suspects}
    of = shown(_to_show(at), now, at.posterior.belief, focus)
    state = dict(at.firings.findings.state)
    found = []
    for offer in offers:
        test = offer.candidate.test
        away = test.day_away is not None
        about = shown(offer.about, now, at.posterior.belief, focus) if offer.about else of
        answers = foresight.answers(offer.candidate.left)
        ahead = prospect(answers, about, offer.reason)
        if offer.family:  # it moves no cause by itself
            ahead = Prospect((), (), f"{LEADS['decides']}, {offer.family}")
        found.append(
            NextTest(
                test=test,
                minutes=test.minutes + way_to(test, state, at.book).minutes - (test.waiting if away else 0.0),
                bits=at.bits(offer.candidate),
                parts=ahead.parts,
                asked_by=offer.candidate.asked_by,
                outlook=ahead.outlook,
                why=ahead.why + (AWAY.format(told(test.wait), test.waiting) if away else ""),
                saves=saved[test.id] if test.id in saved else at.saves(offer.candidate),
                reason=offer.reason,
            )
        )
        state |= {**test.needs, **test.leaves}
    return tuple(found)


def _to_show(at: Situation) -> tuple[str, ...]:
    """The suspects of whom it is told what an answer does to them: listed ones, or else the most probable."""
    ranked = sorted(
        at.suspects, key=lambda s: (s.cause.id not in at.counted, s.state not in LISTED, -round(s.probability, 12))
    )
    return tuple(s.cause.id for s in ranked if s.state not in ("proven", "impossible"))[:SHOWN]
