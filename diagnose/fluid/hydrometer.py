"""What a hydrometer's reading really says: it weighs the coolant, so temperature matters, and propylene can't be read.

A float made for ethylene glycol stands in the density of the sample at its own temperature. A
scale in relative density is that of pure glycol; inhibitors make coolant heavier, so the lower
end of the interval makes room for them. A scale in degrees or percent is taken as made for coolant.
"""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.fluid.composition import WATER_DENSITY, mass_percent, top_mass_percent, volume_percent
from diagnose.fluid.density import INHIBITORS_AT_50, density, mass_percent_of_density
from diagnose.fluid.freezing import BEYOND, TOP_OF_SCALE, BeyondScale
from diagnose.fluid.freezing import volume_percent as volume_that_freezes_at
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, Step, Steps, figure
from diagnose.fluid.protection import HYDROMETER_PLUS_MINUS, doubt, freezing

CANT_READ_PROPYLENE = (
    "a hydrometer cannot read propylene glycol: its density hardly rises and turns back near 70 mass %,"
    " so that 60 and 85 mass % float alike; use a refractometer with a propylene scale"
)


@dataclass(frozen=True, slots=True)
class HydrometerReading:
    """`density` in g/mL at the sample's temperature (degC); mixture in vol %, freezing point in degC."""

    value: float
    unit: str
    temperature: float
    made_for: float
    density: Measure
    mixture: Measure
    freezing: Measure
    beyond: str
    steps: tuple[Step, ...]


def read_hydrometer(
    value: float,
    unit: str,
    temperature: float = 20.0,
    made_for: float = 20.0,
    glycol: str = "ethylene",
    plus_minus: float = HYDROMETER_PLUS_MINUS,
) -> HydrometerReading:
    """The sample behind a reading in SG, degC or vol %, taken at `temperature` with a float made for `made_for` degC.

    `plus_minus` is the instrument's doubt in kelvin of freezing point. Raises BeyondScale, Impossible.
    """
    if glycol == "propylene":
        raise Impossible(CANT_READ_PROPYLENE)
    if glycol == "mixed":
        raise Impossible(
            "a hydrometer cannot read a mixture of ethylene and propylene glycol: two unknowns, one weight"
        )
    if not 0.0 <= temperature <= 60.0:
        raise Impossible(f"a sample at {temperature:g} degC can't be read: let it come to between 0 and 60 degC")
    steps = Steps()
    scale_volume = _volume_on_scale(value, unit, made_for)
    scale = doubt(scale_volume, glycol, plus_minus)
    scale = Measure(scale.value, scale.low, min(scale.high, TOP_OF_SCALE), "vol %")
    weighed = scale.through(lambda v: density(mass_percent(v, glycol), glycol, made_for), "g/mL")
    if unit == "SG":
        inhibitors = INHIBITORS_AT_50 * scale_volume / 50.0
        weighed = Measure(weighed.value, weighed.low - inhibitors, weighed.high, "g/mL")
    said = f"{figure(value)} {unit}"
    steps.add("density the float stands in", f"by table from {said} on a scale for {figure(made_for)} degC", weighed)
    heaviest = density(top_mass_percent(glycol), glycol, temperature)
    if weighed.value > heaviest:
        raise BeyondScale(
            f"{figure(weighed.value)} g/mL at {figure(temperature)} degC is {BEYOND}"
            f" (60 vol % weighs {figure(heaviest)} g/mL)"
        )
    masses = [_mass(rho, glycol, temperature) for rho in (weighed.value, weighed.low, weighed.high)]
    mass = Measure(masses[0], masses[1], masses[2], "mass %")
    steps.add("by mass", f"by table from {figure(weighed.value, 5)} g/mL at {figure(temperature)} degC", mass)
    mixture = mass.through(lambda m: volume_percent(m, glycol), "vol %")
    steps.add("mixture", f"by table from {figure(mass.value)} mass %", mixture)
    frozen = freezing(mixture, glycol)
    steps.add("freezing point", f"by table from {figure(mixture.value)} vol %", frozen)
    beyond = f"the upper end is {BEYOND}" if mixture.high >= TOP_OF_SCALE - 1e-9 else ""
    return HydrometerReading(value, unit, temperature, made_for, weighed, mixture, frozen, beyond, steps.done())


def _volume_on_scale(value: float, unit: str, made_for: float) -> float:
    """Vol % at which the float would show the value if the sample had the temperature it is made for."""
    if unit == "degC":
        return volume_that_freezes_at(value, "ethylene")
    if unit == "vol %":
        if value > TOP_OF_SCALE:
            raise BeyondScale(f"{value:g} vol % is {BEYOND}")
        return value
    if unit == "SG":
        if not 0.98 <= value <= 1.13:
            raise Impossible(f"{value:g} is no coolant's relative density: it must lie between 0.98 and 1.13")
        return volume_percent(mass_percent_of_density(value * WATER_DENSITY, "ethylene", made_for), "ethylene")
    raise Impossible(f"a hydrometer shows a relative density (SG), degC or vol %, not {unit}")


def _mass(weighed: float, glycol: str, temperature: float) -> float:
    """Mass % of a density, cut off at water and at the top of the scale for the interval's ends."""
    lightest = density(0.0, glycol, temperature)
    heaviest = density(top_mass_percent(glycol), glycol, temperature)
    return mass_percent_of_density(min(max(weighed, lightest), heaviest), glycol, temperature)
