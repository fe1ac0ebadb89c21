"""Litres in words: the recommended way first, then each other way in a line."""

from __future__ import annotations

from collections.abc import Iterator
from math import floor

from diagnose.fluid.correction import Correction, Way
from diagnose.fluid.freezing import TOP_OF_SCALE, freezing_point
from diagnose.fluid.measure import Measure
from diagnose.fluid.refill import FillPlan
from diagnose.fluid.replacement import Replacement
from diagnose.plan.amounts import amount, between, bought, number, poured
from diagnose.plan.known import Known
from diagnose.plan.model import Refills, Target
from diagnose.plan.wording import first_upper

ASK_CAPACITY = (
    "The capacity is not known, so these are litres for each litre of it; ask for the maker's figure, heater included."
)
LOW_BY_HOW_MUCH = (
    "The level is low and nobody measured by how much: what is missing counts as drained, so drain that much less."
)


def say_correction(
    reckoned: Correction, goal: Target, known: Known, per_litre: bool, low_unmeasured: bool
) -> Iterator[str]:
    places = 2 if per_litre else None
    if per_litre:
        yield ASK_CAPACITY
    system = "1 L" if per_litre else between(reckoned.volume)
    low = f", {amount(reckoned.low, 'L')} below the mark" if reckoned.low else ""
    yield f"Litres, for {system} at {between(reckoned.now)}{low}, aimed at {_aim(goal)}."
    best = reckoned.best
    if best is not None:
        yield f"{first_upper(_do(best, places))}{_then(best.result, known)}"
        if best.drain:
            yield f"Measure what you drain and collect it: {amount(best.waste, 'L', places)} are waste."
    else:
        yield "No addition alone reaches it; drain the whole system and fill as for a replacement."
    for way in _others(reckoned, best):
        if way.possible:
            yield f"Or {_do(way, places)}{_then(way.result, known)}"
        else:
            yield f"{way.because}."
    if low_unmeasured:
        yield LOW_BY_HOW_MUCH


def say_refills(refills: tuple[Refills, ...], goal: Target, known: Known, per_litre: bool) -> Iterator[str]:
    places = 2 if per_litre else None
    if per_litre:
        yield ASK_CAPACITY
    if goal.climate:
        yield f"Aimed at {_aim(goal)}."
    if known.mixture is None:
        yield f"The old mixture is taken as {amount(refills[0].reckoned.old_mixture, 'vol %')}. {known.why_not}"
    first, *others = refills
    yield from _whole(first, known, places)
    for other in others:
        yield _short(other, places)


def say_after_repair(refills: tuple[Refills, ...], goal: Target, known: Known, per_litre: bool) -> Iterator[str]:
    """A line for each way of draining: what comes out, and what goes in so that the whole has the mixture aimed for."""
    places = 2 if per_litre else None
    if per_litre:
        yield ASK_CAPACITY
    aim = f"Aimed at {_aim(goal)} in the whole system"
    if known.mixture is None:
        yield f"{aim}. The old mixture is taken as {amount(refills[0].reckoned.old_mixture, 'vol %')}. {known.why_not}"
    else:
        yield f"{aim}; what stays inside is taken as {between(known.mixture)}."
    for refill in refills:
        found, plan = refill.reckoned, refill.reckoned.concentrate_first
        lead = f"Drained {refill.draining.label}, {between(found.drains_out, places)} come out"
        if plan.possible:
            yield f"{lead}: fill {poured(plan.fill, 'L', places)} to the mark{_then(plan.result, known)}"
        else:
            yield f"{lead}: {plan.because}."


def _aim(goal: Target) -> str:
    says = f"{number(goal.mixture, 0)} %"
    if goal.short:
        return f"{says}, the most there is: the coldest night asks for more than any mixture gives"
    return f"{says}, for the coldest night asks for that" if goal.climate else says


def _do(way: Way, places: int | None) -> str:
    """'drain 1.6 L, then add 1.6 L of concentrate (buy 2 x 1 L)'."""
    portions = poured(way.add, "L", places)
    if not way.add:
        return "nothing has to be added"
    drain = f"drain {amount(way.drain, 'L', places)}, then" if way.drain else "drain nothing,"
    return f"{drain} add {portions}"


def _then(result: Measure | None, known: Known) -> str:
    """': it then holds 50.2 % (48.9 to 51.6) and protects to -37.4 degC.'"""
    if result is None:
        return "."
    says = f": it then holds {between(result)}"
    if len(known.glycols) == 1 and result.value <= TOP_OF_SCALE:
        freezes = freezing_point(min(result.low, TOP_OF_SCALE), known.glycols[0])
        says += f", which protects at least to {amount(freezes, 'degC')}"
    return f"{says}."


