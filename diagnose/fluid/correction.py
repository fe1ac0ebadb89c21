"""How much to drain and what to add so that a mixture comes right, side by side for what can be poured in.

Mass balance over volumes: the glycol in the system before, less what drains, plus what is added,
is the glycol after. Exact for a system that is well mixed and drained first. A low system is
topped up first; it is drained only where topping up alone can't reach the target.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import product
from math import floor
from typing import NamedTuple

from diagnose.fluid.fluids import WATER, Fluid, Portion, concentrate, containers, premix
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, Step, Steps, figure, spanned


class Way(NamedTuple):
    """One way to the target. `drain`, `add` and `waste` are after rounding; `exact_drain` before it.

    `result` is the mixture afterwards, vol %, with what the reading, the volume and the fluid leave open.
    Where it can't be done, `possible` is False and `because` says why; the amounts are then zero.
    """

    name: str
    possible: bool
    because: str
    exact_drain: float
    drain: float
    add: tuple[Portion, ...]
    waste: float
    result: Measure | None
    steps: tuple[Step, ...]


class Correction(NamedTuple):
    """All ways from `now` to `want` (vol %) in a system of `volume` that is `low` by so much, in `unit`."""

    volume: Measure
    unit: str
    low: float
    now: Measure
    want: float
    ways: tuple[Way, ...]

    def way(self, name: str) -> Way:
        return next(way for way in self.ways if way.name == name)

    @property
    def best(self) -> Way | None:
        """The possible way that drains least."""
        possible = [way for way in self.ways if way.possible]
        return min(possible, key=lambda way: way.exact_drain) if possible else None


class Rounding(NamedTuple):
    """`step` is the smallest amount that can be measured, `sizes` the containers on sale, in the job's unit."""

    step: float = 0.1
    sizes: tuple[float, ...] = ()


def exact_drain(volume: float, now: float, want: float, added: float) -> float:
    """What to drain from a full system and replace by a fluid of `added` vol %, in the unit of `volume`.

    d = V (want - now) / (added - now). Raises Impossible where no drain reaches the target.
    """
    if now == want:
        return 0.0
    share = (want - now) / (added - now) if added != now else 2.0
    if not 0.0 <= share <= 1.0:
        raise Impossible(f"adding {figure(added)} vol % to {figure(now)} vol % never gives {figure(want)} vol %")
    return volume * share


def correct(
    volume: Measure,
    now: Measure,
    want: float,
    low: float = 0.0,
    fluids: Sequence[Fluid] | None = None,
    rounding: Rounding | None = None,
) -> Correction:
    """Every way to bring a system from `now` to `want` (vol %). `volume` is its capacity, `low` what is missing.

    Raises Impossible on impossible amounts.
    """
    _check(volume, now, want, low)
    ways = fluids if fluids is not None else (concentrate(), premix(), WATER)
    rounded = rounding or Rounding()
    job = _Job(volume, now, want, low, rounded)
    return Correction(volume, volume.unit, low, now, want, tuple(job.way(fluid) for fluid in ways))


def _check(volume: Measure, now: Measure, want: float, low: float) -> None:
    unit = volume.unit
    if not volume.low > 0.0:
        raise Impossible(f"a system of {figure(volume.low)} {unit} is impossible: its volume must be above 0")
    if low < 0.0 or not low < volume.low:
        raise Impossible(f"a system of {figure(volume.low)} {unit} can't be low by {figure(low)} {unit}")
    if not 0.0 <= now.low <= now.high <= 100.0:
        raise Impossible(f"a mixture of {figure(now.value)} vol % is impossible: it lies between 0 and 100 vol %")
    if not 0.0 <= want <= 60.0:
        raise Impossible(
            f"{figure(want)} vol % is no target: it must lie between 0 and 60 vol %;"
            " beyond the scale there is no useful gain and poorer cooling"
        )


