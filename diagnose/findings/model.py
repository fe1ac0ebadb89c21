"""Readings put into bands."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, NamedTuple

from diagnose.case.model import Case
from diagnose.fluid.freezing import GLYCOLS
from diagnose.rulebook.model import Band, Condition, Quantity
from diagnose.yamlfile import Place

Status = Literal["known", "unknown", "not_done"]


class Interval(NamedTuple):
    """A range of values in the quantity's unit; a single value has low == high and both edges in."""

    low: float
    high: float
    low_in: bool = True
    high_in: bool = True


class Reading(NamedTuple):
    """One instrument's answer (repeats with the same tool are joined).

    `shares` is the likelihood over the quantity's bands, in their order: the share of the
    interval (resolution included once) that lies in each; a word gives 1 for its band.
    `interval` is None for words. `recorded` is the text as it was written. `settled` names causes that
    could have fooled the instrument and did not, by how the reading was taken.
    """

    method: str
    recorded: str
    interval: Interval | None
    shares: tuple[float, ...]
    place: Place | None
    settled: tuple[str, ...] = ()


class Finding(NamedTuple):
    """All that is known of one quantity.

    `possible` holds the bands in which the truth may lie by the most trusted instrument that
    was used, in band order: one band is sure, several mean the reading straddles.
    `disagree`: instruments of the same trust exclude each other, or a lesser one excludes the better.
    `derived` marks values that follow from other readings. `by_glycol` holds the interval for each
    glycol that the coolant may hold, where it is not the same for all. `together`: all of `possible` hold at once,
    as where a car came in for two things.
    """

    quantity: Quantity
    status: Status
    readings: tuple[Reading, ...]
    possible: tuple[str, ...]
    interval: Interval | None
    shown: str
    limits_shown: str
    disagree: bool
    derived: bool
    by_glycol: Mapping[str, Interval] = MappingProxyType({})
    together: bool = False

    @property
    def straddles(self) -> bool:
        return len(self.possible) > 1 and not self.together

    def holds(self, bands: Collection[str]) -> bool:
        """Whether it surely lies in one of these bands."""
        if self.status != "known":
            return False
        inside = [name in bands for name in self.possible]
        return any(inside) if self.together else bool(inside) and all(inside)

    @property
    def bands(self) -> tuple[Band, ...]:
        """The bands in which the truth may lie, the one that holds most of the readings first."""
        bands = self.quantity.bands
        held = {band.id: sum(reading.shares[n] for reading in self.readings) for n, band in enumerate(bands)}
        return tuple(sorted((b for b in bands if b.id in self.possible), key=lambda band: -held[band.id]))


@dataclass(frozen=True, slots=True)
class Findings:
    """`families` maps each family that may be in the car to its share (they sum to 1).

    `found` holds every quantity of the case that is known, unknown or not done, and every derived
    one that could be computed, in the book's order; `givens` the same for givens.
    `state` is the car as it stands. `unused` are readings that no rule of the book asks for.
    `glycols` are those that the coolant may hold.
    """

    case: Case
    families: Mapping[str, float]
    found: Mapping[str, Finding]
    givens: Mapping[str, Finding]
    state: Mapping[str, str]
    unused: tuple[str, ...]
    glycols: tuple[str, ...] = GLYCOLS

    def get(self, name: str) -> Finding | None:
        return self.found.get(name) or self.givens.get(name)

    def surely(self, condition: Condition) -> bool:
        """Whether a condition on a quantity or given holds."""
        finding = self.get(condition.quantity)
        return finding is not None and finding.holds(condition.bands)

    def sure(self, name: str) -> str | None:
        """The one band a quantity or given is surely in, or None."""
        finding = self.get(name)
        if finding is None or finding.status != "known" or len(finding.possible) != 1:
            return None
        return finding.possible[0]
