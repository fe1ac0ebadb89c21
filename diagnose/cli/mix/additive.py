"""`diagnose mix additive`."""

from __future__ import annotations

import click

from diagnose.cli.mix.amounts import VOLUME, amount_option
from diagnose.cli.mix.page import Page, job
from diagnose.cli.mix.positions import all_cautions, book_option, open_book
from diagnose.fluid.additive import additive_charge
from diagnose.fluid.measure import Measure


@click.command()
@amount_option("--volume", VOLUME, "What the whole system holds.", required=True)
@click.option("--measured", type=float, required=True, metavar="1.5", help="Units in each L, qt or gal, by the strip.")
@click.option("--wanted", type=float, required=True, metavar="2.3", help="Units in each that the maker wants.")
@book_option
@job
def additive(volume: Measure, measured: float, wanted: float, book: str) -> Page:
    """Heavy-duty coolant: how many units of supplemental additive to pour in.

    Example:  diagnose mix additive --volume '13 gal' --measured 1.5 --wanted 2.3
    """
    result = additive_charge(volume.value, volume.unit, measured, wanted)
    answer = [f"{result.units} units of additive for {volume.value:g} {volume.unit}, {result.exact:.3g} exactly."]
    notes = [
        "Only for coolant that needs supplemental additive; too much of it drops out, gels and wears the pump seal.",
        "Count what a charged filter brings as well.",
    ]
    return Page(answer, [("", result.steps)], result, notes, all_cautions(open_book(book)))
