"""Hardness, chloride and the rest of a water's analysis: is it fit, and what two waters make together.

Hardness counts as CaCO3: 2.497 for each mg/L of calcium, 4.118 of magnesium, 1.792 of iron and 1.822 of
manganese, which are molar masses over charges (CaCO3 100.087; Ca 40.078, Mg 24.305, Fe 55.845,
Mn 54.938). What counts as good is the trade's position, so the limits are arguments.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, Step, Steps, exactly, figure

Fitness = Literal["good", "borderline", "unfit", "can't tell"]
MG_PER_LITRE = "mg/L"
_AS_CACO3 = {
    "calcium": 100.087 / 40.078,
    "magnesium": 100.087 / 24.305,
    "iron": 100.087 / 55.845,
    "manganese": 100.087 / 54.938,
}


@dataclass(frozen=True, slots=True)
class Limit:
    """Up to `good` the water is good, from `limit` on unfit; `source` names where the two come from."""

    name: str
    good: float
    limit: float
    unit: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class Judged:
    """One figure of an analysis against its limit."""

    name: str
    value: Measure
    limit: Limit
    fitness: Fitness


@dataclass(frozen=True, slots=True)
class WaterFit:
    """`fitness` is the worst of all; `not_measured` are limits for which no figure was given."""

    judged: tuple[Judged, ...]
    not_measured: tuple[str, ...]
    fitness: Fitness
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Mixed:
    """Two waters together: `share` is that of the second, 0 to 1; values in the unit of the figures given."""

    share: float
    values: Mapping[str, Measure]
    steps: tuple[Step, ...]


def hardness(calcium: float = 0.0, magnesium: float = 0.0, iron: float = 0.0, manganese: float = 0.0) -> float:
    """Hardness in mg/L as CaCO3 from the metals in mg/L. Raises Impossible on negative amounts."""
    given = {"calcium": calcium, "magnesium": magnesium, "iron": iron, "manganese": manganese}
    for name, amount in given.items():
        if not amount >= 0.0:
            raise Impossible(f"{amount:g} mg/L of {name} is impossible: it must be 0 or more")
    return sum(_AS_CACO3[name] * amount for name, amount in given.items())


def judge(values: Mapping[str, Measure], limits: Sequence[Limit]) -> WaterFit:
    """Is this water fit? Each value is in the unit of the limit of the same name. Raises Impossible."""
    steps = Steps()
    judged = []
    for limit in limits:
        value = values.get(limit.name)
        if value is None:
            continue
        if value.low < 0.0:
            raise Impossible(f"a {limit.name} of {figure(value.low)} {value.unit} is impossible: it must be 0 or more")
        if value.unit != limit.unit:
            raise Impossible(f"{limit.name} is judged in {limit.unit}, not in {value.unit}")
        judged.append(Judged(limit.name, value, limit, _fitness(value, limit)))
        share = _over(value, limit.good)
        steps.add(f"{limit.name} over what is good", f"{figure(value.value)} / {figure(limit.good)}", share)
    missing = tuple(limit.name for limit in limits if limit.name not in values)
    return WaterFit(tuple(judged), missing, _worst([j.fitness for j in judged]), steps.done())


def blend(first: Mapping[str, float], second: Mapping[str, float], share: float, unit: str = MG_PER_LITRE) -> Mixed:
    """What two waters make, `share` (0 to 1) being that of the second. Only figures known of both are mixed."""
    if not 0.0 <= share <= 1.0:
        raise Impossible(f"a share of {share:g} is impossible: it must lie between 0 and 1")
    steps = Steps()
    values = {}
    for name in first:
        if name in second:
            for amount in (first[name], second[name]):
                if not amount >= 0.0:
                    raise Impossible(f"a {name} of {figure(amount)} {unit} is impossible: it must be 0 or more")
            mixed = (1.0 - share) * first[name] + share * second[name]
            values[name] = exactly(mixed, unit)
            formula = f"{figure(1 - share)} x {figure(first[name])} + {figure(share)} x {figure(second[name])}"
            steps.add(name, formula, values[name])
    return Mixed(share, values, steps.done())


def share_needed(first: float, second: float, wanted: float) -> float:
    """Share (0 to 1) of the second water that brings the first down to `wanted`. Raises Impossible."""
    if first <= wanted:
        return 0.0
    if second > wanted or second >= first:
        raise Impossible(
            f"the second water holds {figure(second)} itself, so no share of it brings {figure(first)}"
            f" down to {figure(wanted)}"
        )
    return (first - wanted) / (first - second)


def _over(value: Measure, good: float) -> Measure:
    return value.through(lambda v: v / good, "") if good > 0.0 else value


def _fitness(value: Measure, limit: Limit) -> Fitness:
    low, high = (_grade(end, limit) for end in (value.low, value.high))
    return low if low == high else "can't tell"


def _grade(value: float, limit: Limit) -> Fitness:
    if value <= limit.good:
        return "good"
    return "borderline" if value < limit.limit else "unfit"


def _worst(grades: Sequence[Fitness]) -> Fitness:
    order: tuple[Fitness, ...] = ("unfit", "can't tell", "borderline", "good")
    return next((grade for grade in order if grade in grades), "can't tell")
