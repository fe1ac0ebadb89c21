"""Amounts as people type them: a number or two, and a unit."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

import click

from diagnose.fluid.measure import Measure
from diagnose.fluid.units import convert, find_unit, kind, unit_names

F = TypeVar("F", bound=Callable[..., object])
LARGEST = 2000.0
"""Litres; more than any engine's cooling system holds (judgement)."""
_NUMBER = r"[-+]?(?:\d+(?:\.\d+)?|\.\d+)"
_ONE = re.compile(rf"({_NUMBER})\s*(.*)", re.DOTALL)
_RANGE = re.compile(rf"({_NUMBER})\s*\.\.\s*({_NUMBER})\s*(.*)", re.DOTALL)
_GIVE = re.compile(rf"({_NUMBER})\s*(?:\+-|\+/-|±)\s*({_NUMBER})\s*(.*)", re.DOTALL)


class Refused(click.ClickException):
    """Input that can't be used: one sentence, exit code 2."""

    exit_code = 2


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which kinds of unit an amount may have (see units.kind), and an example of how to write it.

    `exact` refuses ranges.
    """

    kinds: tuple[str, ...]
    example: str
    exact: bool = True


def amount_option(
    name: str,
    wanted: Wanted,
    says: str,
    required: bool = False,
    default: str | None = None,
    dest: str | None = None,
    like: str = "",
) -> Callable[[F], F]:
    """An option that takes one amount; the command gets a Measure in the unit typed, or None.

    `like` (else the default, else the example of `wanted`) shows in the help how to write it.
    """

    def read(ctx: click.Context, param: click.Parameter, value: str | None) -> Measure | None:
        return None if value is None else read_amount(value, wanted, name)

    names = (name, dest) if dest else (name,)
    metavar = f"'{like or default or wanted.example}'"
    if default is None:  # a default of None would count as given, and a required option as never missing
        return click.option(*names, required=required, metavar=metavar, help=says, callback=read)
    return click.option(*names, default=default, show_default=True, metavar=metavar, help=says, callback=read)


def read_amount(text: str, wanted: Wanted, name: str) -> Measure:
    """The measure behind a text such as '9 L', '33..37 %' or '35 +- 2 %'. Raises Refused."""
    write = f"write it like '{wanted.example}'"
    if re.search(r"\d,\d", text):
        raise Refused(f"{name}: '{text}' holds a comma; {write}, with a point and without thousands marks")
    text = text.replace("\N{MINUS SIGN}", "-")
    low, value, high, unit_text = _numbers(text.strip(), name, write)
    unit = find_unit(unit_text)
    if not unit_text:
        raise Refused(f"{name}: '{text}' has no unit; {write}")
    known = [u for u in unit_names() if kind(u) in wanted.kinds]
    if unit is None:
        raise Refused(f"{name}: no unit is called '{unit_text}'; known here: {', '.join(known)}")
    if kind(unit) not in wanted.kinds:
        wants = " or ".join(wanted.kinds)
        raise Refused(f"{name}: {unit} measures {kind(unit)}, and {wants} is wanted; {write}")
    if wanted.exact and low != high:
        raise Refused(f"{name}: '{text}' is a range, and one value is wanted; {write}")
    if kind(unit) == "volume" and convert(high, unit, "L") > LARGEST:
        raise Refused(f"{name}: no cooling system holds {high:g} {unit}; check the number and the unit")
    if low > high:
        raise Refused(f"{name}: '{text}' begins above its end; write the smaller number first")
    return Measure(value, low, high, unit)


def to(measure: Measure, unit: str) -> Measure:
    """The measure in another unit of its kind; bare percent is by volume."""
    return measure.through(lambda value: convert(value, measure.unit, unit), unit)


def one(measure: Measure, unit: str) -> float:
    return convert(measure.value, measure.unit, unit)


def _numbers(text: str, name: str, write: str) -> tuple[float, float, float, str]:
    if found := _RANGE.fullmatch(text):
        low, high = float(found[1]), float(found[2])
        return low, (low + high) / 2, high, found[3].strip()
    if found := _GIVE.fullmatch(text):
        value, give = float(found[1]), abs(float(found[2]))
        return value - give, value, value + give, found[3].strip()
    if found := _ONE.fullmatch(text):
        value = float(found[1])
        return value, value, value, found[2].strip()
    raise Refused(f"{name}: '{text}' does not begin with a number; {write}")


VOLUME_RANGE = Wanted(("volume",), "9 L", exact=False)
VOLUME = Wanted(("volume",), "9 L")
MIXTURE_KINDS = ("share by volume", "share by mass", "temperature", "Brix scale", "refractive index")
MIXTURE = Wanted(MIXTURE_KINDS, "44 %", exact=False)
SHARE = Wanted(("share by volume",), "50 %")
TEMPERATURE = Wanted(("temperature",), "-28 degC")
DIFFERENCE = Wanted(("temperature",), "5 K")
PRESSURE = Wanted(("pressure",), "15 psi", exact=False)
HEIGHT = Wanted(("length",), "1000 m")
