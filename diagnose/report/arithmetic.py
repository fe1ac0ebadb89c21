"""The arithmetic behind a work-up's numbers, one line for each step."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.fluid.measure import Measure, Step, figure
from diagnose.plan.model import Litres, Numbers


def arithmetic(numbers: Numbers) -> Iterator[str]:
    """Headings and, indented, each step as 'what: formula = result'."""
    for each in numbers.frost:
        yield from _group(f"frost, {each.glycol} glycol", each.steps)
    for one in numbers.boiling:
        yield from _group(f"boiling, {one.glycol} glycol", one.steps)
    if numbers.loss is not None:
        yield from _group("loss balance", numbers.loss.steps)
    if numbers.cooling is not None:
        yield from _group("what cooling takes off the level", numbers.cooling.steps)
    if numbers.gauges is not None:
        yield from _group("two gauges together", numbers.gauges.steps)
    if numbers.litres is not None:
        yield from _litres(numbers.litres)


def _litres(litres: Litres) -> Iterator[str]:
    system = "" if litres.capacity is not None else ", for each litre of capacity"
    for way in litres.correction.ways if litres.correction is not None else ():
        yield from _group(f"correction with {way.name}{system}", way.steps)
    for refill in litres.refills:
        found = refill.reckoned
        yield from _group(f"drained {refill.draining.label}{system}", found.steps)
        for plan in (found.concentrate_first, found.premix_after_flush, found.premix_only):
            yield from _group(f"drained {refill.draining.label}: {plan.name}{system}", plan.steps)


def _group(heading: str, steps: Sequence[Step]) -> Iterator[str]:
    if steps:
        yield heading
    for step in steps:
        yield f"    {step.label}: {step.formula} = {_shown(step.result)}"


def _shown(measure: Measure) -> str:
    low, value, high = (figure(each) for each in (measure.low, measure.value, measure.high))
    text = f"{value} {measure.unit}".strip()
    return text if low == high else f"{text} ({low} to {high})"
