"""What a mixture protects against, and whether that is enough for the coldest night."""

from __future__ import annotations

from typing import Literal, NamedTuple

from diagnose.fluid.freezing import TOP_OF_SCALE, BeyondScale, curve, freezing_point, volume_percent
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, Step, Steps, figure

Verdict = Literal["enough", "not enough", "can't tell"]
Place = Literal["inside", "outside", "can't tell"]
REFRACTOMETER_PLUS_MINUS = 1.0
"""How far a refractometer's freezing point may be off, K (ASTM D3321, scope)."""
HYDROMETER_PLUS_MINUS = 4.4
"""How far a hydrometer's freezing point may be off, K (8 degF; common practice, no source)."""


class Protection(NamedTuple):
    """`freezing` in degC, `margin` in K above it; `needed` is the mixture, vol %, that keeps the margin.

    `needed` is None where no mixture on the scale does. `verdict` is about the coldest expected
    temperature, `in_range` about the range that counts as good; None where neither was given.
    """

    mixture: Measure
    glycol: str
    freezing: Measure
    coldest: float | None
    margin: Measure | None
    wanted_margin: float
    verdict: Verdict | None
    needed: float | None
    in_range: Place | None
    steps: tuple[Step, ...]

    @property
    def acceptable(self) -> bool:
        """Surely inside the range and surely enough for the coldest night, as far as either was asked."""
        return self.in_range in (None, "inside") and self.verdict in (None, "enough")


def doubt(volume: float, glycol: str, plus_minus: float) -> Measure:
    """A mixture in vol % with the interval that `plus_minus` kelvin of freezing point leave open.

    On the scale the ends are those of the table; a mixture beyond it keeps the width of 60 vol %.
    """
    if volume < 0.0 or volume > 100.0:
        raise Impossible(f"{volume:g} vol % is impossible: a mixture lies between 0 and 100 vol %")
    if volume > TOP_OF_SCALE:
        width = TOP_OF_SCALE - doubt(TOP_OF_SCALE, glycol, plus_minus).low
        return Measure(volume, volume - width, min(100.0, volume + width), "vol %")
    table = curve(glycol)
    freezing = table.at(volume)
    warm, cold = min(0.0, freezing + plus_minus), freezing - plus_minus
    # beyond the last point no table helps; the last stretch's own slope carries the interval on
    high = table.where(cold) if cold >= table.y[-1] else TOP_OF_SCALE + (cold - table.y[-1]) / _slope_at_top(glycol)
    return Measure(volume, table.where(warm), high, "vol %")


def freezing(mixture: Measure, glycol: str) -> Measure:
    """Freezing point, degC, of a mixture on the scale; what lies beyond is cut off at 60 vol %."""
    return Measure(
        freezing_point(mixture.value, glycol),
        freezing_point(min(mixture.high, TOP_OF_SCALE), glycol),
        freezing_point(min(mixture.low, TOP_OF_SCALE), glycol),
        "degC",
    )


def protect(
    mixture: Measure,
    glycol: str,
    coldest: float | None = None,
    wanted_margin: float = 0.0,
    good: tuple[float, float] | None = None,
) -> Protection:
    """Protection of a mixture (vol %) against the coldest expected temperature (degC). Raises BeyondScale.

    `wanted_margin` in kelvin and the `good` range in vol % are the workshop's (or the rulebook's) to choose.
    """
    steps = Steps()
    frozen = freezing(mixture, glycol)
    steps.add("freezing point", f"by table from {figure(mixture.value)} vol % {glycol} glycol", frozen)
    margin, verdict, needed = None, None, None
    if coldest is not None:
        margin = Measure(coldest - frozen.value, coldest - frozen.high, coldest - frozen.low, "K")
        steps.add("margin", f"{figure(coldest)} degC - ({figure(frozen.value, 3)} degC)", margin)
        verdict = _verdict(margin.low, margin.high, wanted_margin)
        try:
            needed = volume_percent(min(0.0, coldest - wanted_margin), glycol)
            formula = f"by table, freezing at {figure(coldest)} - {figure(wanted_margin)} degC"
            steps.add("mixture that keeps the margin", formula, needed, "vol %")
        except BeyondScale:
            needed = None
    in_range: Place | None = None
    if good is not None:
        if good[0] <= mixture.low and mixture.high <= good[1]:
            in_range = "inside"
        else:
            in_range = "outside" if mixture.high < good[0] or mixture.low > good[1] else "can't tell"
    return Protection(mixture, glycol, frozen, coldest, margin, wanted_margin, verdict, needed, in_range, steps.done())


def _verdict(low: float, high: float, wanted: float) -> Verdict:
    if low >= wanted:
        return "enough"
    return "not enough" if high < wanted else "can't tell"


def _slope_at_top(glycol: str) -> float:
    """Kelvin for each vol % at 60 vol %."""
    table = curve(glycol)
    return (table.y[-1] - table.y[-2]) / (table.x[-1] - table.x[-2])
