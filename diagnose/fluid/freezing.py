"""Freezing point of a glycol mixture, on the trade's volume-percent scale, and back.

Table: ASHRAE Fundamentals, aqueous ethylene and propylene glycol, its own volume percent. The
ethylene table ends at 57.8 vol %; its last point here, 60 vol % at -52 degC, stands in a
heavy-equipment maker's manual (2013). Other handbooks are up to 2.2 K colder at 50 mass %
(CRC); the trade's tables follow ASHRAE, so this does too.
"""

from __future__ import annotations

from diagnose.fluid.curve import Curve
from diagnose.fluid.impossible import Impossible

GLYCOLS = ("ethylene", "propylene")
TOP_OF_SCALE = 60.0
BEYOND = "beyond the scale: no useful gain, poorer cooling"

_FREEZING = {
    "ethylene": Curve.through(
        [
            (0.0, 0.0),
            (4.4, -1.4),
            (8.9, -3.2),
            (13.6, -5.4),
            (18.1, -7.8),
            (22.9, -10.7),
            (27.7, -14.1),
            (32.6, -17.9),
            (37.5, -22.3),
            (42.5, -27.5),
            (47.6, -33.8),
            (52.7, -41.1),
            (57.8, -48.3),
            (60.0, -52.0),
        ]
    ),
    "propylene": Curve.through(
        [
            (0.0, 0.0),
            (9.6, -3.3),
            (14.5, -5.1),
            (19.4, -7.1),
            (24.4, -9.6),
            (29.4, -12.7),
            (34.4, -16.4),
            (39.6, -21.1),
            (44.7, -26.7),
            (49.9, -33.5),
            (55.0, -41.6),
            (60.0, -51.1),
        ]
    ),
}


class BeyondScale(Impossible):
    """A mixture (or a property that only such a mixture has) outside 0 to 60 vol %."""


def freezing_point(volume_percent: float, glycol: str) -> float:
    """Where ice begins to form, degC, at 0 to 60 vol % of ``ethylene`` or ``propylene`` glycol. Raises BeyondScale."""
    if not 0.0 <= volume_percent <= TOP_OF_SCALE:
        raise BeyondScale(_outside(volume_percent))
    return curve(glycol).at(volume_percent)


def volume_percent(freezing_point: float, glycol: str) -> float:
    """The mixture, vol %, that freezes at a temperature in degC. Raises BeyondScale outside 0 to 60 vol %."""
    table = curve(glycol)
    if freezing_point > 0.0:
        raise BeyondScale(f"no mixture freezes at {freezing_point:g} degC: water itself freezes at 0 degC")
    if not freezing_point >= table.y[-1]:
        raise BeyondScale(f"{freezing_point:g} degC is {BEYOND} (60 vol % freezes at {table.y[-1]:g} degC)")
    return table.where(freezing_point)


def curve(glycol: str) -> Curve:
    """The table of a glycol as a curve. Raises Impossible where the glycol is not known."""
    found = _FREEZING.get(glycol)
    if found is None:
        raise Impossible(f"no glycol is called '{glycol}': ethylene or propylene")
    return found


def _outside(volume_percent: float) -> str:
    if volume_percent > TOP_OF_SCALE:
        return f"{volume_percent:g} vol % is {BEYOND}"
    return f"{volume_percent:g} vol % is no mixture: it must lie between 0 and 60"
