"""What was reckoned, in plain values for JSON: amounts to six decimals, with both ends of what they may be."""

from __future__ import annotations

from diagnose.fluid.boiling import Boiling
from diagnose.fluid.correction import Way
from diagnose.fluid.expansion import Shrinkage
from diagnose.fluid.fluids import Portion
from diagnose.fluid.gauges import Gauges
from diagnose.fluid.loss import Loss
from diagnose.fluid.measure import Measure
from diagnose.fluid.protection import Protection
from diagnose.fluid.refill import FillPlan
from diagnose.plan.model import Litres, Numbers, Refills


def plain_numbers(numbers: Numbers | None) -> dict[str, object] | None:
    if numbers is None:
        return None
    return {
        "mixture": _measure(numbers.mixture),
        "frost": [_frost(each) for each in numbers.frost],
        "boiling": [_boiling(each) for each in numbers.boiling],
        "loss": _loss(numbers.loss),
        "level_drop": _shrinkage(numbers.cooling),
        "two_gauges": _gauges(numbers.gauges),
        "litres": _litres(numbers.litres),
        "refill_after_repair": _litres(numbers.refill),
        "says": list(numbers.says),
    }


def _measure(measure: Measure | None) -> dict[str, object] | None:
    if measure is None:
        return None
    return {
        "value": _number(measure.value),
        "between": [_number(measure.low), _number(measure.high)],
        "unit": measure.unit,
    }


def _number(value: float | None) -> float | None:
    return None if value is None else round(value, 6) + 0.0


def _frost(found: Protection) -> dict[str, object]:
    return {
        "glycol": found.glycol,
        "mixture": _measure(found.mixture),
        "freezing": _measure(found.freezing),
        "coldest": found.coldest,
        "margin": _measure(found.margin),
        "wanted_margin": found.wanted_margin,
        "verdict": found.verdict,
        "needed": _number(found.needed),
        "in_range": found.in_range,
    }


def _boiling(found: Boiling) -> dict[str, object]:
    return {
        "glycol": found.glycol,
        "air": _number(found.air),
        "cap": _measure(found.cap),
        "open": _measure(found.open),
        "capped": _measure(found.capped),
        "highest": found.highest,
        "margin": _measure(found.margin),
    }


def _loss(found: Loss | None) -> dict[str, object] | None:
    if found is None:
        return None
    return {
        "shown": found.shown,
        "lost": _measure(found.lost),
        "water": _measure(found.water),
        "each_month": _measure(found.each_month),
        "each_1000_km": _measure(found.each_thousand),
    }


def _shrinkage(found: Shrinkage | None) -> dict[str, object] | None:
    if found is None:
        return None
    return {
        "hot": found.hot,
        "cold": found.cold,
        "cooling_takes": _measure(found.amount),
        "missing": _number(found.drop),
        "unexplained": _measure(found.unexplained),
    }


def _gauges(found: Gauges | None) -> dict[str, object] | None:
    if found is None:
        return None
    return {"agreement": found.agreement, "propylene_share": _measure(found.propylene), "says": found.says}


def _litres(litres: Litres | None) -> dict[str, object] | None:
    if litres is None:
        return None
    correction = litres.correction
    return {
        "capacity": _measure(litres.capacity),
        "for_each_litre_of_capacity": litres.capacity is None,
        "target": litres.target.mixture,
        "target_by_climate": litres.target.climate,
        "target_short_of_climate": litres.target.short,
        "correction": [_way(way, way is correction.best) for way in correction.ways] if correction else [],
        "refills": [_refill(each) for each in litres.refills],
        "says": list(litres.says),
    }


def _way(way: Way, best: bool) -> dict[str, object]:
    return {
        "with": way.name,
        "possible": way.possible,
        "best": best,
        "because": way.because,
        "drain": _number(way.drain),
        "exact_drain": _number(way.exact_drain),
        "add": [_portion(each) for each in way.add],
        "waste": _number(way.waste),
        "result": _measure(way.result),
    }


def _refill(refill: Refills) -> dict[str, object]:
    found = refill.reckoned
    return {
        "draining": refill.draining.id,
        "stays": _measure(found.stays),
        "drains_out": _measure(found.drains_out),
        "rinse_until": _number(found.flush_until),
        "refractometer_shows_it": found.readable,
        "concentrate_first": _fill(found.concentrate_first),
        "premix_after_rinse": _fill(found.premix_after_flush),
        "premix_only": _fill(found.premix_only),
    }


def _fill(plan: FillPlan) -> dict[str, object]:
    return {
        "possible": plan.possible,
        "because": plan.because,
        "drains": plan.drains,
        "old_left": _measure(plan.old),
        "fill": [_portion(each) for each in plan.fill],
        "water": _number(plan.water),
        "waste": _number(plan.waste),
        "result": _measure(plan.result),
    }


def _portion(portion: Portion) -> dict[str, object]:
    buy = [{"size": size, "count": count} for size, count in portion.containers]
    return {"fluid": portion.fluid, "amount": _number(portion.amount), "buy": buy}
