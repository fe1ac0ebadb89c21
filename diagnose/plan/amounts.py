"""Amounts as a technician says them: no more figures than the reading behind them is worth."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.fluid.fluids import Portion
from diagnose.fluid.measure import Measure
from diagnose.plan.wording import join

_DECIMALS = {"L": 1, "vol %": 1, "%": 1, "degC": 1, "K": 1, "kPa": 0, "m": 0}
_PRINTED = {"vol %": "%"}


def amount(value: float, unit: str, decimals: int | None = None) -> str:
    """'2.5 L', '50 %', '-24.9 degC'; a whole number without a decimal point."""
    return f"{number(value, _DECIMALS.get(unit, 2) if decimals is None else decimals)} {_PRINTED.get(unit, unit)}"


def number(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def between(measure: Measure, decimals: int | None = None) -> str:
    """'50.2 % (48.9 to 51.6)'; without the brackets where both ends read like the value."""
    places = _DECIMALS.get(measure.unit, 2) if decimals is None else decimals
    low, high = number(measure.low, places), number(measure.high, places)
    said = amount(measure.value, measure.unit, places)
    return said if low == high else f"{said} ({low} to {high})"


def poured(portions: Iterable[Portion], unit: str, decimals: int | None = None) -> str:
    """'2.5 L of concentrate (buy 3 x 1 L) and 1.2 L of water'."""
    return join([_poured(portion, unit, decimals) for portion in portions])


def bought(containers: Iterable[tuple[float, int]], unit: str) -> str:
    """' (buy 3 x 1 L)', or '' where there is nothing to buy."""
    told = join([f"{count} x {size:g} {unit}" for size, count in containers])
    return f" (buy {told})" if told else ""


def _poured(portion: Portion, unit: str, decimals: int | None) -> str:
    name = "deionised water" if portion.fluid == "water" else portion.fluid
    return f"{amount(portion.amount, unit, decimals)} of {name}{bought(portion.containers, unit)}"
