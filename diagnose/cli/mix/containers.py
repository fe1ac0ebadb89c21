"""What can be measured, and what is sold: both are the workshop's to say."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import click

from diagnose.cli.mix.amounts import VOLUME, amount_option, one, read_amount
from diagnose.cli.mix.positions import reckoning
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure
from diagnose.fluid.units import convert
from diagnose.rulebook.model import Amount, Book

F = TypeVar("F", bound=Callable[..., object])
# Litres are the rulebook's to say; for quarts and gallons common practice, no source.
_MARKS = {"qt": 0.25, "gal": 0.125}
_JUGS = {"qt": (4.0,), "gal": (1.0,)}


def container_options(command: F) -> F:
    """--measure and --jug."""

    def jugs(ctx: click.Context, param: click.Parameter, values: tuple[str, ...]) -> tuple[Measure, ...]:
        return tuple(read_amount(value, VOLUME, "--jug") for value in values)

    says = "A size that is sold; may be given several times. Default: the rulebook's, or 1 gal."
    command = click.option("--jug", multiple=True, metavar="'5 L'", help=says, callback=jugs)(command)
    says = "The smallest amount that can be measured. Default: the rulebook's, or 0.25 qt or 0.125 gal."
    return amount_option("--measure", VOLUME, says, like="0.1 L")(command)


def measured_in(measure: Measure | None, unit: str, book: Book) -> float:
    """The smallest amount in the job's unit. Raises Impossible."""
    step = one(measure, unit) if measure else _MARKS.get(unit) or _in(reckoning(book, "--measure").measure, unit)
    if not step > 0.0:
        raise Impossible(f"nothing can be measured in steps of {step:g} {unit}: it must be above 0")
    return step


def containers_in(jugs: tuple[Measure, ...], unit: str, book: Book) -> tuple[float, ...]:
    """The sizes on sale in the job's unit."""
    if jugs:
        return tuple(round(one(jug, unit), 6) for jug in jugs)
    return _JUGS.get(unit) or tuple(_in(size, unit) for size in reckoning(book, "--jug").containers)


def _in(amount: Amount, unit: str) -> float:
    return round(convert(amount.value, amount.unit, unit), 6)
