"""What can be poured in, and the containers it comes in."""

from __future__ import annotations

from itertools import product
from math import ceil, prod
from typing import NamedTuple

from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, exactly

_MOST_CHOICES = 200_000
WATER_IN_CONCENTRATE = 5.0
"""The most water that standards allow in a concentrate, % (JIS K2234; ASTM D3306, from memory)."""


class Fluid(NamedTuple):
    """`share` is its glycol in vol %: the value is what is reckoned with, the ends what it may be."""

    name: str
    share: Measure


def concentrate(water: float = WATER_IN_CONCENTRATE) -> Fluid:
    """Concentrate that may hold up to `water` %: reckoned as holding it, so that the target is reached surely."""
    if not 0.0 <= water < 50.0:
        raise Impossible(f"a concentrate with {water:g} % water is none: it must lie between 0 and 50 %")
    return Fluid("concentrate", Measure(100.0 - water, 100.0 - water, 100.0, "vol %"))


def premix(percent: float = 50.0, water: float = WATER_IN_CONCENTRATE) -> Fluid:
    """Ready-made mixture as labelled; mixed from concentrate, it may hold less glycol than the label says."""
    if not 0.0 < percent < 100.0:
        raise Impossible(f"a premix of {percent:g} % is impossible: it must lie between 0 and 100 %")
    return Fluid(
        f"{percent:g}/{100 - percent:g} premix", Measure(percent, percent * (1 - water / 100), percent, "vol %")
    )


def pure(percent: float) -> Fluid:
    """A fluid that holds exactly so much glycol, vol %."""
    if not 0.0 <= percent <= 100.0:
        raise Impossible(f"a fluid of {percent:g} vol % is impossible: it must lie between 0 and 100")
    return Fluid(f"{percent:g} % coolant", exactly(percent, "vol %"))


WATER = Fluid("water", exactly(0.0, "vol %"))


class Portion(NamedTuple):
    """So much of a fluid, in the unit of the job, and the containers to buy for it (size, how many)."""

    fluid: str
    amount: float
    containers: tuple[tuple[float, int], ...] = ()


def containers(amount: float, sizes: tuple[float, ...]) -> tuple[tuple[float, int], ...]:
    """The containers that hold at least `amount` with the least left over, and the fewest of those.

    `sizes` are in the same unit; they are what exists, so the caller names them. Raises Impossible.
    """
    if any(size <= 0 for size in sizes):
        raise Impossible("a container must hold more than nothing")
    if amount <= 1e-9 or not sizes:
        return ()
    ordered = sorted(set(sizes), reverse=True)
    smallest = ordered[-1]
    # larger sizes freely, the smallest fills up what is left
    choices = [range(ceil(amount / size - 1e-9) + 1) for size in ordered[:-1]]
    if prod(len(counts) for counts in choices) > _MOST_CHOICES:
        raise Impossible("so many small containers can't be compared: name fewer sizes, or larger ones")
    best: tuple[float, int, tuple[int, ...]] | None = None
    for counts in product(*choices):
        held = sum(size * count for size, count in zip(ordered, counts, strict=False))
        last = max(0, ceil((amount - held) / smallest - 1e-9))
        over = round(held + last * smallest - amount, 6)
        candidate = (over, sum(counts) + last, (*counts, last))
        if best is None or candidate < best:
            best = candidate
    assert best is not None
    return tuple((size, count) for size, count in zip(ordered, best[2], strict=True) if count)
