"""`diagnose mix convert`."""

from __future__ import annotations

import click

from diagnose.cli.mix.amounts import Wanted, read_amount, to
from diagnose.cli.mix.mixture import as_volume, glycol_option, one_glycol
from diagnose.cli.mix.page import Page, job, shown
from diagnose.fluid.composition import mass_percent
from diagnose.fluid.density import density
from diagnose.fluid.freezing import TOP_OF_SCALE, freezing_point
from diagnose.fluid.measure import Measure
from diagnose.fluid.refraction import brix, refractive_index
from diagnose.fluid.units import kind, unit_names

ANY = Wanted(tuple(dict.fromkeys(kind(unit) for unit in unit_names())), "12 gpg", exact=False)
MIXTURES = ("share by volume", "share by mass", "Brix scale", "refractive index")


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("amount", metavar="AMOUNT")
@glycol_option
@job
def convert(amount: str, glycol: str) -> Page:
    """One amount in every other unit of its kind; a mixture on every scale.

    Degrees that may be a freezing point (0 and colder) are shown as a mixture too. Hardness counts
    as CaCO3 throughout.

    Example:  diagnose mix convert '12 gpg'
    """
    read = read_amount(amount, ANY, "AMOUNT")
    what = kind(read.unit)
    answer = []
    if what not in MIXTURES:
        others = [unit for unit in unit_names() if kind(unit) == what and unit != read.unit]
        answer = [f"{_precise(read)} = {_precise(to(read, unit))}" for unit in others] or [f"{_precise(read)}"]
    if what in MIXTURES or (what == "temperature" and to(read, "degC").high <= 0.0):
        answer += _scales(read, one_glycol(glycol))
    hardness = "Hardness units count CaCO3; only mg/L and gpg mean anything for chloride."
    notes = [hardness] if what == "concentration" else []
    return Page(answer, [], read, notes)


def _scales(read: Measure, glycol: str) -> list[str]:
    mixture = as_volume(read, glycol, "exact")
    if mixture.high > TOP_OF_SCALE:
        freezing_point(mixture.high, glycol)  # raises, and says why
    mass = mixture.through(lambda v: mass_percent(v, glycol), "mass %")
    index = mass.through(lambda m: refractive_index(m, glycol), "nD")
    values = [
        mixture,
        mass,
        mixture.through(lambda v: freezing_point(v, glycol), "degC"),
        mass.through(lambda m: density(m, glycol), "g/mL"),
        index,
        index.through(brix, "Brix"),
    ]
    names = ("by volume", "by mass", "freezes at", "weighs, without inhibitors, at 20 degC", "index at 20 degC", "Brix")
    return [f"As {glycol} glycol, {name}: {shown(value)}" for name, value in zip(names, values, strict=True)]


def _precise(measure: Measure) -> str:
    ends = [f"{value:.5g}" for value in (measure.low, measure.high)]
    return f"{ends[0]} {measure.unit}" if measure.exact else f"{ends[0]} to {ends[1]} {measure.unit}"
