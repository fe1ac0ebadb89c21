"""`diagnose mix water` and `two-waters`."""

from __future__ import annotations

from math import ceil

import click

from diagnose.cli.mix.amounts import SHARE, Refused, Wanted, amount_option, read_amount, to
from diagnose.cli.mix.page import Page, job, listed, shown
from diagnose.cli.mix.positions import book_option, open_book, water_limits
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure, Step, exactly, figure
from diagnose.fluid.units import convert
from diagnose.fluid.water import Fitness, Judged, Limit, WaterFit, blend, judge, share_needed
from diagnose.fluid.water import hardness as hardness_of

MINERAL = Wanted(("concentration",), "200 mg/L", exact=False)
METAL = Wanted(("concentration",), "72 mg/L")
HARDNESS_UNITS = ("mg/L", "gpg", "degdH", "degfH", "degClark", "mmol/L")
SALT_UNITS = ("mg/L", "gpg")
"""Of a salt other than hardness; degrees and mmol/L of hardness count CaCO3 and mean nothing for it."""


@click.command()
@amount_option("--hardness", MINERAL, "As CaCO3: mg/L, gpg, degdH, degfH, degClark or mmol/L.")
@amount_option("--calcium", METAL, "Calcium and magnesium instead of the hardness.")
@amount_option("--magnesium", METAL, "See --calcium.")
@amount_option("--chloride", MINERAL, "In mg/L or grains per gallon.")
@click.option(
    "--other", multiple=True, metavar="'sulfate 120 mg/L'", help="Another figure; needs a --limit of its name."
)
@click.option("--limit", "limits", multiple=True, metavar="'sulfate 100..200 mg/L'",
              help="Good up to the first number, unfit from the second; goes before the rulebook's.")  # fmt: skip
@book_option
@job
def water(
    hardness: Measure | None,
    calcium: Measure | None,
    magnesium: Measure | None,
    chloride: Measure | None,
    other: tuple[str, ...],
    limits: tuple[str, ...],
    book: str,
) -> Page:
    """Whether a water is fit to be mixed with concentrate.

    Example:  diagnose mix water --hardness '12 gpg' --chloride '30 mg/L'
    """
    known = {limit.name: limit for limit in water_limits(open_book(book))}
    known |= {limit.name: limit for limit in (_limit(text) for text in limits)}
    values = {name: _in_mg(value, name) for name, value in map(_figure, other)}
    steps: list[Step] = []
    if calcium or magnesium:
        if hardness:
            raise Refused("--hardness: give the hardness, or calcium and magnesium, not both")
        step = _of_metals(calcium, magnesium)
        values["hardness"] = step.result
        steps.append(step)
    for name, given in (("hardness", hardness), ("chloride", chloride)):
        if given:
            values[name] = _in_mg(given, name)
            if given.unit != "mg/L":
                factor = figure(convert(1.0, given.unit, "mg/L"), 5)
                steps.append(Step(f"{name} in mg/L", f"{figure(given.value)} {given.unit} x {factor}", values[name]))
    if not values:
        raise Refused("there is nothing to judge: give --hardness, --chloride or another figure of the water")
    for name in values:
        if name not in known:
            raise Refused(
                f"--other: no limit for '{name}' is known; add --limit '{name} 100..200 mg/L' with the maker's figures"
            )
    result = judge(values, tuple(known.values()))
    return Page(_answer(result), [("", (*steps, *result.steps))], result, _notes(result, values))


