"""What a refractometer and a hydrometer say together about the glycol.

One sees light bent, the other weighs. Propylene glycol bends light more than ethylene and weighs
far less, so only together can they tell which glycol is in a coolant, or that something else is.
A mixture of both is reckoned as parts that add up; no table at hand checks that.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from diagnose.fluid.composition import mass_percent
from diagnose.fluid.density import density
from diagnose.fluid.freezing import TOP_OF_SCALE
from diagnose.fluid.measure import Measure, Step, Steps, figure
from diagnose.fluid.refraction import mass_percent_of_index, refractive_index
from diagnose.fluid.refractometer import NEITHER

Agreement = Literal["agree", "hydrometer_weaker", "hydrometer_stronger"]


class Gauges(NamedTuple):
    """Both readings as vol % on the ethylene scale, and the share of the glycol that may be propylene, 0 to 1.

    `propylene` is None where no mixture of the two glycols fits; `says` is the sentence.
    """

    refractometer: Measure
    hydrometer: Measure
    agreement: Agreement
    propylene: Measure | None
    says: str
    steps: tuple[Step, ...]


def compare(refractometer: Measure, hydrometer: Measure) -> Gauges:
    """Compare two corrected readings, both as vol % on the ethylene scale, 0 to 60."""
    steps = Steps()
    gap = Measure(
        hydrometer.value - refractometer.value,
        hydrometer.low - refractometer.high,
        hydrometer.high - refractometer.low,
        "vol %",
    )
    steps.add("hydrometer less refractometer", f"{figure(hydrometer.value)} - {figure(refractometer.value)}", gap)
    agreement: Agreement = "agree"
    if gap.high < 0.0:
        agreement = "hydrometer_weaker"
    elif gap.low > 0.0:
        agreement = "hydrometer_stronger"
    shares = [
        _propylene_share(light, weight)
        for light, weight in (
            (refractometer.value, hydrometer.value),
            (refractometer.low, hydrometer.high),
            (refractometer.high, hydrometer.low),
        )
    ]
    # an end at the top of the scale stands for everything beyond it, so it excludes nothing
    low = min(0.0, shares[1]) if hydrometer.high >= TOP_OF_SCALE else shares[1]
    high = max(1.0, shares[2]) if refractometer.high >= TOP_OF_SCALE else shares[2]
    share = None
    if low <= 1.0 and high >= 0.0:
        share = Measure(_cut(shares[0]), _cut(low), _cut(high), "")
        formula = (
            f"where an index for {figure(refractometer.value)} and a weight for {figure(hydrometer.value)} vol % meet"
        )
        steps.add("propylene's share of the glycol", formula, share)
    return Gauges(refractometer, hydrometer, agreement, share, _sentence(low, high), steps.done())


def _mass(volume: float) -> float:
    return mass_percent(min(volume, TOP_OF_SCALE), "ethylene")


def _cut(share: float) -> float:
    return min(1.0, max(0.0, share))


def _sentence(low: float, high: float) -> str:
    if low > 1.0:
        return "lighter than any glycol mixture: alcohol or washer fluid may be in it, or the hydrometer is wrong"
    if high < 0.0:
        return "heavier than glycol and water: salts, too much additive or glycerin may be in it"
    if low <= 0.0 and high >= 1.0:
        return "at this strength the two gauges can't tell one glycol from the other"
    if low <= 0.0:
        return "the two fit ethylene glycol"
    if high >= 1.0:
        return "the two fit propylene glycol: read the refractometer's propylene scale; the hydrometer can't read it"
    return NEITHER


def _propylene_share(light: float, weight: float) -> float:
    """Propylene's share of the glycol, linear beyond 0 and 1, from two readings on the ethylene scale.

    The index fixes how much glycol there is for each share; the weight then falls as the share grows.
    """
    index = refractive_index(_mass(light), "ethylene")
    weighed = density(_mass(weight), "ethylene")
    as_ethylene = _mass(light)
    as_propylene = mass_percent_of_index(max(index, refractive_index(0.0, "propylene")), "propylene")
    heaviest, lightest = density(as_ethylene, "ethylene"), density(as_propylene, "propylene")
    if heaviest == lightest:
        return 0.0 if weighed == heaviest else float("inf") if weighed < heaviest else float("-inf")
    return (heaviest - weighed) / (heaviest - lightest)
