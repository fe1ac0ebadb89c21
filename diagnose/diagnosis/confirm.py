"""What must agree before anything is taken apart: two physical principles, whatever the sum of minutes says.

A reading speaks for a cause by its principle when it raises its odds, or when it is a clear sign: usual with the cause,
and rare without it and without its rivals, which are causes that show in the same quantity and have to be mended too.
That gas was found speaks for a head gasket as for a cracked casting; which of them it is, is another question. All
other readings are taken in first. What the driver has noticed is what the car came in for, and no second principle.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from diagnose.diagnosis.arrays import Flags, steady
from diagnose.diagnosis.costs import repair_of
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.model import LISTED, Suspect
from diagnose.diagnosis.posterior import Posterior, Seen
from diagnose.rulebook.model import Quantity

STRONG = 0.5
"""A root this probable is named as what to repair; below it the tests come first."""
APART_MINUTES = 60.0
"""Taking apart beyond this needs a second physical principle (common practice, no source)."""
SPEAKS = 3.0
"""A reading confirms a cause when it raises its odds by at least this factor (judgement)."""
CLEAR = 30.0
"""A clear sign is so many times more usual with the cause than without it and its rivals (judgement)."""
USUAL = 0.5
"""And at least so many of the systems with the cause show it."""
COMPARED = 100
"""So many of the most probable hypotheses stand for each side that is compared."""
RIVAL = 0.03
"""A suspect with another repair that is less probable than this is no rival."""
CERTAIN = 0.95
"""A root more probable than this is not confirmed for its minutes alone."""
CHEAP = 0.25
"""Beside a long repair, a test that takes this share of it is cheap (judgement)."""
INSTEAD = 2.0
"""A rival is this many times more probable where the cause is absent."""


def chosen_roots(suspects: Sequence[Suspect]) -> tuple[Suspect, ...]:
    """The roots to repair: the proven ones, and every other that is probable and no part of a proven one's story."""
    roots = [s for s in suspects if s.state in LISTED and s.root and s.cause.kind != "misread"]
    proven = [suspect for suspect in roots if suspect.state == "proven"]
    told = {name for suspect in proven for name in suspect.story}
    strong = [s for s in roots if s.state != "proven" and s.as_root >= STRONG and s.cause.id not in told]
    return (*proven, *strong)


def unconfirmed(suspects: Sequence[Suspect], posterior: Posterior) -> Mapping[str, tuple[str, ...]]:
    """What would be mended, takes more than an hour of taking apart, and is told by fewer than two principles.

    Each with the principles that speak for it so far.
    """
    by_name = {suspect.cause.id: suspect for suspect in suspects}
    wanted: dict[str, Suspect] = {}
    for root in chosen_roots(suspects):
        told = [by_name[name] for name in root.story]
        wanted |= {s.cause.id: s for s in (root, *(s for s in told if s.probability >= STRONG))}
    found = {}
    for name, suspect in wanted.items():
        if suspect.state != "proven" and suspect.cause.repair.dismantling > APART_MINUTES:
            speak = principles(suspect, posterior)
            if len(speak) < 2:
                found[name] = tuple(sorted(speak))
    return found


def cheaply_confirmed(suspects: Sequence[Suspect], posterior: Posterior) -> Suspect | None:
    """A chosen root that is not nearly certain, with a long repair, for which fewer than two principles speak."""
    for root in chosen_roots(suspects):
        cause = root.cause
        if root.state == "proven" or root.as_root >= CERTAIN or cause.repair.by_service:
            continue
        if cause.repair.minutes >= APART_MINUTES and len(principles(root, posterior)) < 2:
            return root
    return None


