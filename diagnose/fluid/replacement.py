"""Replacing the coolant when part of the old always stays in the block and the heater: how often to drain
and flush, how to tell that it is enough, and the ways to refill side by side.
"""

from __future__ import annotations

from typing import NamedTuple

from diagnose.fluid.fluids import Fluid, concentrate, premix
from diagnose.fluid.flushing import check_retained, cycles, residual
from diagnose.fluid.freezing import TOP_OF_SCALE, freezing_point
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, Step, Steps, figure
from diagnose.fluid.refill import FillPlan, Refill


class Replacement(NamedTuple):
    """`stays` is the retained volume, `drains_out` what one draining yields, in `unit`.

    `flush_until` is the mixture, vol %, that the flush water must have come down to before the last
    drain, and `flush_until_freezes` its freezing point, degC. `readable` tells whether a doubt of one
    kelvin on a refractometer can show it; where not, count the fills.
    """

    capacity: float
    unit: str
    retained: Measure
    stays: Measure
    drains_out: Measure
    old_mixture: float
    most_old: float
    want: float
    flush_until: float
    flush_until_freezes: float
    readable: bool
    concentrate_first: FillPlan
    premix_after_flush: FillPlan
    premix_only: FillPlan
    steps: tuple[Step, ...]


def replace(
    capacity: float,
    unit: str,
    retained: Measure,
    old_mixture: float,
    want: float,
    glycol: str,
    most_old: float,
    added: Fluid | None = None,
    ready: Fluid | None = None,
    step: float = 0.1,
    sizes: tuple[float, ...] = (),
) -> Replacement:
    """Drain, flush and fill: amounts for three ways, side by side.

    `retained` and `most_old` are shares from 0 to 1, mixtures in vol %, volumes in `unit`. Drains are
    counted for the most that may be retained. Raises Impossible.
    """
    _check(capacity, unit, retained, old_mixture, want)
    strong, ready = added or concentrate(), ready or premix()
    steps = Steps()
    stays = retained.through(lambda r: r * capacity, unit)
    steps.add("stays in block and heater", f"{figure(capacity)} {unit} x {figure(retained.value)}", stays)
    out = retained.through(lambda r: (1.0 - r) * capacity, unit)
    steps.add("one draining yields", f"{figure(capacity)} - {figure(stays.value)}", out)
    drains = cycles(retained.high, most_old)
    old = _percent_left(retained, drains)
    steps.add("drains and fills", f"smallest n with {figure(retained.high)}^n <= {figure(most_old)}", drains)
    steps.add("old coolant left", f"{figure(retained.value)}^{drains}", old)
    most = retained.high
    until = min(old_mixture, TOP_OF_SCALE, old_mixture * most_old / most if most else old_mixture)
    formula = f"{figure(old_mixture)} vol % x {figure(most_old)} / {figure(most)}" if most else "nothing stays inside"
    if drains > 1:
        steps.add("flush until the water reads", formula, until, "vol %")
    freezes = freezing_point(until, glycol)
    if drains > 1:
        steps.add("which freezes at", f"by table from {figure(until)} vol % {glycol} glycol", freezes, "degC")
    job = Refill(capacity, unit, retained, old_mixture, want, drains, old, step, sizes)
    return Replacement(
        capacity,
        unit,
        retained,
        stays,
        out,
        old_mixture,
        most_old,
        want,
        until,
        freezes,
        freezes <= -2.0,
        job.concentrate_first(strong),
        job.premix_after_flush(ready),
        job.premix_only(ready),
        steps.done(),
    )


def _percent_left(retained: Measure, drains: int) -> Measure:
    return retained.through(lambda r: 100 * residual(r, drains), "%")


def _check(capacity: float, unit: str, retained: Measure, old_mixture: float, want: float) -> None:
    if not capacity > 0.0:
        raise Impossible(f"a system of {figure(capacity)} {unit} is impossible: its volume must be above 0")
    check_retained(retained.low)
    check_retained(retained.high)
    if not 0.0 <= old_mixture <= 100.0:
        raise Impossible(f"a mixture of {figure(old_mixture)} vol % is impossible: it lies between 0 and 100 vol %")
    if not 0.0 <= want <= TOP_OF_SCALE:
        raise Impossible(
            f"{figure(want)} vol % is no target: it must lie between 0 and 60 vol %;"
            " beyond the scale there is no useful gain and poorer cooling"
        )