@click.command(name="two-waters")
@click.option("--hardness", nargs=2, metavar="'300 mg/L' '0 mg/L'", help="Of the first and of the second water.")
@click.option("--chloride", nargs=2, metavar="'80 mg/L' '1 mg/L'", help="Of the first and of the second water.")
@amount_option("--share", SHARE, "How much of the mix is the second water. Default: what the rulebook's limits take.")
@book_option
@job
def two_waters(
    hardness: tuple[str, str] | None, chloride: tuple[str, str] | None, share: Measure | None, book: str
) -> Page:
    """What two waters make together, or how much of the second it takes to be good.

    Example:  diagnose mix two-waters --hardness '300 mg/L' '0 mg/L' --chloride '80 mg/L' '1 mg/L'
    """
    limits = water_limits(open_book(book))
    first: dict[str, float] = {}
    second: dict[str, float] = {}
    for name, pair in (("hardness", hardness), ("chloride", chloride)):
        if pair is not None:
            first[name], second[name] = (_in_mg(read_amount(text, METAL, f"--{name}"), name).value for text in pair)
    if not first:
        raise Refused("there is nothing to mix: give --hardness or --chloride of both waters")
    if share is not None:
        part = share.value / 100
    else:
        judged = [limit for limit in limits if limit.name in first]
        if not judged:
            raise Refused(f"the rulebook has no limit for {listed(first)}: give --share")
        part = max(share_needed(first[limit.name], second[limit.name], limit.good) for limit in judged)
        part = ceil(100 * part - 1e-9) / 100  # whole percent can be poured
    result = blend(first, second, part)
    fit = judge(result.values, [limit for limit in limits if limit.name in result.values])
    lead = f"{100 * part:g} % of the second water"
    lead = lead if share else f"It takes at least {lead}"
    answer = [f"{lead}: {listed(f'{name} {shown(value)}' for name, value in result.values.items())}.", *_answer(fit)]
    return Page(answer, [("", (*result.steps, *fit.steps))], result, ["Deionised or distilled water is the sure way."])


def _answer(result: WaterFit) -> list[str]:
    words: dict[Fitness, str] = {
        "good": "Fit",
        "borderline": "Above the stricter limits in print, under the looser: better not",
        "unfit": "NOT FIT",
        "can't tell": "The figures can't tell whether it is fit",
    }
    rest = f" Not measured: {listed(result.not_measured)}." if result.not_measured else ""
    return [f"{words[result.fitness]}.{rest}", *(f"- {_judged(one)}." for one in result.judged)]


def _judged(one: Judged) -> str:
    limit = one.limit
    return (
        f"{one.name} {shown(one.value)}: {one.fitness}; good up to {limit.good:g},"
        f" unfit from {limit.limit:g} {limit.unit}"
    )


def _notes(result: WaterFit, values: dict[str, Measure]) -> list[str]:
    notes = []
    if "hardness" in values:
        value = values["hardness"].value
        units = [f"{convert(value, 'mg/L', unit):.4g} {unit}" for unit in HARDNESS_UNITS]
        notes.append(f"The hardness as CaCO3: {' = '.join(units)}.")
    sources = [one.limit.source for one in result.judged if one.limit.source]
    for source in dict.fromkeys(sources):
        names = listed(one.name for one in result.judged if one.limit.source == source)
        notes.append(f"The limits for {names} come from: {source}.")
    if result.fitness != "good":
        notes.append("Use deionised or distilled water, also for flushing, or a ready-made mixture.")
    return notes


def _of_metals(calcium: Measure | None, magnesium: Measure | None) -> Step:
    parts = []
    for name, metal in (("--calcium", calcium), ("--magnesium", magnesium)):
        if metal is not None and metal.unit != "mg/L":
            raise Refused(f"{name}: the metal itself is counted in mg/L, not in {metal.unit}, which counts CaCO3")
        parts.append(metal.value if metal else 0.0)
    formula = f"2.497 x {figure(parts[0])} + 4.118 x {figure(parts[1])}"
    return Step("hardness from calcium and magnesium", formula, exactly(hardness_of(*parts), "mg/L"))


def _in_mg(value: Measure, name: str) -> Measure:
    if name != "hardness" and value.unit not in SALT_UNITS:
        raise Impossible(f"{value.unit} counts hardness as CaCO3, not {name}: write it in mg/L or gpg")
    return to(value, "mg/L")


def _figure(text: str) -> tuple[str, Measure]:
    name, _, value = text.strip().partition(" ")
    return name, read_amount(value, MINERAL, f"--other {name}")


def _limit(text: str) -> Limit:
    name, _, value = text.strip().partition(" ")
    measure = _in_mg(read_amount(value, MINERAL, f"--limit {name}"), name)
    return Limit(name, measure.low, measure.high, "mg/L", "given with --limit")
