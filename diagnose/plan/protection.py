"""What the mixture protects against: frost and boiling, each with its margin."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from diagnose.fluid.boiling import Boiling, boil
from diagnose.fluid.freezing import BEYOND, TOP_OF_SCALE
from diagnose.fluid.measure import Measure
from diagnose.fluid.protection import Protection, protect
from diagnose.plan.amounts import amount, between
from diagnose.plan.known import WIDEST, Known
from diagnose.plan.wording import first_lower

COLDEST, HIGHEST, ALTITUDE = "coldest_expected", "highest_temperature", "altitude"
CAP_DEMANDED, CAP_PRESSURE = "cap_demanded", "cap_pressure"


def frost(known: Known) -> tuple[Protection, ...]:
    """Protection for each glycol that it may be; nothing where the mixture is not known or beyond the scale."""
    coldest = known.measure(COLDEST, "degC")
    night = coldest.low if coldest is not None else None
    return tuple(
        protect(mixture, glycol, night, known.frost_margin, known.good)
        for glycol, mixture in known.each.items()
        if mixture.value <= TOP_OF_SCALE
    )


def boiling(known: Known) -> tuple[Boiling, ...]:
    """Boiling under the cap that the maker demands; nothing where that, or the mixture, is not known."""
    cap = known.measure(CAP_DEMANDED, "kPa")
    if cap is None:
        return ()
    highest = known.measure(HIGHEST, "degC")
    hot = highest.high if highest is not None else None
    return tuple(
        boil(on_scale(mixture), glycol, cap, _height(known) or 0.0, hot)
        for glycol, mixture in known.each.items()
        if mixture.value <= TOP_OF_SCALE
    )


def on_scale(mixture: Measure) -> Measure:
    """The mixture with what lies beyond 60 vol % cut off."""
    value, low, high = (min(end, TOP_OF_SCALE) for end in (mixture.value, mixture.low, mixture.high))
    return Measure(value, low, high, "vol %")


def say_protection(known: Known, frosts: tuple[Protection, ...], boilings: tuple[Boiling, ...]) -> Iterator[str]:
    """The sentences of the work-up."""
    if known.mixture is None:
        yield known.why_not
        return
    if not frosts:
        open_ended = known.mixture.high - known.mixture.low > WIDEST
        what = "The mixture" if open_ended else amount(known.mixture.value, "vol %", 0)
        yield f"{what} is {BEYOND}. No frost protection is reckoned for it."
        return
    for each in frosts:
        yield _led(each.glycol, known, _frost(each))
    for one in boilings:
        yield _led(one.glycol, known, _boils(one, known))
    if len(known.each) < len(known.glycols):
        yield "If it is propylene glycol, a hydrometer says nothing of it."
    if known.glycol_assumed and len(known.glycols) == 1:
        yield f"Reckoned for {known.glycols[0]} glycol, since nobody said which it is."
    if known.doubt:
        yield known.doubt


def outdoors(frosts: tuple[Protection, ...]) -> str:
    """Where the car may not stand in frost, for the glycol that protects least of those that it may be; else ''."""
    short = [each for each in frosts if each.verdict not in (None, "enough")]
    if not short:
        return ""
    worst = max(short, key=lambda each: each.freezing.value)
    assert worst.margin is not None
    assert worst.coldest is not None
    told = f"it protects to {amount(worst.freezing.value, 'degC')}, and {amount(worst.coldest, 'degC')} may come"
    if worst.margin.value < 0.0:
        spare = ""
    else:
        spare = ", so little is to spare" if worst.verdict == "not enough" else ", so it may not be enough"
    return f"Keep it out of the frost until the mixture is right: {told}{spare}."


def _led(glycol: str, known: Known, says: str) -> str:
    return says if len(known.glycols) == 1 else f"If it is {glycol} glycol, it {first_lower(says)}"


def _frost(found: Protection) -> str:
    says = f"Protects to {between(found.freezing)}"
    if found.mixture.high > TOP_OF_SCALE:
        says += f"; the upper end of the reading is {BEYOND}"
    if found.margin is None or found.coldest is None:
        return f"{says}; how cold it may get was not told."
    night = f"coldest night expected {amount(found.coldest, 'degC')}"
    return f"{says}; {night}: {_margin(found.margin, found.wanted_margin)}{_needed(found)}."


def _margin(margin: Measure, wanted: float) -> str:
    """'3.1 K too little', '1.5 K to spare, and 5 K are wanted', '9.2 K to spare, enough'."""
    if margin.value < 0.0:
        more = f", and {amount(wanted, 'K')} to spare are wanted" if wanted > 0.0 else ""
        return f"{amount(-margin.value, 'K')} too little{more}"
    spare = f"{between(margin)} to spare"
    if margin.low >= wanted:
        return f"{spare}, enough"
    if margin.high < wanted:
        return f"only {spare}, and {amount(wanted, 'K')} are wanted"
    return f"{spare}, and {amount(wanted, 'K')} are wanted: the reading can't tell whether it is enough"


def _needed(found: Protection) -> str:
    if found.verdict in (None, "enough"):
        return ""
    if found.needed is None:
        return "; no mixture on the scale keeps that margin"
    return f"; it takes {ceil(found.needed)} % or more" if found.needed > found.mixture.value else ""


def _boils(found: Boiling, known: Known) -> str:
    height = _height(known)
    where = f"at {amount(height, 'm')}" if height is not None else "at sea level"
    cap = amount(found.cap.value, "kPa")
    says = f"Boils at {between(found.capped, 0)} under the {cap} that the maker demands, {where}"
    says += f"; open, at {amount(found.open.value, 'degC', 0)}"
    if found.margin is not None and found.highest is not None:
        says += f". Highest temperature seen {amount(found.highest, 'degC', 0)}: {_room(found.margin, known)}"
    tested = known.findings.get(CAP_PRESSURE)
    if tested is not None and tested.status == "known" and tested.quantity.normal not in tested.possible:
        says += ". This cap does not hold that: count on less"
    return f"{says}."


def _room(margin: Measure, known: Known) -> str:
    wanted = known.reckoning.boiling_margin.value
    if margin.value < 0.0:
        return f"{amount(-margin.value, 'K', 0)} above it, so it boiled"
    verdict = "enough" if margin.low >= wanted else f"{amount(wanted, 'K')} are wanted"
    return f"{amount(margin.value, 'K', 0)} to spare, {verdict}"


def _height(known: Known) -> float | None:
    altitude = known.measure(ALTITUDE, "m")
    return altitude.value if altitude is not None else None
