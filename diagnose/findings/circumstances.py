"""How a reading was taken - sample temperature, compensation, zero, scale - as numbers the physics can use."""

from __future__ import annotations

from typing import NamedTuple

from diagnose.case.model import Circumstance, Entry
from diagnose.findings.reading import NotUsable, Number, read_number, tidy
from diagnose.fluid.units import convert, find_unit, kind
from diagnose.rulebook.model import Instrument, Method, Quantity
from diagnose.yamlfile import short

_TAKES: dict[Instrument, tuple[str, ...]] = {
    "": (),
    "refractometer": ("sample", "compensated", "zero", "scale"),
    "hydrometer": ("sample",),
}
_READS = ("share by volume", "temperature", "Brix scale", "refractive index", "density")


class Shown(NamedTuple):
    """A value on an instrument: `unit` is vol %, degC, Brix, nD or SG."""

    value: float
    unit: str


class Circumstances(NamedTuple):
    """`sample` in degC and None where it is not told; `compensated` is None where nobody knows.

    `zero` is what deionised water shows on the same instrument, `scale` the scale that was read ('' where
    it is not told). `said` tells it in words, behind the value as it was read.
    """

    sample: float | None
    compensated: bool | None
    zero: Shown | None
    scale: str
    said: str


NOTHING_TOLD = Circumstances(None, None, None, "", "")


def circumstances(entry: Entry, quantity: Quantity, method: Method | None) -> Circumstances | None:
    """The circumstances of an entry; None where it tells none. Raises NotUsable, with the place of the key."""
    if not entry.taken_at:
        return None
    told = {each.name: each for each in entry.taken_at}
    _refuse_strange(told, quantity, method)
    compensated = told.get("compensated")
    sample = _sample(told["sample"]) if "sample" in told else None
    if compensated is not None and sample is None:
        says = "whether it compensates tells nothing without the temperature of the sample"
        hint = "add 'sample: 20 degC' with the temperature, or delete 'compensated'"
        raise NotUsable("missing-circumstance", says, hint, compensated.place)
    scale = told["scale"].text if "scale" in told else ""
    zero = _zero(told["zero"]) if "zero" in told else None
    return Circumstances(
        sample=sample,
        compensated={"yes": True, "no": False}.get(compensated.text) if compensated is not None else None,
        zero=zero,
        scale=scale,
        said=_said(told, is_prism=method is not None and method.instrument == "refractometer"),
    )


def on_instrument(number: float, unit: str) -> Shown:
    """A value in the unit the physics works with: degrees Celsius, percent by volume, or as it is."""
    metric = {"temperature": "degC", "share by volume": "vol %"}.get(kind(unit), unit)
    return Shown(convert(number, unit, metric), metric)


def _refuse_strange(told: dict[str, Circumstance], quantity: Quantity, method: Method | None) -> None:
    takes = _TAKES[method.instrument if method is not None else ""]
    for name, each in told.items():
        if name not in takes:
            by = f" by {method.label}" if method is not None else ""
            says = f"'{name}' corrects nothing in the {quantity.label}{by}"
            hint = f"it takes: {', '.join(takes)}" if takes else f"delete it, or tell it under 'note': '{each.text}'"
            raise NotUsable("no-circumstance", says, hint, each.place)


def _sample(told: Circumstance) -> float:
    number = _point(told, "35 degC")
    unit = find_unit(number.unit)
    if unit is None or kind(unit) != "temperature":
        says = f"'{short(told.text)}' is no temperature"
        raise NotUsable("wrong-unit", says, "write it with its unit, like '35 degC'", told.place)
    return convert(number.interval.low, unit, "degC")


def _zero(told: Circumstance) -> Shown:
    number = _point(told, "1 %")
    unit = find_unit(number.unit)
    if unit is None or kind(unit) not in _READS:
        says = f"'{short(told.text)}' is not what a refractometer shows on water"
        raise NotUsable("wrong-unit", says, "write it like '1 %' or '-1 degC'", told.place)
    return on_instrument(number.interval.low, unit)


def _point(told: Circumstance, example: str) -> Number:
    try:
        number = read_number(told.text)
    except NotUsable as error:
        raise NotUsable(error.check, error.says, error.hint, told.place) from None
    if number is None or number.form != "point":
        says = f"'{told.name}' is one value with its unit, not '{short(told.text)}'"
        raise NotUsable("not-a-number", says, f"write it like '{example}'", told.place)
    return number


def _said(told: dict[str, Circumstance], is_prism: bool) -> str:
    """' on the propylene scale at 35 degC uncompensated, water showing 1 %'."""
    parts = []
    if "scale" in told:
        name = {"acid": "battery-acid"}.get(told["scale"].text, told["scale"].text)
        parts.append(f" on the {name} scale")
    if "sample" in told:
        words = {"yes": " compensated", "no": " uncompensated"}
        known = words.get(told["compensated"].text if "compensated" in told else "", ", compensated or not")
        parts.append(f" at {tidy(told['sample'].text)}{known if is_prism else ''}")
    if "zero" in told:
        parts.append(f", water showing {tidy(told['zero'].text)}")
    return "".join(parts)
