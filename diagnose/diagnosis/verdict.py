"""Where the choice ends: with a test, with the work, or with two causes that can't be told apart here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from diagnose.diagnosis.apart import parting
from diagnose.diagnosis.arrays import Flags
from diagnose.diagnosis.confirm import APART_MINUTES
from diagnose.diagnosis.costs import repair_of
from diagnose.diagnosis.model import LISTED, RepairFirst, Verdict
from diagnose.diagnosis.situation import PROBABLE, Situation
from diagnose.diagnosis.value import Step

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


def repair_first(at: Situation, first: Step | None) -> RepairFirst | None:
    """A repair, without taking much apart, that is quicker done and looked at again than told apart by a test."""
    best: RepairFirst | None = None
    rate = first.rate if first is not None else 1.0
    faults = [s for s in at.suspects if s.cause.id in at.counted and s.cause.kind != "misread"]
    matrix, starts = at.losses.matrix, at.losses.starts.tolist()
    ends = [*starts[1:], matrix.shape[1]]
    now = at.losses.of(at.mass)
    for suspect in faults:
        cause = suspect.cause
        if not suspect.root or suspect.state == "proven" or cause.repair.by_service:
            continue
        if cause.repair.dismantling > APART_MINUTES:
            continue
        place = at.losses.repairs.index(repair_of(cause))
        others = replace(at.losses, matrix=matrix.copy())
        others.matrix[:, starts[place] : ends[place]] = 0.0
        cured = np.append(_cured(at, at.losses.causes[place]), False)
        split = np.stack((np.where(cured, at.mass, 0.0), np.where(cured, 0.0, at.mass)))
        minutes = cause.repair.minutes + AGAIN
        saves = now - float(others.best(split).sum())
        if saves > minutes and saves / minutes > rate:
            best, rate = RepairFirst(cause, minutes, saves), saves / minutes
    return best


def _cured(at: Situation, causes: Sequence[str]) -> Flags:
    """True for the hypotheses in which nothing counted is left once these causes are cured."""
    rest = [name for name in at.counted if name not in causes]
    held = np.zeros(len(at.focus.places), dtype=np.bool_)
    for name in rest:
        held |= at.focus.held(at.posterior.belief.index[name])
    return ~held
