"""The table of readings."""

from __future__ import annotations

from diagnose.findings.model import Finding
from diagnose.firings.model import Firings
from diagnose.report.layout import columns, wrap
from diagnose.report.words import first_upper
from diagnose.rulebook.model import Book


def readings(firings: Firings, book: Book, width: int) -> list[str]:
    """What was read, what would be right, and what the reading means; then what can't be told."""
    known = [finding for finding in firings.findings.found.values() if finding.status == "known" and _counts(finding)]
    rows = [(f.quantity.label, f.shown, f.limits_shown, meaning(f)) for f in known]
    lines = columns([("reading", "", "right", "means"), *rows], width) if rows else []
    for finding in known:
        lines += [line for says in doubts(finding) for line in wrap(says, width, "  ! ")]
    givens = [finding for finding in firings.findings.givens.values() if finding.status == "known"]
    if givens:
        told = "; ".join(f"{finding.quantity.label}: {finding.shown}" for finding in givens)
        lines += wrap(f"Told: {told}.", width, "  ")
    return lines


def _counts(finding: Finding) -> bool:
    """Whether a row says something: raw values without bands of their own are shown through what they yield."""
    return len(finding.quantity.bands) > 1 or not finding.derived


def meaning(finding: Finding) -> str:
    bands = [finding.quantity.band(name) for name in finding.possible]
    return " or ".join(band.says for band in bands if band is not None)


def doubts(finding: Finding) -> list[str]:
    """Sentences on a straddling reading and on instruments that disagree."""
    says = []
    label = first_upper(finding.quantity.label)
    if finding.disagree:
        names = [_method(finding, reading.method) for reading in finding.readings]
        says.append(f"{label}: {' and '.join(names)} disagree; one of them is wrong.")
    elif finding.straddles and finding.readings:
        methods = [finding.quantity.method(reading.method) for reading in finding.readings]
        better = [finding.quantity.method(m.better) for m in methods if m is not None and m.better]
        used = {reading.method for reading in finding.readings}
        settle = [method.label for method in better if method is not None and method.id not in used]
        if not finding.derived and methods[0] is not None:
            tail = f"; a {settle[0]} can" if settle else ""
            says.append(f"{label}: the {methods[0].label} can't tell on which side of the limit this lies{tail}.")
    return says


def _method(finding: Finding, name: str) -> str:
    method = finding.quantity.method(name)
    return f"the {method.label}" if method is not None else "a reading"
