"""`diagnose mix boiling`."""

from __future__ import annotations

import click

from diagnose.cli.mix.amounts import DIFFERENCE, HEIGHT, MIXTURE, PRESSURE, TEMPERATURE, amount_option, one, to
from diagnose.cli.mix.mixture import as_volume, by_option, glycol_option
from diagnose.cli.mix.page import Page, both_degrees, job, shown, to_spare
from diagnose.cli.mix.positions import book_option, open_book, opening_cautions, position_option
from diagnose.fluid.boiling import boil
from diagnose.fluid.measure import Measure, exactly
from diagnose.fluid.units import convert_difference


@click.command()
@amount_option("--mixture", MIXTURE, "By volume, by mass, as a freezing point, in Brix or nD.", required=True)
@amount_option("--cap", PRESSURE, "What the cap holds over the air outside.", default="0 kPa")
@amount_option("--altitude", HEIGHT, "Height above the sea.", default="0 m")
@amount_option("--highest", TEMPERATURE, "The highest temperature the coolant reaches.")
@position_option("--margin", DIFFERENCE, "How far it is to stay under the boiling point.", "boiling_margin")
@glycol_option
@by_option
@book_option
@job
def boiling(
    mixture: Measure,
    cap: Measure,
    altitude: Measure,
    highest: Measure | None,
    margin: Measure,
    glycol: str,
    by: str,
    book: str,
) -> Page:
    """Where a mixture boils, in the open and under its cap.

    Example:  diagnose mix boiling --mixture '50 %' --cap '15 psi' --altitude '1000 m' --highest '112 degC'
    """
    share = as_volume(mixture, glycol, by)
    held = to(cap, "kPa")
    result = boil(share, glycol, held, one(altitude, "m"), one(highest, "degC") if highest else None)
    answer = [f"{shown(share)} {glycol} glycol boils in the open at {both_degrees(result.open)}."]
    if held.high > 0:
        answer.append(f"Under a cap that holds {shown(held)} it boils at {both_degrees(result.capped)}.")
    if result.margin is not None and result.highest is not None:
        wanted = convert_difference(margin.value, margin.unit, "K")
        hot = both_degrees(exactly(result.highest, "degC"))
        verdict = "Enough" if result.margin.low >= wanted else "NOT ENOUGH"
        if result.margin.low < wanted <= result.margin.high:
            verdict = "The reading can't tell whether it is enough"
        answer.append(f"{verdict} for {hot}: {to_spare(result.margin)}, {wanted:g} K wanted.")
    notes = ["This is the liquid alone: a weak cap or trapped air takes the gain away, and hot spots boil earlier."]
    return Page(answer, [("", result.steps)], result, notes, opening_cautions(open_book(book)))
