"""`diagnose mix refractometer`, `hydrometer` and `gauges`."""

from __future__ import annotations

import click

from diagnose.cli.mix.amounts import Refused, Wanted, amount_option, to
from diagnose.cli.mix.page import Page, both_degrees, first_upper, job, shown
from diagnose.cli.mix.positions import book_option, open_book, opening_cautions
from diagnose.fluid.freezing import TOP_OF_SCALE, BeyondScale
from diagnose.fluid.gauges import compare
from diagnose.fluid.hydrometer import read_hydrometer
from diagnose.fluid.measure import Measure
from diagnose.fluid.refractometer import OnScale, Refracted, RefractometerReading, read_refractometer
from diagnose.fluid.units import kind

OPTICAL = Wanted(("temperature", "share by volume", "Brix scale", "refractive index", "density"), "-29 degC")
FLOAT = Wanted(("density", "temperature", "share by volume"), "1.062 SG")
SAMPLE = Wanted(("temperature",), "20 degC")
SCALE = click.Choice(["ethylene", "propylene", "acid"])
GLYCOL = click.Choice(["ethylene", "propylene", "mixed", "unknown"])


@click.command()
@amount_option("--reads", OPTICAL, "What it shows: degC, degF, %, Brix, nD, or SG on the acid scale.", required=True)
@click.option("--scale", type=SCALE, default="ethylene", show_default=True, help="The scale that was read.")
@click.option("--glycol", type=GLYCOL, default="unknown", show_default=True, help="The glycol in the coolant.")
@amount_option("--temperature", SAMPLE, "Of sample and prism.", default="20 degC")
@click.option("--compensated/--not-compensated", default=True, show_default=True,
              help="Whether the instrument corrects for temperature by itself (10 to 30 degC).")  # fmt: skip
@amount_option("--water-reads", OPTICAL, "What deionised water shows on it, at the same temperature.")
@book_option
@job
def refractometer(
    reads: Measure,
    scale: str,
    glycol: str,
    temperature: Measure,
    compensated: bool,
    water_reads: Measure | None,
    book: str,
) -> Page:
    """What a refractometer's reading really says, for the glycol in the coolant and for the other one.

    Example:  diagnose mix refractometer --reads '-29 degC' --water-reads '-2 degC' --temperature '35 degC'
    """
    shows = _on_scale(reads, scale, "--reads")
    water = _on_scale(water_reads, scale, "--water-reads") if water_reads else None
    known = "" if glycol == "unknown" else glycol
    result = read_refractometer(shows, to(temperature, "degC").value, compensated, water, glycol=known)
    told = known or shows.scale
    other = "propylene" if told == "ethylene" else "ethylene"
    answer = [_means(result, told, bool(known)), _means(result, other, False)]
    notes = []
    if water is None:
        notes.append("The zero was not checked: put deionised water on the prism first; it must show 0.")
    if not known:
        notes.append("Which glycol it is, the refractometer can't tell: look at the jug, or compare with a hydrometer.")
    elif known != shows.scale and scale != "acid":
        notes.append(f"The {shows.scale} scale was read on {known} glycol: only the corrected value counts.")
    if scale == "acid":
        notes.append("The battery-acid scale was read. Wipe the prism: acid on it spoils the next coolant reading.")
    notes.append("A refractometer reads glycol and water only: alcohol, salts and oil deceive it.")
    return Page(answer, [("", result.steps)], result, notes, opening_cautions(open_book(book)))


@click.command()
@amount_option("--reads", FLOAT, "What the float shows: SG, degC, degF or %.", required=True)
@amount_option("--temperature", SAMPLE, "Of the sample.", default="20 degC")
@amount_option("--made-for", SAMPLE, "The temperature its scale is made for.", default="20 degC")
@click.option("--glycol", type=GLYCOL, default="ethylene", show_default=True, help="The glycol in the coolant.")
@book_option
@job
def hydrometer(reads: Measure, temperature: Measure, made_for: Measure, glycol: str, book: str) -> Page:
    """What a hydrometer's reading really says at the sample's temperature.

    Example:  diagnose mix hydrometer --reads '-25 degC' --temperature '45 degC'
    """
    read = to(reads, _metric(reads.unit))
    sample, made = to(temperature, "degC").value, to(made_for, "degC").value
    kind_of = "ethylene" if glycol == "unknown" else glycol
    result = read_hydrometer(read.value, read.unit, sample, made, kind_of)
    answer = [
        f"{shown(result.mixture)} ethylene glycol, freezing at {both_degrees(result.freezing)},"
        f" between {result.freezing.low:.1f} and {result.freezing.high:.1f} degC."
    ]
    if result.beyond:
        answer.append(f"{first_upper(result.beyond)}.")
    notes = ["A hydrometer is good to 4.4 degC; a refractometer is good to 1 degC and needs a few drops only."]
    if glycol == "unknown":
        notes.append("This holds for ethylene glycol only; a hydrometer cannot read propylene.")
    return Page(answer, [("", result.steps)], result, notes, opening_cautions(open_book(book)))


