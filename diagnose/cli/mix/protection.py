"""`diagnose mix protection`."""

from __future__ import annotations

import click

from diagnose.cli.mix.amounts import DIFFERENCE, MIXTURE, TEMPERATURE, amount_option, one
from diagnose.cli.mix.mixture import as_volume, by_option, glycol_option
from diagnose.cli.mix.page import Page, both_degrees, job, shown, to_spare
from diagnose.cli.mix.positions import book_option, frost_margin, good_range, open_book
from diagnose.fluid.composition import mass_percent
from diagnose.fluid.density import density
from diagnose.fluid.measure import Measure
from diagnose.fluid.protection import Protection, protect
from diagnose.fluid.refraction import brix, refractive_index
from diagnose.fluid.units import convert_difference


@click.command()
@amount_option("--mixture", MIXTURE, "By volume, by mass, as a freezing point, in Brix or nD.", required=True)
@amount_option("--coldest", TEMPERATURE, "The coldest night that is expected.")
@amount_option("--margin", DIFFERENCE, "How far the freezing point is to lie under it. Default: the rulebook's.")
@glycol_option
@by_option
@book_option
@job
def protection(
    mixture: Measure, coldest: Measure | None, margin: Measure | None, glycol: str, by: str, book: str
) -> Page:
    """What a mixture protects against, and whether that is enough for the coldest night.

    Example:  diagnose mix protection --mixture '44 %' --coldest '-28 degC'
    """
    opened = open_book(book)
    wanted = convert_difference(margin.value, margin.unit, "K") if margin else frost_margin(opened)
    good = good_range(opened)
    share = as_volume(mixture, glycol, by)
    result = protect(share, glycol, one(coldest, "degC") if coldest else None, wanted, good)
    answer = [
        f"{shown(share)} {glycol} glycol freezes at {both_degrees(result.freezing)},"
        f" between {result.freezing.low:.1f} and {result.freezing.high:.1f} degC."
    ]
    if coldest is not None:
        answer.append(_against_the_cold(result))
    if result.in_range is not None and good is not None:
        answer.append(_in_range(result, good))
    mass = mass_percent(share.value, glycol)
    index = refractive_index(mass, glycol)
    notes = [
        f"At 20 degC this mixture has {mass:.1f} mass %, {density(mass, glycol):.4f} g/mL without inhibitors,"
        f" index {index:.4f} and {brix(index):.1f} Brix.",
        "Freezing points follow ASHRAE's volume scale, which the trade uses; other handbooks differ by up to 2.9 K.",
    ]
    return Page(answer, [("", result.steps)], result, notes)


def _against_the_cold(result: Protection) -> str:
    assert result.margin is not None
    assert result.coldest is not None
    night = f"a night of {both_degrees(Measure(result.coldest, result.coldest, result.coldest, 'degC'))}"
    spare = f"{to_spare(result.margin)}, {result.wanted_margin:g} K wanted"
    if result.needed is None:
        need = "No mixture on the scale keeps that margin."
    else:
        need = f"It takes {result.needed:.1f} vol %."
    if result.verdict == "enough":
        return f"Enough for {night}: {spare}."
    if result.verdict == "not enough":
        return f"NOT ENOUGH for {night}: {spare}. {need}"
    return f"The reading can't tell whether it is enough for {night}: {spare}. {need}"


def _in_range(result: Protection, good: tuple[float, float]) -> str:
    span = f"{good[0]:g} to {good[1]:g} vol %"
    if result.in_range == "outside":
        return f"It lies outside {span}."
    if result.in_range == "can't tell":
        return f"The reading can't tell whether it lies within {span}."
    if result.verdict in (None, "enough"):
        return f"It lies within {span}: acceptable."
    return f"It lies within {span}, and is not acceptable all the same: the climate comes first."
