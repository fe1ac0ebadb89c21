"""`diagnose mix loss` and `shrink`."""

from __future__ import annotations

import click

from diagnose.cli.mix.amounts import MIXTURE, TEMPERATURE, VOLUME, Wanted, amount_option, one, to
from diagnose.cli.mix.mixture import as_volume, by_option, glycol_option
from diagnose.cli.mix.page import Page, amount, job, shown
from diagnose.cli.mix.positions import book_option, position_option
from diagnose.fluid.expansion import shrink as shrink_down
from diagnose.fluid.loss import Loss, balance
from diagnose.fluid.measure import Measure

TIME = Wanted(("time",), "5 months")
DISTANCE = Wanted(("length",), "12000 km")


@click.command()
@amount_option("--volume", VOLUME, "What the whole system holds.", required=True)
@amount_option("--before", MIXTURE, "The mixture at the earlier reading.", required=True)
@amount_option("--now", MIXTURE, "The mixture now.", required=True)
@amount_option("--low", VOLUME, "How much is missing to the mark now.", like="1 L")
@amount_option("--over", TIME, "The time between the two readings.")
@amount_option("--distance", DISTANCE, "The distance between the two readings.")
@glycol_option
@by_option
@job
def loss(
    volume: Measure,
    before: Measure,
    now: Measure,
    low: Measure | None,
    over: Measure | None,
    distance: Measure | None,
    glycol: str,
    by: str,
) -> Page:
    """How much coolant got out between two readings, and how fast.

    Coolant does not go away by itself: what got thinner lost coolant and was topped up with water.

    Example:  diagnose mix loss --volume '9 L' --before '50 %' --now '40 %' --over '5 months'
    """
    unit = volume.unit
    miles = "mi" if distance is not None and distance.unit == "mi" else "km"
    result = balance(
        volume.value,
        unit,
        as_volume(before, glycol, by),
        as_volume(now, glycol, by),
        one(low, unit) if low else 0.0,
        one(over, "months") if over else None,
        one(distance, miles) if distance else None,
        miles,
    )
    notes = [
        "Reckoned as if only water was poured in: where coolant was poured in as well, more got out.",
        "Where it went is a question for the pressure test and the eyes, not for arithmetic.",
    ]
    return Page(_answer(result), [("", result.steps)], result, notes)


@click.command()
@amount_option("--volume", VOLUME, "What the whole system holds.", required=True)
@amount_option("--mixture", MIXTURE, "The mixture in it.", default="50 %")
@position_option("--hot", TEMPERATURE, "When the level was right.", "hot")
@position_option("--cold", TEMPERATURE, "When it was looked at again.", "cold")
@amount_option("--drop", VOLUME, "How much was missing then.", like="0.4 L")
@glycol_option
@by_option
@book_option
@job
def shrink(
    volume: Measure,
    mixture: Measure,
    hot: Measure,
    cold: Measure,
    drop: Measure | None,
    glycol: str,
    by: str,
    book: str,
) -> Page:
    """How much the level drops by cooling down alone, before anyone calls it a leak.

    Example:  diagnose mix shrink --volume '9 L' --hot '95 degC' --cold '20 degC' --drop '0.4 L'
    """
    unit = volume.unit
    share = as_volume(mixture, glycol, by)
    missing = one(drop, unit) if drop else None
    result = shrink_down(volume.value, unit, share, glycol, to(hot, "degC").value, to(cold, "degC").value, missing)
    answer = [
        f"Cooling from {result.hot:g} to {result.cold:g} degC alone takes {shown(result.amount)}"
        f" off the level of {volume.value:g} {unit}, that is {shown(result.percent)}."
    ]
    if result.unexplained is not None and result.drop is not None:
        if result.unexplained.low > 0:
            answer.append(f"The drop of {amount(result.drop, unit)} is more: {shown(result.unexplained)} are gone.")
        else:
            answer.append(f"The drop of {amount(result.drop, unit)} is no sign of a leak.")
    notes = ["Read the level cold, at the cold mark: a level read hot hides what is missing."]
    return Page(answer, [("", result.steps)], result, notes)


def _answer(result: Loss) -> list[str]:
    if not result.shown:
        text = (
            f"The two readings agree within their doubt: no loss is shown, and no more than"
            f" {amount(result.lost.high, result.unit)} can have gone."
        )
        return [text]
    answer = [f"{shown(result.lost)} of coolant got out, and {shown(result.water)} of water went in."]
    if result.each_month is not None:
        answer.append(f"That is {shown(result.each_month)} a month.")
    if result.each_thousand is not None:
        answer.append(f"That is {shown(result.each_thousand)} each 1000 {result.distance_unit}.")
    return answer
