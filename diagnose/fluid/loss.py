"""How much coolant got out, from what water did to the mixture.

Glycol does not boil off: when a mixture gets thinner, coolant left and water took its place. If all
was lost and topped up at once, the loss is V (1 - c2/c1); if it went little by little, topped up as
it went, V ln(c1/c2). The truth lies between, with the readings' doubt on either side.
"""

from __future__ import annotations

from math import log
from typing import NamedTuple

from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, Step, Steps, figure


class Loss(NamedTuple):
    """`lost` is coolant that got out, `water` what went in for it, in `unit`.

    Rates are in `unit` a month and per 1000 of `distance_unit`. `shown` is False where the
    readings' doubt also allows that nothing was lost; the upper end still holds.
    """

    volume: float
    unit: str
    before: Measure
    now: Measure
    low: float
    lost: Measure
    water: Measure
    shown: bool
    each_month: Measure | None
    each_thousand: Measure | None
    distance_unit: str
    steps: tuple[Step, ...]


def balance(
    volume: float,
    unit: str,
    before: Measure,
    now: Measure,
    low: float = 0.0,
    months: float | None = None,
    distance: float | None = None,
    distance_unit: str = "km",
) -> Loss:
    """What was lost between two mixtures (vol %) in a system of `volume` that is `low` by so much now.

    Raises Impossible where the mixture got stronger, so that water can't be what went in.
    """
    _check(volume, unit, before, now, low)
    if distance is not None and not distance > 0.0:
        raise Impossible(f"a distance of {distance:g} {distance_unit} is impossible: it must be above 0")
    if months is not None and not months > 0.0:
        raise Impossible(f"a time of {months:g} months is impossible: it must be above 0")
    steps = Steps()
    c1, c2 = before.value, now.value
    at_once, slowly = _at_once(volume, low, c1, c2), _slowly(volume, low, c1, c2)
    left = f"({figure(volume)} - {figure(low)})" if low else figure(volume)
    formula = f"{figure(volume)} - {left} x {figure(c2)} / {figure(c1)}"
    steps.add("if lost at once, then topped up", formula, at_once, unit)
    add_low = f" + {figure(low)}" if low else ""
    steps.add("if lost little by little", f"{figure(volume)} x ln({figure(c1)} / {figure(c2)}){add_low}", slowly, unit)
    least = min(_at_once(volume, low, before.low, now.high), _slowly(volume, low, before.low, now.high))
    most = max(_at_once(volume, low, before.high, now.low), _slowly(volume, low, before.high, now.low))
    lost = Measure((at_once + slowly) / 2, max(low, least), most, unit)
    steps.add("coolant lost", f"middle of {figure(at_once)} and {figure(slowly)}", lost)
    water = lost.through(lambda amount: amount - low, unit)
    formula = f"{figure(lost.value)} - {figure(low)} {unit} missing" if low else "as much as got out"
    steps.add("water that went in", formula, water)
    month = thousand = None
    if months is not None:
        month = lost.through(lambda amount: amount / months, unit)
        steps.add("each month", f"{figure(lost.value)} / {figure(months)}", month)
    if distance is not None:
        thousand = lost.through(lambda amount: amount / distance * 1000.0, unit)
        steps.add(f"each 1000 {distance_unit}", f"{figure(lost.value)} / {figure(distance)} x 1000", thousand)
    shown = now.high < before.low or low > 0.0
    return Loss(volume, unit, before, now, low, lost, water, shown, month, thousand, distance_unit, steps.done())


def _at_once(volume: float, low: float, c1: float, c2: float) -> float:
    """Lost first, the gap topped up with water afterwards up to what is there now."""
    return volume - (volume - low) * c2 / c1 if c1 > c2 else low


def _slowly(volume: float, low: float, c1: float, c2: float) -> float:
    """Topped up as it went; what is missing now went last."""
    return volume * log(c1 / c2) + low if c1 > c2 else low


def _check(volume: float, unit: str, before: Measure, now: Measure, low: float) -> None:
    if not volume > 0.0:
        raise Impossible(f"a system of {figure(volume)} {unit} is impossible: its volume must be above 0")
    if not 0.0 <= low < volume:
        raise Impossible(f"a system of {figure(volume)} {unit} can't be low by {figure(low)} {unit}")
    for name, mixture in (("earlier", before), ("present", now)):
        if not 0.0 <= mixture.low <= mixture.high <= 100.0:
            raise Impossible(f"the {name} mixture of {figure(mixture.value)} vol % is impossible: 0 to 100 vol %")
    if before.value <= 0.0:
        raise Impossible("plain water can't be thinned: a loss shows only where there was glycol before")
    if now.low <= 0.0:
        raise Impossible("down to plain water the loss has no upper end: more than the whole volume may have gone")
    if now.low > before.high:
        raise Impossible(
            f"the mixture got stronger, from {figure(before.value)} to {figure(now.value)} vol %:"
            " coolant went in or water boiled off, so the balance says nothing about a loss"
        )
