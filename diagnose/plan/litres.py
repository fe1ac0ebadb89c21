"""What to drain and to pour in, for the service that was decided."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil, inf

from diagnose.fluid.correction import Rounding, correct
from diagnose.fluid.fluids import WATER, Fluid, concentrate, premix
from diagnose.fluid.freezing import TOP_OF_SCALE
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, exactly
from diagnose.fluid.protection import Protection
from diagnose.fluid.replacement import replace
from diagnose.plan.balance import CAPACITY, LEVEL, LOW, MISSING
from diagnose.plan.known import WIDEST, Known
from diagnose.plan.model import Decision, Litres, Refills, Target
from diagnose.plan.say_litres import say_after_repair, say_correction, say_refills
from diagnose.rulebook.model import Draining
from diagnose.rulebook.read_reckoning import DRAINED_HOW

EACH_LITRE = exactly(1.0, "L")
"""Stands for the capacity where nobody knows it: amounts then hold for each litre of it."""
FINE = 0.01
"""L; how finely amounts for one litre of capacity are told."""


def litres(decision: Decision, known: Known, frosts: Iterable[Protection]) -> Litres | None:
    """The litres of a service that corrects or replaces; None for every other."""
    goal = target(known, frosts)
    capacity = known.measure(CAPACITY, "L")
    if decision.service.quantities == "correction":
        return _correction(capacity, goal, known)
    if decision.service.quantities == "replacement":
        return _replacement(capacity, goal, known)
    return None


def refill(known: Known, frosts: Iterable[Protection]) -> Litres:
    """After a repair for which the system was drained once: nothing is rinsed, what stayed inside counts."""
    capacity, goal = known.measure(CAPACITY, "L"), target(known, frosts)
    refills = _refills(capacity, goal, known, most_old=1.0)
    return Litres(capacity, goal, None, refills, tuple(say_after_repair(refills, goal, known, capacity is None)))


def target(known: Known, frosts: Iterable[Protection]) -> Target:
    """What the book aims for, or more where the coldest night asks for it; never beyond the good range."""
    usual, most = known.reckoning.target.value, min(known.good[1], TOP_OF_SCALE)
    needed = [each.needed for each in frosts if each.coldest is not None]
    wanted = max([usual, *(inf if share is None else ceil(share - 1e-9) for share in needed)])
    return Target(max(min(wanted, most), usual), climate=wanted > usual, short=wanted > most)


def _correction(capacity: Measure | None, goal: Target, known: Known) -> Litres:
    if known.mixture is None or known.mixture.high - known.mixture.low > WIDEST:
        return Litres(capacity, goal, None, (), (_what_is_missing(known),))
    volume = capacity or EACH_LITRE
    missing = known.measure(MISSING, "L") if capacity is not None else None
    low = missing.value if missing is not None and missing.value < volume.low else 0.0
    fluids, rounding = _fluids(goal, known, low), _rounding(capacity, known)
    try:
        reckoned = correct(volume, known.mixture, goal.mixture, low, fluids, rounding)
    except Impossible as error:
        return Litres(capacity, goal, None, (), (f"No litres: {error}.",))
    low_unmeasured = missing is None and known.findings.sure(LEVEL) == LOW
    says = say_correction(reckoned, goal, known, per_litre=capacity is None, low_unmeasured=low_unmeasured)
    return Litres(capacity, goal, reckoned, (), tuple(says))


def _what_is_missing(known: Known) -> str:
    if known.mixture is None:
        return f"No litres are reckoned: {known.why_not[:1].lower()}{known.why_not[1:]}"
    return (
        "No litres are reckoned: the mixture lies beyond the scale. Thin a sample with as much deionised water, read it"
        " again and take twice that."
    )


def _fluids(goal: Target, known: Known, low: float) -> tuple[Fluid, ...]:
    """What can bring the mixture to the target; what can only lead away from it is no choice."""
    strong, ready = _strong(known), _ready(known)
    assert known.mixture is not None
    if known.mixture.value == goal.mixture and low > 0.0:
        return ready, strong, WATER
    return (strong, ready) if known.mixture.value < goal.mixture else (WATER, ready)


def _rounding(capacity: Measure | None, known: Known) -> Rounding:
    if capacity is None:
        return Rounding(FINE)
    return Rounding(known.reckoning.measure.value, tuple(each.value for each in known.reckoning.containers))


def _replacement(capacity: Measure | None, goal: Target, known: Known) -> Litres:
    refills = _refills(capacity, goal, known, known.reckoning.most_old.value / 100)
    says = say_refills(refills, goal, known, per_litre=capacity is None)
    return Litres(capacity, goal, None, refills, tuple(says))


def _refills(capacity: Measure | None, goal: Target, known: Known, most_old: float) -> tuple[Refills, ...]:
    """Each way of draining, those that can be filled first."""
    rounding = _rounding(capacity, known)
    volume = capacity.value if capacity is not None else EACH_LITRE.value
    old = known.mixture.value if known.mixture is not None else known.reckoning.target.value
    refills = []
    for way in _ways(known):
        stays = Measure((way.stays[0] + way.stays[1]) / 2, way.stays[0], way.stays[1], "")
        reckoned = replace(
            volume,
            "L",
            stays,
            old,
            goal.mixture,
            known.glycols[0],
            most_old,
            _strong(known),
            _ready(known),
            rounding.step,
            rounding.sizes,
        )
        refills.append(Refills(way, reckoned))
    refills.sort(key=lambda refill: not refill.reckoned.concentrate_first.possible)
    return tuple(refills)


def _ways(known: Known) -> list[Draining]:
    """The book's order; a way that the case tells of comes first."""
    told = known.findings.sure(DRAINED_HOW)
    return sorted(known.reckoning.draining, key=lambda way: way.id != told)


def _strong(known: Known) -> Fluid:
    return concentrate(known.reckoning.water_in_concentrate.value)


def _ready(known: Known) -> Fluid:
    return premix(known.reckoning.premix.value, known.reckoning.water_in_concentrate.value)
