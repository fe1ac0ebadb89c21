"""How much a coolant shrinks and swells with temperature, and so what a cold level drop means.

Inhibited coolant: fits of the ASHRAE tables, computed with CoolProp 8.0.0 (AEG, APG; volume
fraction), against the volume at 20 degC; water IAPWS-95. For pure glycol the library's other
table (Melinder) gives up to 0.4 % more from 20 to 95 degC; both are stated as the interval. The
metal swells too: up to 0.6 % in volume over 80 K for aluminium (three times 23e-6 per K, from
memory), which takes off the lower end.
"""

from __future__ import annotations

from typing import NamedTuple

from diagnose.fluid.composition import mass_percent
from diagnose.fluid.density import density
from diagnose.fluid.freezing import TOP_OF_SCALE, freezing_point
from diagnose.fluid.grid import Grid
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, Step, Steps, figure

_METAL = 3 * 23e-6
_COLUMNS = (0.0, 20.0, 40.0, 60.0, 80.0, 100.0)
_WATER = (0.0, (-0.16, 0.0, 0.60, 1.53, 2.72, 4.16))
# percent of the volume at 20 degC
_SWELLING = {
    "ethylene": Grid.of(
        _COLUMNS,
        [
            _WATER,
            (10.0, (-0.533, 0.0, 0.729, 1.665, 2.821, 4.215)),
            (20.0, (-0.576, 0.0, 0.772, 1.751, 2.949, 4.384)),
            (30.0, (-0.621, 0.0, 0.817, 1.840, 3.082, 4.558)),
            (40.0, (-0.668, 0.0, 0.863, 1.932, 3.218, 4.739)),
            (50.0, (-0.716, 0.0, 0.910, 2.026, 3.359, 4.926)),
            (60.0, (-0.765, 0.0, 0.959, 2.122, 3.505, 5.123)),
        ],
    ),
    "propylene": Grid.of(
        _COLUMNS,
        [
            _WATER,
            (10.0, (-0.564, 0.0, 0.767, 1.747, 2.952, 4.396)),
            (20.0, (-0.666, 0.0, 0.876, 1.972, 3.302, 4.884)),
            (30.0, (-0.761, 0.0, 0.975, 2.176, 3.620, 5.324)),
            (40.0, (-0.850, 0.0, 1.067, 2.365, 3.910, 5.724)),
            (50.0, (-0.934, 0.0, 1.153, 2.540, 4.178, 6.090)),
            (60.0, (-1.015, 0.0, 1.234, 2.704, 4.427, 6.428)),
        ],
    ),
}


class Shrinkage(NamedTuple):
    """What cooling from `hot` to `cold` (degC) takes off the level, in the unit of the volume and in % of it.

    `drop` is what was seen, and `unexplained` what cooling does not account for; both may be missing.
    """

    volume: float
    hot: float
    cold: float
    percent: Measure
    amount: Measure
    drop: float | None
    unexplained: Measure | None
    steps: tuple[Step, ...]


def relative_volume(volume_percent: float, glycol: str, temperature: float) -> float:
    """Volume at 0 to 110 degC over the volume at 20 degC, for 0 to 60 vol %. Raises BeyondScale, Impossible."""
    if not 0.0 <= volume_percent <= TOP_OF_SCALE:
        freezing_point(volume_percent, glycol)  # raises, and says why
    if not 0.0 <= temperature <= 110.0:
        raise Impossible(f"the expansion table runs from 0 to 110 degC, not to {temperature:g} degC")
    return 1.0 + _SWELLING[glycol].at(volume_percent, temperature) / 100.0


def shrink(
    volume: float,
    unit: str,
    mixture: Measure,
    glycol: str,
    hot: float,
    cold: float,
    drop: float | None = None,
) -> Shrinkage:
    """What is missing, cold, of a `volume` that was right when hot (degC). Raises Impossible."""
    if volume <= 0.0:
        raise Impossible(f"a volume of {volume:g} {unit} is impossible: it must be above 0")
    if hot < cold:
        raise Impossible(f"hot ({hot:g} degC) must not lie under cold ({cold:g} degC)")
    if drop is not None and not 0.0 <= drop <= volume:
        raise Impossible(f"a drop of {drop:g} {unit} is impossible in a system of {volume:g} {unit}")
    steps = Steps()
    swollen = [relative_volume(mixture.value, glycol, t) for t in (cold, hot)]
    steps.add(
        "volume cold, that at 20 degC being 1",
        f"by table from {figure(mixture.value)} vol % at {figure(cold)} degC",
        swollen[0],
    )
    steps.add("volume hot", f"by table from {figure(mixture.value)} vol % at {figure(hot)} degC", swollen[1])
    percent = _percent(mixture, glycol, hot, cold)
    formula = f"(1 - {figure(swollen[0], 5)} / {figure(swollen[1], 5)}) x 100"
    steps.add("shrinks, cooling down", formula, percent)
    amount = percent.through(lambda p: volume * p / 100.0, unit)
    steps.add("level drop to be expected", f"{figure(volume)} {unit} x {figure(percent.value)} %", amount)
    unexplained = None
    if drop is not None:
        unexplained = Measure(drop - amount.value, drop - amount.high, drop - amount.low, unit)
        steps.add("not explained by cooling", f"{figure(drop)} - {figure(amount.value)}", unexplained)
    return Shrinkage(volume, hot, cold, percent, amount, drop, unexplained, steps.done())


def _percent(mixture: Measure, glycol: str, hot: float, cold: float) -> Measure:
    """Percent of the hot volume; the ends hold both tables, the reading's doubt and the metal's own swelling."""
    values = []
    for share in (mixture.value, mixture.low, mixture.high):
        values.append(1.0 - relative_volume(share, glycol, cold) / relative_volume(share, glycol, hot))
        values.append(1.0 - _pure(share, glycol, hot) / _pure(share, glycol, cold))
    metal = _METAL * (hot - cold)
    return Measure(100 * values[0], 100 * max(0.0, min(values) - metal), 100 * max(values), "%")


def _pure(share: float, glycol: str, temperature: float) -> float:
    return density(mass_percent(share, glycol), glycol, min(temperature, 100.0))
