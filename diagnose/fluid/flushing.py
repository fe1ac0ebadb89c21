"""Draining and flushing: what stays behind, how often to repeat, and how much a refill should take.

Each drain leaves the same share r behind, so after n drains and fills r to the power n of the old
coolant is left.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, log

from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, Step, Steps, figure

_SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class Accepted:
    """Litres a drained system took against what it should have taken: the check for trapped air.

    `expected` and `missing` in `unit`; `share` is taken over expected, `filled` what is inside now over
    the capacity, both in %.
    """

    taken: float
    expected: Measure
    missing: Measure
    share: Measure
    filled: Measure
    unit: str
    steps: tuple[Step, ...]


def residual(retained: float, drains: int) -> float:
    """Share of the old coolant left, 0 to 1, after so many drains and fills. Raises Impossible."""
    check_retained(retained)
    if drains < 0:
        raise Impossible(f"{drains} drains are impossible: the count must be 0 or more")
    return float(retained**drains)


def cycles(retained: float, most_old: float) -> int:
    """Drains and fills until at most `most_old` (a share, 0 to 1) of the old coolant is left. Raises Impossible."""
    check_retained(retained)
    if not 0.0 < most_old <= 1.0:
        raise Impossible(f"a share of {most_old:g} of old coolant can't be aimed at: it must lie above 0 and up to 1")
    if retained == 0.0:
        return 1
    return max(1, ceil(log(most_old) / log(retained) - _SLACK))


def through_flow(most_old: float) -> float:
    """System volumes of water that must run through until `most_old` (0 to 1) is left, ideally mixed."""
    if not 0.0 < most_old <= 1.0:
        raise Impossible(f"a share of {most_old:g} of old coolant can't be aimed at: it must lie above 0 and up to 1")
    return -log(most_old)


def premix_over_water(retained: float, premix_percent: float) -> float:
    """The mixture, vol %, of a premix filled onto retained water."""
    check_retained(retained)
    return (1.0 - retained) * premix_percent


def accepted(capacity: float, unit: str, retained: Measure, taken: float) -> Accepted:
    """What a refill of `taken` says about trapped air; `retained` (0 to 1) had stayed inside. Raises Impossible."""
    if not capacity > 0.0:
        raise Impossible(f"a system of {figure(capacity)} {unit} is impossible: its volume must be above 0")
    check_retained(retained.low)
    check_retained(retained.high)
    if not 0.0 <= taken <= capacity * 1.5:
        raise Impossible(f"{figure(taken)} {unit} can't have gone into a system of {figure(capacity)} {unit}")
    steps = Steps()
    expected = retained.through(lambda r: (1.0 - r) * capacity, unit)
    steps.add("should have gone in", f"{figure(capacity)} {unit} x (1 - {figure(retained.value)})", expected)
    missing = Measure(expected.value - taken, expected.low - taken, expected.high - taken, unit)
    steps.add("missing", f"{figure(expected.value)} - {figure(taken)}", missing)
    share = Measure(100 * taken / expected.value, 100 * taken / expected.high, 100 * taken / expected.low, "%")
    steps.add("taken of what was expected", f"{figure(taken)} / {figure(expected.value)}", share)
    filled = retained.through(lambda r: 100 * (r + taken / capacity), "%")
    formula = f"{figure(retained.value)} + {figure(taken)} / {figure(capacity)}"
    steps.add("inside now, of the capacity", formula, filled)
    return Accepted(taken, expected, missing, share, filled, unit, steps.done())


def check_retained(retained: float) -> None:
    """Raise ValueError unless the share (0 to under 1) can stay in a system."""
    if not 0.0 <= retained < 1.0:
        raise Impossible(f"a share of {retained:g} can't stay in the system: it must lie from 0 to under 1")
