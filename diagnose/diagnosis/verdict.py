"""Where the choice ends: with a test, with the work, or with two causes that can't be told apart here."""

from __future__ import annotations

import numpy as np

from diagnose.diagnosis.apart import parting
from diagnose.diagnosis.attempts import Attempt, Mending
from diagnose.diagnosis.confirm import APART_MINUTES
from diagnose.diagnosis.costs import repair_of
from diagnose.diagnosis.model import LISTED, RepairFirst, Suspect, Verdict
from diagnose.diagnosis.situation import PROBABLE, Situation
from diagnose.diagnosis.value import Problem, Step

TRIED = 3
"""So many repairs are looked at that might be tried."""
AGAIN = 15.0
"""Minutes of a second look after a repair: a short drive, or the reading that proves it (judgement)."""
RIVALS = 3.0
"""Two causes stand side by side where neither is so many times more probable than the other."""


def verdict(at: Situation, tests: bool) -> Verdict:
    chosen = at.losses.chosen(at.mass) if at.counted else ()
    cures = dict(zip(at.losses.repairs, at.losses.causes, strict=True))
    repairs = tuple(name for repair in chosen for name in cures[repair])
    if tests:
        return Verdict("test", (), repairs)
    if at.unconfirmed:
        return Verdict("unconfirmed", tuple(at.unconfirmed), repairs)
    rivals = _rivals(at)
    if rivals:
        return Verdict("undetermined", rivals, repairs)
    wanting = at.complaint.wanting if at.complaint is not None else ""
    if wanting == "open":
        return Verdict("open", (), repairs)
    if wanting == "unexplained" and not any(not at.book.causes[name].repair.by_service for name in repairs):
        return Verdict("unexplained", (), repairs)
    return Verdict("act", (), repairs)


def _rivals(at: Situation) -> tuple[str, ...]:
    """Two roots with different repairs, neither of them probable by itself, that no test of this shop parts."""
    roots = [s for s in at.suspects if s.state in LISTED and s.root and s.cause.kind != "misread"]
    if len(roots) < 2 or roots[0].state == "proven" or roots[0].as_root >= PROBABLE:
        return ()
    first = roots[0]
    second = next((s for s in roots[1:] if repair_of(s.cause) != repair_of(first.cause)), None)
    if second is None or second.probability < first.probability / RIVALS:
        return ()
    index = at.posterior.belief.index
    able = at.candidates.values()
    if parting(able, index[first.cause.id], index[second.cause.id], at.foresight, at.focus):
        return ()
    return (first.cause.id, second.cause.id)


def repair_first(at: Situation, problem: Problem, first: Step | None) -> RepairFirst | None:
    """A repair, without taking much apart, that is quicker done and looked at again than told apart by a test."""
    if any(ban.states for _, ban in at.firings.bans()):
        return None  # the second look is a drive, or a run of the engine
    mending = _mending(at, problem)
    everything = tuple(range(len(problem.options)))
    found = mending.chosen(at.mass, 0, everything, first) if mending.attempts else None
    if found is None:
        return None
    attempt, cost = found
    names = at.losses.causes[attempt.repair]
    cause = next(s.cause for s in at.suspects if s.cause.id in names and _may_be_tried(s))
    return RepairFirst(cause, attempt.minutes, at.stopping - cost + attempt.minutes)


def _mending(at: Situation, problem: Problem) -> Mending:
    """What may be tried: for each repair, the causes that would show in the second look as well are its rivals."""
    place = {name: number for number, names in enumerate(at.losses.causes) for name in names}
    counted = [s for s in at.suspects if s.cause.id in place]
    links = at.posterior.belief.links
    attempts: dict[int, Attempt] = {}
    for suspect in counted:
        seen = {weight.quantity for weight in suspect.weights if weight.factor > 1}
        if not seen or not _may_be_tried(suspect) or len(attempts) == TRIED:
            continue
        shows = {link.cause for name in seen & links.keys() for link in links[name]}
        rivals = {place[s.cause.id] for s in counted if s.cause.id in shows or s.cause.kind == "misread"}
        repair = place[suspect.cause.id]
        longest = max(at.book.causes[name].repair.minutes for name in at.losses.causes[repair])
        attempts.setdefault(repair, Attempt(repair, longest + AGAIN, frozenset(rivals - {repair})))
    index, held = at.posterior.belief.index, {}
    for number, names in enumerate(at.losses.causes) if attempts else ():
        held[number] = np.append(np.logical_or.reduce([at.focus.held(index[name]) for name in names]), False)
    never = np.append(np.zeros(len(at.focus.places), dtype=np.bool_), True)
    return Mending(problem, tuple(attempts.values()), held, never)


def _may_be_tried(suspect: Suspect) -> bool:
    cause = suspect.cause
    if cause.kind == "misread" or not suspect.root or suspect.state == "proven" or cause.repair.by_service:
        return False
    return cause.repair.dismantling <= APART_MINUTES
