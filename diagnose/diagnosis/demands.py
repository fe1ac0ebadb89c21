"""The tests that stand above the sum of minutes.

What the decision on the coolant waits for, what brought the car in, a second physical principle before a long repair,
and a cause that has to be found before the coolant is changed; and what has to be known before another test may be
done.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from diagnose.diagnosis.answers import Foresight
from diagnose.diagnosis.apart import confirming, parting, together
from diagnose.diagnosis.arrays import steady
from diagnose.diagnosis.asked import is_open, open_leaves
from diagnose.diagnosis.candidates import Candidate
from diagnose.diagnosis.confirm import CHEAP, cheaply_confirmed, chosen_roots, compared, rival
from diagnose.diagnosis.information import Question
from diagnose.diagnosis.model import Reason
from diagnose.diagnosis.situation import Situation
from diagnose.diagnosis.waits import deciding, waits_for
from diagnose.rulebook.model import FAMILY

WAITED_FOR = 2
"""So many tests are offered at most because the decision waits for them."""
WORTH_ASKING = 0.05
"""Bits below which a test does not help to find a cause."""
ABOUT = 4
"""For so many causes it is told what an answer does to them."""
QUICK = 10.0
"""Minutes: what is looked at for the complaint comes first where it takes no longer (judgement)."""
LEAST_BITS = 0.01
"""Tests that tell less than this are ordered by their minutes."""


LIMITS = "for the limit hangs on the coolant family"
FILLING = "for what is added has to be of the family that is in the car"


class Offer(NamedTuple):
    """A test, and why it is offered; `about` are the causes it is done for, where it is done for certain ones.

    `family` tells why the coolant family has to be found, where it is done for that.
    """

    candidate: Candidate
    reason: Reason
    about: tuple[str, ...] = ()
    family: str = ""


def waited_for(at: Situation) -> list[Offer]:
    """For each quantity that the decision waits for, the test that tells most about it in a minute."""
    offers: list[Offer] = []
    tests = [candidate.test for candidate in at.candidates.values()]
    for name, those in waits_for(at.suspects, at.firings, at.book, tests).items():
        found = [at.candidates[test] for test in those]
        if name == FAMILY:
            able = [c for c in found if c.way.today] or [c for c in found if c.way.begins]
            offers += [Offer(min(able, key=lambda c: c.minutes), "decides", family=LIMITS)] if able else []
            continue
        able = [candidate for candidate in found if candidate.way.today and name in candidate.job]
        if not able or any(name in offer.candidate.job for offer in offers):
            continue
        read = at.firings.findings.found.get(name)
        if read is None or read.status != "known":
            best = min(able, key=lambda c: c.minutes)
        else:
            best = max(able, key=lambda c: steady((at.bits(c) + LEAST_BITS) / max(c.minutes, 1.0)))
        offers.append(Offer(best, "decides"))
    return offers[:WAITED_FOR]


def settles(at: Situation) -> list[Offer]:
    """What is asked before the service that is decided for is settled, and what it will take away, unless the complaint
    comes first."""
    group = deciding(at.firings, at.book)
    if not group or group[0].state != "fires" or (at.complaint is not None and at.complaint.wanting):
        return []
    offers = []
    service = at.book.services[group[0].rule.decides]
    if service.quantities == "correction" and len(at.firings.findings.families) > 1:  # with the same family only
        finds = [c for c in at.candidates.values() if c.test.finds_family and c.way.today]
        offers += [Offer(min(finds, key=lambda c: c.minutes), "decides", family=FILLING)] if finds else []
    sure = [firing.rule for firing in group if firing.state == "fires"]
    first = dict.fromkeys((*service.first, *(name for rule in sure for name in rule.first)))
    wanted: list[tuple[str, Reason]] = [(name, "decides") for name in first]
    wanted += [(name, "before") for name in service.read_before]
    wanted += [(name, "reckons") for name in service.reckons_with]
    for name, reason in wanted:
        for leaf in open_leaves(name, at.firings.findings, at.book)[:1]:
            able = [c for c in at.candidates.values() if c.way.today and leaf in c.job]
            offers += [Offer(min(able, key=lambda c: c.minutes), reason)] if able else []
    return offers


def lifts(at: Situation) -> list[Offer]:
    """What shows that a test need not be forbidden any more, where rules that forbid tests ask for it and one of the
    forbidden tests is asked for too."""
    wanted = [c for c in at.lacking if c.asked_by and c.barred]
    if not wanted:
        return []
    found: dict[str, Candidate] = {}
    for rule, _ in at.firings.bans():
        ends = {condition.quantity for condition in rule.moot_when}
        able = [at.candidates[name] for name in rule.next if name in at.candidates]
        found |= {c.test.id: c for c in able if c.way.today and not ends.isdisjoint(c.job)}
    return [Offer(candidate, "first") for candidate in found.values()]


def confirms(at: Situation, later: dict[str, Candidate]) -> list[Offer]:
    """What the chosen root still needs before anything is taken apart for it, and what parts it from its rival."""
    root = next((s for s in at.suspects if s.cause.id in at.unconfirmed), None)
    if root is None:
        return _cheaply(at)
    index, told = at.posterior.belief.index, frozenset(at.unconfirmed[root.cause.id])
    wider = compared(at.posterior, at.focus, root.cause.id)
    foresight = Foresight(at.posterior, wider, Question(wider, []))
    offers: list[Offer] = []
    for candidate, principle in confirming(at.candidates.values(), root.cause.id, told, foresight, wider):
        if not candidate.way.today:
            later |= {candidate.test.id: candidate} if candidate.asked_by else {}
            continue
        done = together([offer.candidate for offer in offers])
        if len(told) < 2 and principle not in told and done.isdisjoint(candidate.job):
            told |= {principle}
            offers.append(Offer(candidate, "confirms", (root.cause.id,)))
    if not offers:
        # where nothing confirms it today, what would later is told, by whatever principle
        slow = [c for c in at.candidates.values() if c.asked_by and not c.way.today]
        later |= {c.test.id: c for c, _ in confirming(slow, root.cause.id, frozenset(), foresight, wider)}
    lacking = [c for c in at.lacking if c.asked_by]
    later |= {c.test.id: c for c, _ in confirming(lacking, root.cause.id, told, foresight, wider)}
    other = rival(at.suspects, root, at.focus, index)
    if other is not None:
        able = [c for c in at.candidates.values() if c.way.today and c.minutes <= root.cause.repair.minutes]
        taken = {offer.candidate.test.id for offer in offers}
        parts = parting(able, index[root.cause.id], index[other.cause.id], at.foresight, at.focus)
        if parts and parts[0].test.id not in taken:
            offers.append(Offer(parts[0], "parts", (root.cause.id, other.cause.id)))
    return offers


def _cheaply(at: Situation) -> list[Offer]:
    """A cheap test by another principle beside a long repair, where the root is not nearly certain."""
    root = cheaply_confirmed(at.suspects, at.posterior)
    if root is None:
        return []
    most = CHEAP * root.cause.repair.minutes
    able = [c for c in at.candidates.values() if c.way.today and c.minutes <= most]
    wider = compared(at.posterior, at.focus, root.cause.id)
    foresight = Foresight(at.posterior, wider, Question(wider, []))
    found = confirming(able, root.cause.id, frozenset(), foresight, wider)
    return [Offer(candidate, "confirms", (root.cause.id,)) for candidate, _ in found[:1]]


def finds(at: Situation) -> list[Offer]:
    """Where a service is decided that wants the cause first, and none is probable: the test that finds most."""
    group = deciding(at.firings, at.book)
    sure = [firing for firing in group if firing.state == "fires"]
    if not sure or not at.book.services[sure[0].rule.decides].cause_first or chosen_roots(at.suspects):
        return []
    asked = [c for c in at.candidates.values() if c.asked_by and c.way.today]
    useful = [(c, bits) for c in asked if (bits := at.bits(c)) >= WORTH_ASKING]
    useful.sort(key=lambda pair: -steady(pair[1] / max(pair[0].minutes, 1.0)))
    return [Offer(c, "finds") for c, _ in useful[:1]]


def looks(at: Situation, offers: Sequence[Offer], later: dict[str, Candidate]) -> list[Offer]:
    """What is looked at next for what brought the car in, the quickest way; what can't be done now is told.

    What shows whether a repair held comes first, then what the driver noticed, then what most probably shows the fault
    in a minute. What takes longer is left to those of `offers` that look at it too.
    """
    complaint = at.complaint
    if complaint is None or complaint.by:
        return []
    able: dict[str, Candidate] = {}
    for name in complaint.open:
        reads = [c for c in (*at.candidates.values(), *at.lacking) if any(y.quantity == name for y in c.test.yields)]
        today = [c for c in reads if c.able and c.way.today]
        if today:
            able[name] = min(today, key=at.own)
        else:
            later |= {c.test.id: c for c in reads[:1]}
    held = [name for name in complaint.held if name in able]
    if not able:
        return []
    asked = [name for name in able if name in at.book.noticed]
    name = next(iter([*held, *asked]), "") or max(able, key=lambda each: _shows(each, able[each], at))
    best = able[name]
    if at.own(best) > QUICK and any(name in offer.candidate.job for offer in offers):
        return []
    if held:
        return [Offer(best, "held", complaint.repaired)]
    about = sorted((s for s in at.suspects if s.cause.id in complaint.able), key=lambda s: -steady(s.probability))
    return [Offer(best, "complaint", tuple(s.cause.id for s in about[:ABOUT]))]


def _shows(name: str, candidate: Candidate, at: Situation) -> float:
    """How probably a look shows a fault, for each minute that it takes."""
    often: dict[str, float] = {}
    for link in at.posterior.belief.links.get(name, ()):
        often[link.cause] = max(often.get(link.cause, 0.0), link.how_often)
    seen = sum(s.probability * often.get(s.cause.id, 0.0) for s in at.suspects)
    return steady(seen / max(at.own(candidate), 1.0))


def prepared(at: Situation, offers: Sequence[Offer]) -> list[Offer]:
    """The offers, each test that must not be done before something is known replaced by the one that tells it."""
    found: list[Offer] = []
    for offer in offers:
        wanted = [n for n in offer.candidate.test.first if is_open(n, at.firings.findings, at.book)]
        if not wanted:
            found.append(offer)
            continue
        tells = [
            c for c in at.candidates.values() if c.way.today and any(y.quantity == wanted[0] for y in c.test.yields)
        ]
        if tells:
            found.append(Offer(min(tells, key=lambda c: c.minutes), "first"))
    seen: set[str] = set()
    once = []
    for offer in found:  # where two tests want the same, or it is offered for itself, it is told once
        if offer.candidate.test.id not in seen:
            seen.add(offer.candidate.test.id)
            once.append(offer)
    return once
