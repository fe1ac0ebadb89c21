"""What got out between two readings of the mixture, and what cooling alone takes off the level."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.fluid.expansion import Shrinkage, shrink
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.loss import Loss, balance
from diagnose.fluid.measure import Measure
from diagnose.plan.amounts import amount, between
from diagnose.plan.known import Known
from diagnose.plan.protection import on_scale

CAPACITY, MISSING, LEVEL, LOW = "capacity", "litres_missing", "level", "low"
EARLIER, MONTHS, DISTANCE = "earlier_mixture", "since_earlier", "distance_since_earlier"


def loss(known: Known) -> Loss | None:
    """The loss in litres; None where a reading or the capacity is not known, or the mixture got stronger."""
    capacity, before = known.measure(CAPACITY, "L"), known.measure(EARLIER, "vol %")
    if capacity is None or before is None or known.mixture is None:
        return None
    missing = known.measure(MISSING, "L")
    try:
        return balance(
            capacity.value,
            "L",
            before,
            known.mixture,
            missing.value if missing is not None else 0.0,
            _above_zero(known.measure(MONTHS, "months")),
            _above_zero(known.measure(DISTANCE, "km")),
        )
    except Impossible:
        return None


def cooling(known: Known) -> Shrinkage | None:
    """What cooling takes off the level of this system, where the level is low or litres are missing."""
    capacity, missing = known.measure(CAPACITY, "L"), known.measure(MISSING, "L")
    if capacity is None or (missing is None and known.findings.sure(LEVEL) != LOW):
        return None
    mixture = known.mixture or Measure(known.reckoning.target.value, *known.good, "vol %")
    drop = missing.value if missing is not None and missing.value <= capacity.value else None
    hot, cold = known.reckoning.hot.value, known.reckoning.cold.value
    return shrink(capacity.value, "L", on_scale(mixture), known.glycols[0], hot, cold, drop)


def say_balance(known: Known, lost: Loss | None, shrunk: Shrinkage | None) -> Iterator[str]:
    """The sentences of the work-up."""
    if lost is not None:
        yield _lost(lost)
    elif _got_stronger(known):
        yield "Since the earlier reading the mixture got stronger, so the two say nothing of a loss."
    if shrunk is not None:
        yield _cooled(shrunk)


def _lost(lost: Loss) -> str:
    if not lost.shown:
        return (
            "The earlier reading and this one may be the same: no loss is shown, and no more than"
            f" {amount(lost.lost.high, 'L')} can have gone."
        )
    rates = [f"{between(lost.each_month)} a month"] if lost.each_month is not None else []
    rates += [f"{between(lost.each_thousand)} each 1000 km"] if lost.each_thousand is not None else []
    pace = f", that is {' and '.join(rates)}" if rates else ""
    return (
        f"Since the earlier reading {between(lost.lost)} of coolant got out of {amount(lost.volume, 'L')} and"
        f" {between(lost.water)} of water went in{pace}. If coolant was topped up too, more got out."
    )


def _cooled(shrunk: Shrinkage) -> str:
    says = (
        f"Cooling from {amount(shrunk.hot, 'degC', 0)} to {amount(shrunk.cold, 'degC', 0)} alone takes"
        f" {between(shrunk.amount, 2)} off a level that was right when hot"
    )
    if shrunk.drop is None or shrunk.unexplained is None:
        return f"{says}. How much is missing was not measured."
    missing = f"{says}. Missing now: {amount(shrunk.drop, 'L', 2)}"
    if shrunk.unexplained.low > 0.0:
        return f"{missing}, more than cooling explains."
    return f"{missing}, by itself no sign of a leak, unless the level was set cold."


def _got_stronger(known: Known) -> bool:
    before = known.measure(EARLIER, "vol %")
    return before is not None and known.mixture is not None and known.mixture.low > before.high


def _above_zero(measure: Measure | None) -> float | None:
    return measure.value if measure is not None and measure.value > 0.0 else None
