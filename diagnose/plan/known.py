"""What the findings know in numbers, as the physics wants it. The names stand in rulebooks/README.md, 'reckoning'."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import NamedTuple

from diagnose.diagnosis.model import Diagnosis, Suspect
from diagnose.findings.from_case import BASE_GLYCOL
from diagnose.findings.model import Finding, Findings, Interval
from diagnose.findings.recorded import ASSUMED
from diagnose.fluid.freezing import TOP_OF_SCALE
from diagnose.fluid.measure import Measure
from diagnose.fluid.units import UnitMismatch, convert
from diagnose.rulebook.model import Book, Reckoning

MIXTURE = "mixture"
WIDEST = 15.0
"""vol %; a mixture known no better than this is not worth litres (judgement)."""
SPOILS = 0.5
"""A cause this probable after which no scale reads the mixture leaves no number standing (judgement)."""
CONCERNS = 0.05
"""A listed cause this probable that would make the reading worthless is named (judgement)."""


class Known(NamedTuple):
    """`mixture` in vol % and None where nobody knows it well enough; `why_not` then says why.

    `each` is the mixture for every glycol that it may be and that the instrument can read. `doubt` is a
    sentence on what may make the reading worthless all the same.
    """

    findings: Findings
    book: Book
    reckoning: Reckoning
    mixture: Measure | None
    why_not: str
    doubt: str
    each: Mapping[str, Measure]
    glycols: tuple[str, ...]
    glycol_assumed: bool

    def measure(self, name: str, unit: str) -> Measure | None:
        """A quantity or given in `unit`; None where it is not known, or not in numbers with both ends."""
        return measure_of(self.findings.get(name), unit)

    @property
    def good(self) -> tuple[float, float]:
        """The range of the mixture that counts as good, vol %."""
        return normal_range(self.book, MIXTURE) or (0.0, TOP_OF_SCALE)

    @property
    def frost_margin(self) -> float:
        """How far under the coldest night the book wants the freezing point, K."""
        edges = normal_range(self.book, "frost_margin")
        return edges[0] if edges and isfinite(edges[0]) else 0.0

    @property
    def full(self) -> float:
        """The share of the capacity from which a fill counts as full."""
        edges = normal_range(self.book, "fill_share")
        return edges[0] if edges and isfinite(edges[0]) else 1.0


def known(diagnosis: Diagnosis, book: Book) -> Known | None:
    """What is known for reckoning; None where the book has no positions to reckon from."""
    if book.reckoning is None:
        return None
    findings = diagnosis.firings.findings
    finding = findings.get(MIXTURE)
    mixture = measure_of(finding, "vol %")
    why_not = "" if mixture is not None else _not_in_numbers(finding)
    spoiler = _spoiler(diagnosis, book.reckoning)
    if mixture is not None and mixture.high - mixture.low > WIDEST and mixture.low < TOP_OF_SCALE:
        says = f"The mixture is known to lie between {mixture.low:.0f} and {mixture.high:.0f} % and no better."
        mixture, why_not = None, f"{says} Measure it before anything is reckoned."
    elif mixture is not None and spoiler is not None and (spoiler.state == "proven" or spoiler.probability >= SPOILS):
        mixture, why_not = None, f"It may hold something that no scale reads: {spoiler.cause.short}."
    doubt = "" if mixture is None else _doubt(finding, spoiler, diagnosis)
    each = _each(finding, mixture, findings.glycols)
    return Known(findings, book, book.reckoning, mixture, why_not, doubt, each, findings.glycols, _assumed(findings))


def _not_in_numbers(finding: Finding | None) -> str:
    known = finding is not None and finding.status == "known"
    return "The mixture was told in words, not in numbers." if known else "The mixture was not measured."


def _each(finding: Finding | None, mixture: Measure | None, glycols: tuple[str, ...]) -> dict[str, Measure]:
    if finding is None or mixture is None:
        return {}
    if not finding.by_glycol:
        return dict.fromkeys(glycols, mixture)
    return {glycol: _measure(finding.by_glycol[glycol], "vol %") for glycol in glycols if glycol in finding.by_glycol}


def _measure(interval: Interval, unit: str) -> Measure:
    return Measure((interval.low + interval.high) / 2, interval.low, interval.high, unit)


def measure_of(finding: Finding | None, unit: str) -> Measure | None:
    if finding is None or finding.status != "known" or finding.interval is None:
        return None
    low, high = finding.interval.low, finding.interval.high
    if not (isfinite(low) and isfinite(high)):
        return None
    try:
        low, high = (convert(end, finding.quantity.unit, unit) for end in (low, high))
    except UnitMismatch:
        return None
    return Measure((low + high) / 2, low, high, unit)


def normal_range(book: Book, name: str) -> tuple[float, float] | None:
    """The edges of a quantity's normal band, where they are the same for every family."""
    quantity = book.quantities.get(name)
    band = quantity.band(quantity.normal) if quantity is not None else None
    edges = band.edges.get("") if band is not None else None
    return (edges.low, edges.high) if edges is not None else None


def _assumed(findings: Findings) -> bool:
    """Whether the glycol is only what the book assumes."""
    finding = findings.get(BASE_GLYCOL)
    return finding is not None and any(reading.recorded == ASSUMED for reading in finding.readings)


def _spoiler(diagnosis: Diagnosis, reckoning: Reckoning) -> Suspect | None:
    """The most probable listed cause after which no scale reads the mixture."""
    found = [s for s in diagnosis.listed() if s.cause.id in reckoning.no_scale_reads]
    return max(found, key=lambda suspect: (suspect.state == "proven", suspect.probability), default=None)


def _doubt(finding: Finding | None, spoiler: Suspect | None, diagnosis: Diagnosis) -> str:
    if finding is None:
        return ""
    if finding.disagree:
        return "The instruments disagree; what is reckoned here follows the better one."
    settled = {reading.method: reading.settled for reading in finding.readings}
    used = [method for method in finding.quantity.methods if method.id in settled]
    fooled = {name for method in used for name in method.fooled_by if name not in settled[method.id]}
    suspects = [s for s in diagnosis.listed() if s.cause.id in fooled and s.probability >= CONCERNS]
    suspects += [spoiler] if spoiler is not None and spoiler.probability >= CONCERNS else []
    return f"All this holds only if it is not this: {suspects[0].cause.short}." if suspects else ""
