"""What can be measured, and what is sold: both are the workshop's to say."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import click

from diagnose.cli.mix.amounts import VOLUME, amount_option, one, read_amount
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure

F = TypeVar("F", bound=Callable[..., object])
# Common practice, no source: marks on a workshop jug, and jugs on the shelf.
_MARKS = {"L": 0.1, "mL": 100.0, "qt": 0.25, "gal": 0.125}
_JUGS = {"L": (1.0, 5.0), "mL": (1000.0, 5000.0), "qt": (4.0,), "gal": (1.0,)}


def container_options(command: F) -> F:
    """--measure and --jug."""

    def jugs(ctx: click.Context, param: click.Parameter, values: tuple[str, ...]) -> tuple[Measure, ...]:
        return tuple(read_amount(value, VOLUME, "--jug") for value in values)

    says = "A size that is sold; may be given several times. Default: 1 L and 5 L, or 1 gal."
    command = click.option("--jug", multiple=True, metavar="'5 L'", help=says, callback=jugs)(command)
    says = "The smallest amount that can be measured. Default: 0.1 L, 0.25 qt or 0.125 gal."
    return amount_option("--measure", VOLUME, says, like="0.1 L")(command)


def measured_in(measure: Measure | None, unit: str) -> float:
    """The smallest amount in the job's unit. Raises Impossible."""
    step = one(measure, unit) if measure else _MARKS[unit]
    if not step > 0.0:
        raise Impossible(f"nothing can be measured in steps of {step:g} {unit}: it must be above 0")
    return step


def containers_in(jugs: tuple[Measure, ...], unit: str) -> tuple[float, ...]:
    """The sizes on sale in the job's unit."""
    return tuple(round(one(jug, unit), 6) for jug in jugs) if jugs else _JUGS[unit]
