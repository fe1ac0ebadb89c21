"""Units as people have them: what they are called, what they measure, and how they convert.

Every unit converts as value * factor + offset to the first unit of its kind. Factors: SI brochure
and NIST SP 811 (exact definitions of psi, US gallon, mile, inch); hardness units as CaCO3 with
1 mmol = 100.0869 mg, 1 grain per US gallon = 17.118 mg/L, 1 German degree = 17.848 mg/L (10 mg/L
CaO), 1 French degree = 10 mg/L, 1 Clark degree = 14.254 mg/L (grain per imperial gallon).
"""

from __future__ import annotations

import re
from typing import NamedTuple

from diagnose.fluid.impossible import Impossible


class UnitMismatch(Impossible):
    """A unit that is not known, or that measures something else than what is wanted."""


class Unit(NamedTuple):
    """`kind` is what it measures; `factor` and `offset` lead to the first unit of that kind."""

    name: str
    kind: str
    factor: float = 1.0
    offset: float = 0.0


_YEAR_IN_DAYS = 365.25

_UNITS = (
    Unit("pH", "acidity"),
    Unit("1", "plain number"),
    Unit("vol %", "share by volume"),
    Unit("%", "share by volume"),  # the trade's bare percentage is by volume
    Unit("mass %", "share by mass"),
    Unit("degC", "temperature"),
    Unit("degF", "temperature", 5 / 9, -160 / 9),
    Unit("K", "temperature", 1.0, -273.15),
    Unit("V", "voltage"),
    Unit("mV", "voltage", 0.001),
    Unit("mg/L", "concentration"),
    Unit("gpg", "concentration", 17.118),
    Unit("degdH", "concentration", 17.848),
    Unit("degfH", "concentration", 10.0),
    Unit("degClark", "concentration", 14.254),
    Unit("mmol/L", "concentration", 100.0869),
    Unit("uS/cm", "conductivity"),
    Unit("mS/cm", "conductivity", 1000.0),
    Unit("kPa", "pressure"),
    Unit("psi", "pressure", 6.894757293168),
    Unit("bar", "pressure", 100.0),
    Unit("L", "volume"),
    Unit("mL", "volume", 0.001),
    Unit("qt", "volume", 0.946352946),
    Unit("gal", "volume", 3.785411784),
    Unit("m", "length"),
    Unit("mm", "length", 0.001),
    Unit("cm", "length", 0.01),
    Unit("in", "length", 0.0254),
    Unit("ft", "length", 0.3048),
    Unit("km", "length", 1000.0),
    Unit("mi", "length", 1609.344),
    Unit("days", "time"),
    Unit("years", "time", _YEAR_IN_DAYS),
    Unit("months", "time", _YEAR_IN_DAYS / 12),
    Unit("weeks", "time", 7.0),
    Unit("h", "time", 1 / 24),
    Unit("min", "time", 1 / 1440),
    Unit("Brix", "Brix scale"),
    Unit("nD", "refractive index"),
    Unit("SG", "density"),
)

_BY_NAME = {unit.name: unit for unit in _UNITS}

# Other spellings, compared without regard to capitals, spaces, full stops and hyphens.
_SPELLINGS = {
    "vol %": "vol% %vol volume% %byvolume percentbyvolume volpercent %v/v v/v% %(v/v)",
    "%": "percent pct",
    "mass %": "mass% %mass wt% %wt weight% %bymass %byweight masspercent %w/w w/w% %m/m",
    "degC": "c degc celsius degcelsius degreesc degreescelsius",
    "degF": "f degf fahrenheit degfahrenheit degreesf degreesfahrenheit",
    "K": "kelvin",
    "V": "volt volts vdc vac",
    "mV": "millivolt millivolts",
    "mg/L": "mg/l ppm mg/lcaco3 ppmcaco3 mgperl",
    "gpg": "grain/gal grains/gal gr/gal grainspergallon grainpergallon",
    "degdH": "dh degdh deggh german germandegrees degreesgerman degreesdh",
    "degfH": "fh degfh french frenchdegrees degreesfrench degreesfh",
    "degClark": "clark degclark dege english englishdegrees degreesenglish clarkdegrees",
    "mmol/L": "mmol/l mmolperl",
    "uS/cm": "us/cm microsiemens/cm microsiemenspercm",
    "mS/cm": "millisiemens/cm",
    "psi": "psig lb/in2 lbf/in2",
    "bar": "bars",
    "L": "l liter liters litre litres ltr",
    "mL": "ml milliliter milliliters millilitre millilitres cc",
    "qt": "qts quart quarts usqt usquart usquarts",
    "gal": "gals gallon gallons usgal usgallon usgallons",
    "m": "meter meters metre metres",
    "in": 'inch inches "',
    "ft": "foot feet",
    "km": "kilometer kilometers kilometre kilometres",
    "mi": "mile miles",
    "days": "d day",
    "years": "y yr yrs year",
    "months": "mo month",
    "weeks": "wk wks week",
    "h": "hr hrs hour hours",
    "min": "mins minute minutes",
    "Brix": "degbrix degreesbrix bx degbx",
    "nD": "n n20 nd20 ri refractiveindex",
    "SG": "sp.gr specificgravity relativedensity g/ml kg/l g/cm3",
}

_SAID = {"vol %": "%", "degdH": "German degrees", "degfH": "French degrees", "degClark": "English degrees"}


def said_unit(unit: str) -> str:
    """A unit as it is asked for on a screen; find_unit() knows it again."""
    return _SAID.get(unit, unit)


def _plain(text: str) -> str:
    folded = text.strip().replace("°", "deg").replace("º", "deg").replace("µ", "u").replace("μ", "u")
    return re.sub(r"[\s._-]", "", folded.casefold())


_FOUND = {_plain(unit.name): unit.name for unit in _UNITS}
_FOUND.update({_plain(word): name for name, words in _SPELLINGS.items() for word in words.split()})


def find_unit(text: str) -> str | None:
    """The canonical name for a spelling such as ``°F``, ``litres`` or ``% vol``; None where it is not known."""
    return text if text in _BY_NAME else _FOUND.get(_plain(text))


def unit_names() -> tuple[str, ...]:
    """Every canonical name, in the order of the table."""
    return tuple(_BY_NAME)


def kind(unit: str) -> str:
    """What a unit measures, such as ``volume``. Raises UnitMismatch where the unit is not known."""
    return _known(unit).kind


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """`value` in another unit of the same kind (canonical names). Raises UnitMismatch.

    Hardness units convert as CaCO3. Temperatures are points on the scale, not differences.
    """
    if from_unit == to_unit and from_unit in _BY_NAME:
        return value
    source, target = _known(from_unit), _known(to_unit)
    if source.kind != target.kind:
        raise UnitMismatch(f"{from_unit} measures {source.kind}, not {target.kind} ({to_unit})")
    return (value * source.factor + source.offset - target.offset) / target.factor


def convert_difference(value: float, from_unit: str, to_unit: str) -> float:
    """As `convert`, for a difference: 5 K is 9 degF however warm it is. Raises UnitMismatch."""
    return convert(value, from_unit, to_unit) - convert(0.0, from_unit, to_unit)


def _known(unit: str) -> Unit:
    found = _BY_NAME.get(unit)
    if found is None:
        raise UnitMismatch(f"no unit is called '{unit}'")
    return found