class _Job(NamedTuple):
    volume: Measure
    now: Measure
    want: float
    low: float
    rounding: Rounding

    def way(self, fluid: Fluid) -> Way:
        v, c0, ct, cf = self.volume.value, self.now.value, self.want, fluid.share.value
        unit = self.volume.unit
        if self.low > 0.0 and min(c0, cf) <= ct <= max(c0, cf) and ct != c0:
            needed = v * (ct - c0) / (cf - c0)
            if needed < self.low:
                return self._top_up_with_two(fluid)
        if ct == c0 and self.low == 0.0:
            return Way(fluid.name, True, "the mixture is at the target already", 0.0, 0.0, (), 0.0, self.now, ())
        if ct == c0 and fluid != WATER:
            return self._top_up_with_two(fluid)
        share = (ct - c0) / (cf - c0) if cf != c0 else 2.0
        if not 0.0 < share < 1.0:
            return self._impossible(fluid, share)
        steps = Steps()
        needed = v * share
        formula = f"{figure(v)} {unit} x ({figure(ct)} - {figure(c0)}) / ({figure(cf)} - {figure(c0)})"
        label = f"{fluid.name} in all" if self.low else f"drain, and replace by {fluid.name}"
        steps.add(label, formula, needed, unit)
        exact = needed - self.low
        if self.low:
            topped = ((v - self.low) * c0 + self.low * cf) / v
            formula = (
                f"(({figure(v)} - {figure(self.low)}) x {figure(c0)} + {figure(self.low)} x {figure(cf)}) / {figure(v)}"
            )
            steps.add(f"topping up alone, with {fluid.name}, gives", formula, topped, "vol %")
            steps.add("so drain first", f"{figure(needed)} - {figure(self.low)} {unit} missing", exact, unit)
        drain = self._rounded(exact, v - self.low, lambda d: self._result(d, ((fluid, d + self.low),)).value)
        return self._finish(fluid.name, exact, drain, ((fluid, drain + self.low),), steps)

    def _top_up_with_two(self, fluid: Fluid) -> Way:
        """Fill the gap with the fluid and another, without draining, so that the target is met exactly."""
        v, c0, ct, cf = self.volume.value, self.now.value, self.want, fluid.share.value
        unit = self.volume.unit
        other = WATER if cf > ct else concentrate()
        co = other.share.value
        if cf == co:
            return self._impossible(fluid, 2.0)
        part = (v * ct - (v - self.low) * c0 - self.low * co) / (cf - co)
        if not -1e-9 <= part <= self.low + 1e-9:
            return self._impossible(fluid, 2.0)
        steps = Steps()
        formula = (
            f"({figure(v)} x {figure(ct)} - {figure(v - self.low)} x {figure(c0)} - {figure(self.low)} x {figure(co)})"
            f" / ({figure(cf)} - {figure(co)})"
        )
        steps.add(f"{fluid.name} into the gap", formula, part, unit)
        if self.low - part > 1e-9:
            steps.add(f"and {other.name}", f"{figure(self.low)} - {figure(part)}", self.low - part, unit)

        def result(amount: float) -> float:
            return self._result(0.0, ((fluid, amount), (other, self.low - amount))).value

        rounded = self._rounded(part, self.low, result)
        parts = tuple((f, a) for f, a in ((fluid, rounded), (other, self.low - rounded)) if a > 1e-9)
        return self._finish(fluid.name, 0.0, 0.0, parts, steps)

    def _finish(
        self, name: str, exact: float, drain: float, parts: tuple[tuple[Fluid, float], ...], steps: Steps
    ) -> Way:
        unit = self.volume.unit
        result = self._result(drain, parts)
        left = self.volume.value - self.low - drain
        terms = " + ".join(f"{figure(a)} x {figure(f.share.value)}" for f, a in parts)
        formula = f"({figure(left)} x {figure(self.now.value)} + {terms}) / {figure(self.volume.value)}"
        steps.add(f"after rounding to {figure(self.rounding.step)} {unit}", formula, result)
        portions = tuple(Portion(f.name, a, containers(a, self.rounding.sizes) if f != WATER else ()) for f, a in parts)
        return Way(name, True, "", exact, drain, portions, drain, result, steps.done())

    def _result(self, drain: float, parts: tuple[tuple[Fluid, float], ...]) -> Measure:
        """The mixture afterwards; it rises and falls with each input alone, so the corners hold all of it."""
        added = sum(amount for _, amount in parts)

        def after(volume: float, now: float, shares: tuple[float, ...]) -> float:
            left = max(0.0, volume - self.low - drain)
            glycol = left * now + sum(a * s for (_, a), s in zip(parts, shares, strict=True))
            return glycol / (left + added)

        nominal = after(self.volume.value, self.now.value, tuple(f.share.value for f, _ in parts))
        ends = [{f.share.low, f.share.high} for f, _ in parts]
        corners = product((self.volume.low, self.volume.high), (self.now.low, self.now.high), product(*ends))
        return spanned(nominal, tuple(after(v, c, s) for v, c, s in corners), "vol %")

    def _rounded(self, exact: float, most: float, result: Callable[[float], float]) -> float:
        """The amount in whole steps, not above `most`, whose result lies nearest to the target."""
        step = self.rounding.step
        below = floor(exact / step + 1e-9) * step
        choices: list[float] = [a for a in (below, below + step) if a <= most + 1e-9] or [most]
        nearest: float = min(choices, key=lambda amount: abs(result(amount) - self.want))
        return round(nearest, 9)

    def _impossible(self, fluid: Fluid, share: float) -> Way:
        cf, ct, c0 = fluid.share.value, self.want, self.now.value
        name = fluid.name[0].upper() + fluid.name[1:]
        if share == 1.0:
            why = f"only a system emptied to the last drop and filled with nothing else would hold {figure(ct)} %"
        elif ct > c0 or (ct == c0 and cf < ct):
            why = f"it holds {figure(cf)} % itself" if cf > 0 else "it can only make the mixture thinner"
        else:
            why = f"it holds {figure(cf)} % itself" if cf < c0 else "it can only make the mixture stronger"
        says = f"{name} alone cannot reach {figure(ct)} %: {why}"
        if self.low > 0.0:
            topped = self._result(0.0, ((fluid, self.low),)).value
            says += f"; topping up with it gives {figure(topped, 3)} %"
        return Way(fluid.name, False, says, 0.0, 0.0, (), 0.0, None, ())
