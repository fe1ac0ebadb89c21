"""Ways to refill a system in which something always stays inside: what to pour, in which order, what it ends at.

Water left by the last flush thins a ready-made mixture; concentrate poured in first, then water to
the mark, does not care how much water stayed.
"""

from __future__ import annotations

from typing import NamedTuple

from diagnose.fluid.fluids import Fluid, Portion, containers
from diagnose.fluid.flushing import residual
from diagnose.fluid.measure import Measure, Step, Steps, figure, spanned

_SLACK = 1e-9


class FillPlan(NamedTuple):
    """One way to refill. `old` is the share of old coolant left at the end, %; `result` the mixture, vol %.

    `drains` counts every draining; `water` is for flushing and for the mark together; `waste` is what
    has to be collected, coolant and flush water, all in the job's unit. `because` says why it can't be done.
    """

    name: str
    possible: bool
    because: str
    drains: int
    old: Measure
    fill: tuple[Portion, ...]
    water: float
    waste: float
    result: Measure | None
    steps: tuple[Step, ...]


class Refill(NamedTuple):
    """The givens of all ways: volumes in `unit`, `retained` from 0 to 1, mixtures in vol %, `old` in %."""

    capacity: float
    unit: str
    retained: Measure
    old_mixture: float
    want: float
    drains: int
    old: Measure
    step: float
    sizes: tuple[float, ...]

    def concentrate_first(self, strong: Fluid) -> FillPlan:
        """Flush with water, then concentrate first and water to the mark."""
        steps = Steps()
        left = self._glycol_left(self.retained.value)
        steps.add(
            "glycol still in the retained water",
            f"{figure(self.capacity)} x {figure(self.retained.value)}^{self.drains} x {figure(self.old_mixture)} %",
            left,
            self.unit,
        )
        exact = (self.capacity * self.want / 100 - left) / (strong.share.value / 100)
        formula = f"({figure(self.capacity)} x {figure(self.want)} % - {figure(left)}) / {figure(strong.share.value)} %"
        steps.add("concentrate first", formula, exact, self.unit)
        amount = max(0.0, round(round(exact / self.step) * self.step, 9))
        room = self.capacity * (1.0 - self.retained.value)
        name = f"{self.flushed}concentrate first and water to the mark"
        if amount > room + _SLACK:
            why = (
                f"{figure(amount)} {self.unit} of concentrate do not go into the {figure(room)} {self.unit}"
                " that drained out: open the block drains, or drain again before filling"
            )
            return self._plan(name, False, why, (), 0.0, None, steps)
        to_mark = room - amount
        steps.add("then water to the mark", f"{figure(room)} - {figure(amount)}", to_mark, self.unit)

        def after(retained: float, share: float) -> float:
            return (self._glycol_left(retained) * 100 + amount * share) / self.capacity

        ends = tuple(
            after(r, s) for r in (self.retained.low, self.retained.high) for s in (strong.share.low, strong.share.high)
        )
        result = spanned(after(self.retained.value, strong.share.value), ends, "vol %")
        formula = f"({figure(left)} + {figure(amount)} x {figure(strong.share.value)} %) / {figure(self.capacity)}"
        steps.add("mixture at the end", formula, result)
        fill = (Portion(strong.name, amount, containers(amount, self.sizes)), Portion("water", to_mark))
        return self._plan(name, True, "", fill, to_mark, result, steps)

    def premix_after_flush(self, ready: Fluid) -> FillPlan:
        """Flush with water, then premix: what the retained water makes of it."""
        steps = Steps()
        room = self.capacity * (1.0 - self.retained.value)

        def after(retained: float, share: float) -> float:
            return (1.0 - retained) * share + self._glycol_left(retained) * 100 / self.capacity

        ends = tuple(
            after(r, s) for r in (self.retained.low, self.retained.high) for s in (ready.share.low, ready.share.high)
        )
        result = spanned(after(self.retained.value, ready.share.value), ends, "vol %")
        formula = (
            f"(1 - {figure(self.retained.value)}) x {figure(ready.share.value)} %"
            f" + {figure(self.retained.value)}^{self.drains} x {figure(self.old_mixture)} %"
        )
        steps.add("mixture at the end", formula, result)
        fill = (Portion(ready.name, room, containers(room, self.sizes)),)
        return self._plan(f"{self.flushed}{ready.name}", True, "", fill, 0.0, result, steps)

    def premix_only(self, ready: Fluid) -> FillPlan:
        """No water at all: drain and fill with premix as often as the old coolant demands."""
        steps = Steps()
        room = self.capacity * (1.0 - self.retained.value)
        amount = room * self.drains
        steps.add(f"{ready.name} for all fills", f"{self.drains} x {figure(room)} {self.unit}", amount, self.unit)

        def after(retained: float, share: float) -> float:
            left = residual(retained, self.drains)
            return (1.0 - left) * share + left * self.old_mixture

        ends = tuple(
            after(r, s) for r in (self.retained.low, self.retained.high) for s in (ready.share.low, ready.share.high)
        )
        result = spanned(after(self.retained.value, ready.share.value), ends, "vol %")
        left = self.old.value / 100
        formula = (
            f"(1 - {figure(left)}) x {figure(ready.share.value)} % + {figure(left)} x {figure(self.old_mixture)} %"
        )
        steps.add("mixture at the end", formula, result)
        fill = (Portion(ready.name, amount, containers(amount, self.sizes)),)
        waste = room * self.drains
        name = f"drain and fill with {ready.name}, no water"
        return FillPlan(name, True, "", self.drains, self.old, fill, 0.0, waste, result, steps.done())

    @property
    def flushed(self) -> str:
        """How the names of the ways begin: a single drain leaves nothing to flush."""
        return "flush with water, then " if self.drains > 1 else ""

    def _glycol_left(self, retained: float) -> float:
        """Pure glycol of the old coolant in what is retained before the last fill, in the job's unit."""
        return self.capacity * residual(retained, self.drains) * self.old_mixture / 100

    def _plan(
        self,
        name: str,
        possible: bool,
        why: str,
        fill: tuple[Portion, ...],
        to_mark: float,
        result: Measure | None,
        steps: Steps,
    ) -> FillPlan:
        room = self.capacity * (1.0 - self.retained.value)
        flush = room * (self.drains - 1)
        if self.drains > 1:
            steps.add("water for flushing", f"{self.drains - 1} x {figure(room)} {self.unit}", flush, self.unit)
        steps.add("waste to collect", f"{self.drains} x {figure(room)} {self.unit}", room * self.drains, self.unit)
        return FillPlan(
            name, possible, why, self.drains, self.old, fill, flush + to_mark, room * self.drains, result, steps.done()
        )
