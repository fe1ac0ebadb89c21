"""Why a reading does not settle on which side of a limit it lies, and what would settle it."""

from __future__ import annotations

from diagnose.findings.by_family import band_by_family, hangs_on_family
from diagnose.findings.model import Finding, Findings
from diagnose.plan.wording import first_upper, join
from diagnose.rulebook.model import Book, Quantity


def doubt(finding: Finding, findings: Findings, book: Book) -> str:
    """One sentence on a straddling finding, and one on the better instrument or on the family to be found out."""
    quantity = finding.quantity
    by_family = _by_family(finding, findings, book)
    if by_family:
        told = "; ".join(f"for {_named(labels)} {_says(quantity, band)}" for band, labels in by_family.items())
        return f"{first_upper(quantity.label)} hangs on the coolant family: {told}. Find out what is in the car."
    bands = " or ".join(_says(quantity, band.id) for band in finding.bands)
    sentence = f"{first_upper(quantity.label)}: the reading can't tell between {bands}."
    if len(findings.families) > 1 and hangs_on_family(quantity, book):
        sentence += " The limit hangs on the coolant family: find it out."
    return sentence + _better(finding)


def _by_family(finding: Finding, findings: Findings, book: Book) -> dict[str, list[str]]:
    """The labels of the families for each band that the reading may lie in; {} where it does not hang on them alone."""
    found: dict[str, list[str]] = {}
    for name, band in band_by_family(finding, findings).items():
        found.setdefault(band, []).append(book.families[name].label)
    return found


def _named(labels: list[str]) -> str:
    return join(labels) if len(labels) < 3 else f"{len(labels)} other families"


def _says(quantity: Quantity, name: str) -> str:
    band = quantity.band(name)
    return f"'{band.says}'" if band else name


def _better(finding: Finding) -> str:
    for reading in finding.readings:
        method = finding.quantity.method(reading.method)
        better = finding.quantity.method(method.better) if method and method.better else None
        if method and better and all(other.method != better.id for other in finding.readings):
            return f" The {method.label} can't settle it; a {better.label} can."
    return ""