@click.command()
@amount_option("--refractometer", OPTICAL, "What the refractometer shows.", required=True, dest="light")
@amount_option("--hydrometer", FLOAT, "What the hydrometer shows.", required=True, dest="weight")
@click.option(
    "--scale", type=SCALE, default="ethylene", show_default=True, help="The refractometer's scale that was read."
)
@amount_option("--temperature", SAMPLE, "Of the sample, for both.", default="20 degC")
@click.option("--compensated/--not-compensated", default=True, show_default=True, help="Whether the refractometer is.")
@book_option
@job
def gauges(light: Measure, weight: Measure, scale: str, temperature: Measure, compensated: bool, book: str) -> Page:
    """What refractometer and hydrometer, on one sample, say about the glycol.

    Example:  diagnose mix gauges --refractometer '-42 degC' --hydrometer '-16 degC'
    """
    sample = to(temperature, "degC").value
    optical = read_refractometer(_on_scale(light, scale, "--refractometer"), sample, compensated)
    read = to(weight, _metric(weight.unit))
    weighed = read_hydrometer(read.value, read.unit, sample)
    result = compare(_as_ethylene(optical), weighed.mixture)
    words = {
        "agree": "The two agree within what they can tell.",
        "hydrometer_weaker": "The hydrometer reads weaker than the refractometer.",
        "hydrometer_stronger": "The hydrometer reads stronger than the refractometer.",
    }
    answer = [words[result.agreement], f"{first_upper(result.says)}."]
    if result.propylene is not None:
        share = result.propylene
        low, middle, high = (f"{100 * end:.0f}" for end in (share.low, share.value, share.high))
        answer.append(f"Propylene's share of the glycol: {low} to {high} %, {middle} % in the middle.")
    steps = [("refractometer", optical.steps), ("hydrometer", weighed.steps), ("together", result.steps)]
    notes = ["Mixed glycols are reckoned as parts that add up; no table at hand checks that."]
    return Page(answer, steps, result, notes, opening_cautions(open_book(book)))


def _on_scale(read: Measure, scale: str, name: str) -> OnScale:
    is_density = kind(read.unit) == "density"
    if is_density != (scale == "acid"):
        if is_density:
            raise Refused(
                f"{name}: a relative density stands on the battery-acid scale only; add --scale acid if it was read"
            )
        raise Refused(f"{name}: the battery-acid scale shows a relative density, such as '1.25 SG', not {read.unit}")
    made_for = "ethylene" if scale == "acid" else scale
    converted = to(read, _metric(read.unit))
    return OnScale(converted.value, converted.unit, made_for)


def _metric(unit: str) -> str:
    return {"temperature": "degC", "share by volume": "vol %"}.get(kind(unit), unit)


def _means(result: RefractometerReading, glycol: str, known: bool) -> str:
    found: Refracted = result.of(glycol)
    lead = f"It is {glycol} glycol" if known else f"If it is {glycol} glycol"
    if found.mixture is None or found.freezing is None:
        return f"{lead}: {found.beyond.removeprefix(f'as {glycol} glycol it is ')}."
    tail = f"; {found.beyond}" if found.beyond else ""
    return (
        f"{lead}: {shown(found.mixture)}, freezing at {both_degrees(found.freezing)},"
        f" between {found.freezing.low:.1f} and {found.freezing.high:.1f} degC{tail}."
    )


def _as_ethylene(optical: RefractometerReading) -> Measure:
    """The index as vol % on the ethylene scale, which the comparison works on."""
    found = optical.as_ethylene.mixture
    if found is not None:
        return found
    raise BeyondScale(
        f"an index of {optical.index.value:.4f} is more than {TOP_OF_SCALE:g} vol % has on the ethylene scale,"
        " so the two can't be compared:"
        " thin the sample with as much deionised water and read both again"
    )
