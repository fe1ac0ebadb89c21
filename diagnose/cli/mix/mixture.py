"""A mixture, however it was read: by volume, by mass, as a freezing point, in Brix or as an index."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import click

from diagnose.cli.mix.amounts import to
from diagnose.fluid.composition import volume_percent
from diagnose.fluid.freezing import volume_percent as volume_that_freezes_at
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure
from diagnose.fluid.protection import HYDROMETER_PLUS_MINUS, REFRACTOMETER_PLUS_MINUS, doubt
from diagnose.fluid.refraction import index_of_brix, mass_percent_of_index
from diagnose.fluid.refractometer import NEITHER
from diagnose.fluid.units import kind

F = TypeVar("F", bound=Callable[..., object])
DOUBT = {"refractometer": REFRACTOMETER_PLUS_MINUS, "hydrometer": HYDROMETER_PLUS_MINUS, "exact": 0.0}


def glycol_option(command: F) -> F:
    choice = click.Choice(["ethylene", "propylene", "mixed"])
    says = "The glycol in the coolant."
    return click.option("--glycol", type=choice, default="ethylene", show_default=True, help=says)(command)


def by_option(command: F) -> F:
    says = (
        "What a single value was read with, for its doubt: a refractometer is good to 1 degC of freezing"
        " point, a hydrometer to 4.4 degC."
    )
    choice = click.Choice(list(DOUBT))
    return click.option("--by", type=choice, default="refractometer", show_default=True, help=says)(command)


def one_glycol(glycol: str) -> str:
    """The glycol, unless both are in there. Raises Impossible."""
    if glycol == "mixed":
        raise Impossible(NEITHER)
    return glycol


def as_volume(measure: Measure, glycol: str, by: str) -> Measure:
    """The mixture in vol %; a single value gets the doubt of the instrument it was read `by`. Raises Impossible."""
    one_glycol(glycol)
    what = kind(measure.unit)
    if what == "share by volume":
        mixture = to(measure, "vol %")
        _possible(mixture)
    elif what == "share by mass":
        mixture = measure.through(lambda m: volume_percent(m, glycol), "vol %")
    elif what == "temperature":
        mixture = to(measure, "degC").through(lambda t: volume_that_freezes_at(t, glycol), "vol %")
    elif what == "Brix scale":
        mixture = measure.through(lambda b: _of_index(index_of_brix(b), glycol), "vol %")
    else:
        mixture = measure.through(lambda n: _of_index(n, glycol), "vol %")
    if measure.exact and DOUBT[by]:
        return doubt(mixture.value, glycol, DOUBT[by])
    return mixture


def _possible(mixture: Measure) -> None:
    for end in (mixture.low, mixture.high):
        if not 0.0 <= end <= 100.0:
            raise Impossible(f"a mixture of {end:g} vol % is impossible: it lies between 0 and 100 vol %")


def _of_index(index: float, glycol: str) -> float:
    return volume_percent(mass_percent_of_index(index, glycol), glycol)
