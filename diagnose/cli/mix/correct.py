"""`diagnose mix correct`."""

from __future__ import annotations

import click

from diagnose.cli.mix.amounts import MIXTURE, SHARE, TEMPERATURE, VOLUME, VOLUME_RANGE, amount_option, one
from diagnose.cli.mix.containers import container_options, containers_in, measured_in
from diagnose.cli.mix.mixture import as_volume, by_option, glycol_option
from diagnose.cli.mix.page import Page, amount, both_degrees, first_upper, job, listed, shown, to_spare
from diagnose.cli.mix.positions import all_cautions, book_option, frost_margin, good_range, open_book, position_option
from diagnose.fluid.correction import Correction, Rounding, Way
from diagnose.fluid.correction import correct as correct_mixture
from diagnose.fluid.fluids import WATER, Fluid, Portion, concentrate
from diagnose.fluid.fluids import premix as premix_of
from diagnose.fluid.freezing import BeyondScale
from diagnose.fluid.impossible import Impossible
from diagnose.fluid.measure import Measure
from diagnose.fluid.protection import protect
from diagnose.rulebook.model import Book

ADD = click.Choice(["any", "concentrate", "premix", "water"])


@click.command()
@amount_option("--volume", VOLUME_RANGE, "What the whole system holds.", required=True)
@amount_option("--now", MIXTURE, "The mixture as it is.", required=True)
@position_option("--want", SHARE, "The mixture that is wanted.", "target")
@amount_option("--low", VOLUME, "How much is missing to the mark; topped up first.", like="1 L")
@click.option(
    "--add", type=ADD, default="any", show_default=True, help="What to add; 'any' shows all ways side by side."
)
@position_option("--water-in-concentrate", SHARE, "The most water the concentrate may hold.", "water_in_concentrate")
@position_option("--premix", SHARE, "What the ready-made mixture is labelled.", "premix")
@amount_option("--coldest", TEMPERATURE, "The coldest night, to see whether the result is enough for it.")
@container_options
@glycol_option
@by_option
@book_option
@job
def correct(
    volume: Measure,
    now: Measure,
    want: Measure,
    low: Measure | None,
    add: str,
    water_in_concentrate: Measure,
    premix: Measure,
    coldest: Measure | None,
    measure: Measure | None,
    jug: tuple[Measure, ...],
    glycol: str,
    by: str,
    book: str,
) -> Page:
    """How much to drain and what to add so that the mixture comes right.

    A low system is topped up first and drained only where that can't reach the target.

    Example:  diagnose mix correct --volume '9 L' --now '35 %' --want '50 %' --add concentrate
    """
    opened = open_book(book)
    unit = volume.unit
    present = as_volume(now, glycol, by)
    rounding = Rounding(measured_in(measure, unit, opened), containers_in(jug, unit, opened))
    missing = one(low, unit) if low else 0.0
    fluids = _fluids(add, water_in_concentrate.value, premix.value)
    result = correct_mixture(volume, present, want.value, missing, fluids, rounding)
    if present.value == result.want and not missing:
        says = f"Nothing to do: {shown(present)} in {volume.value:g} {unit} is what is wanted."
        return Page([says], [], result)
    best = result.best
    if best is None:
        raise Impossible("; ".join(way.because for way in result.ways))
    answer = [f"From {shown(present)} to {want.value:g} vol % in {volume.value:g} {unit}:"]
    answer += [_way(result, way, way is best) for way in _different(result)]
    notes = _notes(result, best, opened, glycol, one(coldest, "degC") if coldest else None)
    steps = [(way.name, way.steps) for way in _different(result) if way.possible]
    return Page(answer, steps, result, notes, all_cautions(opened))


def _fluids(add: str, water: float, label: float) -> tuple[Fluid, ...]:
    all_ways = {"concentrate": concentrate(water), "premix": premix_of(label, water), "water": WATER}
    return tuple(all_ways.values()) if add == "any" else (all_ways[add],)


def _different(result: Correction) -> list[Way]:
    """Ways that pour in the same amounts are told once."""
    told: list[Way] = []
    for way in result.ways:
        if not any(way.possible and way.add == other.add and way.drain == other.drain for other in told):
            told.append(way)
    return told


def _way(result: Correction, way: Way, best: bool) -> str:
    if not way.possible or way.result is None:
        return f"- {way.because}."
    drain = f"drain {amount(way.drain, result.unit)}, " if way.drain else "drain nothing, "
    portions = listed(poured(portion, result.unit) for portion in way.add)
    several = sum(other.possible for other in result.ways) > 1
    mark = ", least to drain" if best and several else ""
    return f"- {first_upper(way.name)}{mark}: {drain}add {portions}; then {shown(way.result)}."


def poured(portion: Portion, unit: str) -> str:
    """'2.50 L of concentrate (buy 3 x 1 L)'."""
    text = f"{amount(portion.amount, unit)} of {portion.fluid}"
    if portion.containers:
        text += f" (buy {listed(f'{count} x {size:g} {unit}' for size, count in portion.containers)})"
    return text


def _notes(result: Correction, best: Way, book: Book, glycol: str, coldest: float | None) -> list[str]:
    first = "Drain first, then add" if best.drain else "Top up"
    notes = [
        f"{first}, run it warm with the heater on so that it mixes, let it cool and read it again.",
        "The interval holds the reading's doubt and what concentrate and premix may really contain.",
    ]
    if best.drain:
        notes.append(f"Collect the {amount(best.drain, result.unit)} drained: it is waste.")
    after = best.result
    good = good_range(book)
    if after is not None and good is not None and not (good[0] <= after.low and after.high <= good[1]):
        notes.append(f"Afterwards it may still lie outside {good[0]:g} to {good[1]:g} vol %.")
    if after is not None and coldest is not None:
        try:
            cold = protect(after, glycol, coldest, frost_margin(book))
        except BeyondScale as error:
            return [*notes, f"{error}."]
        assert cold.margin is not None
        word = {"enough": "enough", "not enough": "NOT enough", "can't tell": "perhaps not enough"}[str(cold.verdict)]
        notes.append(
            f"Afterwards it freezes at {both_degrees(cold.freezing)}: {word} for {coldest:g} degC;"
            f" {to_spare(cold.margin)}, {cold.wanted_margin:g} K wanted."
        )
    return notes