def principles(suspect: Suspect, posterior: Posterior) -> frozenset[str]:
    """The physical principles of the readings that speak for a cause."""
    raised = {weight.quantity for weight in suspect.weights if weight.factor >= SPEAKS}
    found: set[str] = set()
    for seen in posterior.seen:
        for number in seen.witnesses:
            quantity = seen.block.quantities[number]
            if quantity.id in posterior.belief.book.noticed:
                continue
            finding = posterior.firings.findings.get(quantity.id)
            methods = [quantity.method(r.method) for r in finding.readings] if finding is not None else []
            by = {method.principle for method in methods if method is not None and method.principle}
            if by <= found:
                continue
            if quantity.id in raised or _is_clear(seen, number, suspect.cause.id, posterior):
                found |= by
    return frozenset(found)


def _is_clear(seen: Seen, number: int, cause: str, posterior: Posterior) -> bool:
    belief = posterior.belief
    name = seen.block.quantities[number].id
    if cause not in {link.cause for link in belief.links[name]}:
        return False
    likelihood = _of_part(seen, number)
    held = belief.sets.held[belief.index[cause]]
    rest = ~held & ~spoken_for(seen.block.quantities[number], cause, posterior)
    without = posterior.weights / np.maximum(likelihood, TINY)
    shares = []
    for rows in (held, rest):
        total = float(without[rows].sum())
        shares.append(float(posterior.weights[rows].sum()) / total if total > 0 else 0.0)
    return steady(shares[0]) >= steady(max(USUAL, CLEAR * shares[1]))


TINY = 1e-12


def _of_part(seen: Seen, number: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """P(this reading | hypothesis, the others of its group), for each hypothesis."""
    whole = seen.likelihood.ravel().take(seen.places)
    if len(seen.witnesses) == 1:
        return whole
    others = {part: each for part, each in seen.by_part.items() if part != number}
    rest = seen.block.likelihood(seen.tables, others)
    return whole / np.maximum(rest.ravel().take(seen.places), TINY)


def spoken_for(quantity: Quantity, cause: str, posterior: Posterior) -> Flags:
    """Hypotheses that hold a rival: another cause to be mended that shows in this quantity too."""
    belief = posterior.belief
    found = np.zeros(belief.sets.count, dtype=np.bool_)
    for name in {link.cause for link in belief.links[quantity.id]} - {cause}:
        other = belief.book.causes[name]
        if other.kind != "misread" and not other.repair.by_service:
            found |= belief.sets.held[belief.index[name]]
    return found


def compared(posterior: Posterior, focus: Focus, cause: str) -> Focus:
    """A focus that also holds what is to be compared with: without the cause, and without anything to be mended.

    Those hypotheses may be far too improbable to have a say otherwise.
    """
    belief = posterior.belief
    without = ~belief.sets.held[belief.index[cause]]
    sound = without.copy()
    for name, other in belief.book.causes.items():
        if other.kind != "misread" and not other.repair.by_service:
            sound &= ~belief.sets.held[belief.index[name]]
    chosen = np.zeros(belief.sets.count, dtype=np.bool_)
    chosen[focus.places] = True
    for rows in (without, sound):
        able = np.flatnonzero(rows)
        weights = posterior.weights.take(able)
        count = min(COMPARED, len(able))
        if count:
            chosen[able[np.argpartition(-weights, count - 1)[:count]]] = True
    return Focus(posterior, np.flatnonzero(chosen))


def rival(suspects: Sequence[Suspect], of: Suspect, focus: Focus, index: Mapping[str, int]) -> Suspect | None:
    """The most probable other root that may be there instead, and whose repair is another one, not the service."""
    for suspect in suspects:
        cause = suspect.cause
        if suspect.state not in LISTED or not suspect.root or suspect is of or cause.kind == "misread":
            continue
        if suspect.probability < RIVAL or cause.repair.by_service or repair_of(cause) == repair_of(of.cause):
            continue
        both, one = focus.share(index[of.cause.id], index[cause.id]), focus.share(index[of.cause.id])
        with_it = both / one if one > 0 else 0.0
        without = (focus.share(index[cause.id]) - both) / (1 - one) if one < 1 else 0.0
        if without >= INSTEAD * with_it:
            return suspect
    return None