def _others(reckoned: Correction, best: Way | None) -> list[Way]:
    """The other ways; those that pour in the same amounts are told once."""
    told: list[Way] = [best] if best is not None else []
    for way in reckoned.ways:
        same = [each for each in told if way.possible and way.add == each.add and way.drain == each.drain]
        if way is not best and not same:
            told.append(way)
    return [way for way in told if way is not best]


def _whole(refill: Refills, known: Known, places: int | None) -> Iterator[str]:
    """Everything on the recommended way of draining, in the order of the work."""
    found, plan = refill.reckoned, refill.reckoned.concentrate_first
    total = "" if places else f" of {amount(found.capacity, 'L')}"
    yield (
        f"Drained {refill.draining.label}: {between(found.stays, places)}{total} stay inside and"
        f" {between(found.drains_out, places)} come out each time."
    )
    yield _cycles(found, plan, known, places)
    if plan.possible:
        yield f"Fill, in this order: {poured(plan.fill, 'L', places)} to the mark{_then(plan.result, known)}"
    else:
        yield f"{first_upper(plan.because)}."
    yield _accepted(found, known, places)
    water = f" Deionised water needed in all: {amount(plan.water, 'L', places)}." if plan.water else ""
    yield f"Waste to collect: {amount(plan.waste, 'L', places)}.{water}"
    if plan.drains > 1:
        after = found.premix_after_flush.result
        yield f"Not ready-made mixture over rinse water: it ends at {_ends_at(after)}{_off(after, found.want, known)}."
    yield _ready_only(found, known, places)


def _cycles(found: Replacement, plan: FillPlan, known: Known, places: int | None) -> str:
    left = f"at most {number(100 * found.most_old, 0)} % of the old coolant is left"
    if plan.drains == 1:
        return f"Drain once, no rinse is needed: {left}."
    flush = amount((plan.drains - 1) * found.drains_out.value, "L", places)
    rinses = {2: "rinse once", 3: "rinse twice"}.get(plan.drains, f"rinse {plan.drains - 1} times")
    says = f"Drain, {rinses} with {flush} of deionised water: after {plan.drains} drainings {left}"
    if known.mixture is None or not found.readable:
        return f"{says}. Go by the count; the refractometer can't show it."
    return f"{says}. The rinse that comes out last reads {floor(found.flush_until)} % or less; else rinse again."


def _accepted(found: Replacement, known: Known, places: int | None) -> str:
    least = max(0.0, (known.full - found.retained.value) * found.capacity)
    return (
        f"It must take {between(found.drains_out, places)} in all. If it takes less than {amount(least, 'L', places)},"
        " air is inside: bleed again."
    )


def _ready_only(found: Replacement, known: Known, places: int | None) -> str:
    plan = found.premix_only
    portion = plan.fill[0]
    times = "once" if plan.drains == 1 else f"{plan.drains} times"
    said = f"{amount(portion.amount, 'L', places)} in all{bought(portion.containers, 'L')}"
    return (
        f"Or without water: drain and fill {times} with {portion.fluid}, {said};"
        f" it ends at {_ends_at(plan.result)}{_off(plan.result, found.want, known)}."
    )


def _short(refill: Refills, places: int | None) -> str:
    """Another way of draining in one line."""
    found, plan = refill.reckoned, refill.reckoned.concentrate_first
    lead = f"Drained {refill.draining.label} instead, {between(found.stays, places)} stay inside"
    lead += f": drain {plan.drains} times"
    if not plan.possible:
        return f"{lead}; but {plan.because}."
    return f"{lead}, fill {poured(plan.fill, 'L', places)}, waste {amount(plan.waste, 'L', places)}."


def _ends_at(result: Measure | None) -> str:
    return between(result) if result is not None else "nothing"


def _off(result: Measure | None, want: float, known: Known) -> str:
    """That a result lies outside the good range, or surely misses the target by more than 1 %."""
    low, high = known.good
    if result is None:
        return ""
    if low <= result.low and result.high <= high:
        return f", short of the {number(want, 0)} % aimed for" if result.high < want - 1.0 else ""
    word = "may lie" if low <= result.value <= high else "lies"
    return f", which {word} outside {number(low, 0)} to {number(high, 0)} %"
