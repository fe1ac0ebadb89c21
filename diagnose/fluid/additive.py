"""Heavy-duty coolant: how many units of supplemental additive bring the whole system right."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Step, Steps, figure


@dataclass(frozen=True, slots=True)
class AdditiveCharge:
    """`exact` units, and `units` as they can be bought: whole ones."""

    exact: float
    units: int
    steps: tuple[Step, ...]


def additive_charge(volume: float, unit: str, measured: float, wanted: float) -> AdditiveCharge:
    """Units for `volume`; `measured` and `wanted` are units in each `unit` of volume. Raises Impossible."""
    if not volume > 0.0:
        raise Impossible(f"a system of {figure(volume)} {unit} is impossible: its volume must be above 0")
    if measured < 0.0 or wanted < 0.0:
        raise Impossible("a share of additive can't lie under 0 units")
    if measured > wanted:
        raise Impossible(
            f"{figure(measured)} units in each {unit} are more than the {figure(wanted)} wanted: add none;"
            " only draining takes additive out"
        )
    steps = Steps()
    exact = (wanted - measured) * volume
    steps.add("additive", f"({figure(wanted)} - {figure(measured)}) x {figure(volume)} {unit}", exact, "units")
    units = ceil(round(exact, 9))
    steps.add("in whole units", f"{figure(exact)} rounded up", units, "units")
    return AdditiveCharge(exact, units, steps.done())
