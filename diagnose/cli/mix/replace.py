"""`diagnose mix replace` and `fill`."""

from __future__ import annotations

import click

from diagnose.cli.mix.amounts import MIXTURE, SHARE, VOLUME, Refused, Wanted, amount_option, one, to
from diagnose.cli.mix.containers import container_options, containers_in, measured_in
from diagnose.cli.mix.correct import poured
from diagnose.cli.mix.mixture import as_volume, glycol_option, one_glycol
from diagnose.cli.mix.page import Page, amount, both_degrees, first_upper, job, listed, shown
from diagnose.cli.mix.positions import all_cautions, book_option, good_range, least_fill, open_book, position_option
from diagnose.fluid.fluids import concentrate
from diagnose.fluid.fluids import premix as premix_of
from diagnose.fluid.flushing import accepted, through_flow
from diagnose.fluid.measure import Measure, exactly
from diagnose.fluid.refill import FillPlan
from diagnose.fluid.replacement import Replacement
from diagnose.fluid.replacement import replace as replace_coolant
from diagnose.fluid.units import kind

STAYS = Wanted(("share by volume", "volume"), "35 %", exact=False)
STAYS_SAYS = (
    "What stays inside at each draining: a share or a volume. About 20 % with the block plugs out, half without."
)


@click.command()
@amount_option("--volume", VOLUME, "What the whole system holds.", required=True)
@amount_option("--stays", STAYS, STAYS_SAYS, required=True)
@amount_option("--now", MIXTURE, "The mixture of the old coolant.", default="50 %")
@position_option("--want", SHARE, "The mixture that is wanted.", "target")
@position_option("--old", SHARE, "How much of the old coolant may be left at the end.", "most_old")
@position_option("--water-in-concentrate", SHARE, "The most water the concentrate may hold.", "water_in_concentrate")
@position_option("--premix", SHARE, "What the ready-made mixture is labelled.", "premix")
@container_options
@glycol_option
@book_option
@job
def replace(
    volume: Measure,
    stays: Measure,
    now: Measure,
    want: Measure,
    old: Measure,
    water_in_concentrate: Measure,
    premix: Measure,
    measure: Measure | None,
    jug: tuple[Measure, ...],
    glycol: str,
    book: str,
) -> Page:
    """Drain, flush and fill: how often, how much of everything, and in which order.

    Example:  diagnose mix replace --volume '10 L' --stays '35 %' --now '40 %' --want '50 %' --old '5 %'
    """
    opened = open_book(book)
    unit = volume.unit
    before = as_volume(now, one_glycol(glycol), "exact")
    result = replace_coolant(
        volume.value,
        unit,
        _retained(stays, volume),
        before.value,
        want.value,
        glycol,
        old.value / 100,
        concentrate(water_in_concentrate.value),
        premix_of(premix.value, water_in_concentrate.value),
        measured_in(measure, unit, opened),
        containers_in(jug, unit, opened),
    )
    answer = [
        f"{shown(result.stays)} of {volume.value:g} {unit} stay inside at each draining:"
        f" {_drains(result.concentrate_first.drains)} until at most {old.value:g} % of the old coolant is left"
        f" ({shown(result.concentrate_first.old)})."
    ]
    plans = [result.concentrate_first, result.premix_after_flush]
    if result.premix_only.drains > 1:  # with one drain it is the same as the one before
        plans.append(result.premix_only)
    answer += [_plan(result, plan, good_range(opened)) for plan in plans]
    steps = [("draining and flushing", result.steps), *((plan.name, plan.steps) for plan in plans)]
    return Page(answer, steps, result, _notes(result, old.value), all_cautions(opened))


@click.command()
@amount_option("--volume", VOLUME, "What the whole system holds.", required=True)
@amount_option("--stays", STAYS, STAYS_SAYS, required=True)
@amount_option("--taken", VOLUME, "What went in until it was full.", required=True)
@book_option
@job
def fill(volume: Measure, stays: Measure, taken: Measure, book: str) -> Page:
    """Whether a drained system took what it should, or air is trapped.

    Example:  diagnose mix fill --volume '10 L' --stays '20..35 %' --taken '5.5 L'
    """
    opened = open_book(book)
    unit = volume.unit
    result = accepted(volume.value, unit, _retained(stays, volume), one(taken, unit))
    answer = [f"It took {amount(result.taken, unit)} of the {shown(result.expected)} expected: {shown(result.share)}."]
    if result.missing.low > 0.0:
        answer.append(f"{shown(result.missing)} are missing: air, unless less drained out than was thought.")
    elif result.missing.high < 0.0:
        answer.append("More went in than drained out: more came out than was thought, or the capacity is wrong.")
    else:
        answer.append("That fits what may have drained out.")
    least = least_fill(opened)
    if least is not None:
        share = result.filled
        word = "full" if share.low >= 100 * least else "SHORT" if share.high < 100 * least else "perhaps short"
        answer.append(f"With what had stayed, {shown(share)} of the capacity: {word}; full from {100 * least:g} %.")
    notes = ["Bleed with the heater on, let it cool, and look at the level again before the car goes out."]
    return Page(answer, [("", result.steps)], result, notes, all_cautions(opened))


def _retained(stays: Measure, volume: Measure) -> Measure:
    """The share from 0 to 1 that stays inside."""
    if kind(stays.unit) == "volume":
        share = to(stays, volume.unit).through(lambda v: v / volume.value if volume.value else 0.0, "")
    else:
        share = stays.through(lambda percent: percent / 100, "")
    if not 0.0 <= share.low <= share.high < 1.0:
        raise Refused("--stays: what stays inside must be 0 or more, and less than the whole system")
    return share


def _drains(count: int) -> str:
    return "drain and fill once" if count == 1 else f"drain and fill {count} times"


def _plan(result: Replacement, plan: FillPlan, good: tuple[float, float] | None) -> str:
    unit = result.unit
    name = first_upper(plan.name)
    if not plan.possible or plan.result is None:
        return f"- {name}: can't be done; {plan.because}."
    portions = listed(poured(portion, unit) for portion in plan.fill)
    warn = ""
    if good is not None and not good[0] <= plan.result.value <= good[1]:
        warn = f"; WRONG: outside {good[0]:g} to {good[1]:g} vol %"
    elif plan.result.high < result.want - 1.0:
        warn = f"; short of the {result.want:g} % wanted"
    water = f" {amount(plan.water, unit)} of water in all." if plan.water else ""
    return f"- {name}: fill {portions}; ends at {shown(plan.result)}{warn}.{water} Waste: {amount(plan.waste, unit)}."


def _notes(result: Replacement, old: float) -> list[str]:
    until = exactly(result.flush_until_freezes, "degC")
    reads = f"{result.flush_until:.1f} vol %, freezing at {both_degrees(until)}"
    notes = []
    if result.concentrate_first.drains > 1:
        criterion = f"The flush water is clean enough when the refractometer shows no more than {reads}."
        if not result.readable:
            criterion += " That is too near to water for a refractometer: go by the count of fills."
        notes.append(criterion)
        notes.append(
            "Run each fill warm with the heater on, so that block and heater are flushed too, and let it cool."
        )
        flow = through_flow(old / 100) * result.capacity
        notes.append(f"With water running through instead, {amount(flow, result.unit)} at best leave {old:g} %.")
    notes.append("Flush with deionised water, and leave no plain water in the system in frost.")
    notes.append("The water that stays inside thins a ready-made mixture; concentrate first, then water to the mark.")
    return notes
