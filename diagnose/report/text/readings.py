"""The table of readings."""

from __future__ import annotations

from diagnose.findings.model import Finding
from diagnose.firings.model import Firings
from diagnose.plan.decision import deciding_looks
from diagnose.plan.wording import first_upper
from diagnose.report.layout import columns, wrap
from diagnose.rulebook.model import Band, Book


def readings(firings: Firings, book: Book, width: int) -> list[str]:
    """What was read, what would be right, and what the reading means; then what can't be told."""
    known = [finding for finding in firings.findings.found.values() if finding.status == "known"]
    looks = deciding_looks(book)
    known.sort(key=lambda finding: -looks[finding.quantity.id])
    telling = [finding for finding in known if len(finding.quantity.bands) > 1]
    rows = [(f.quantity.label, f.shown, f.limits_shown, _meaning(f)) for f in telling]
    lines = columns([("", "read", "right", "means"), *rows], width) if rows else []
    raw = [f for f in known if len(f.quantity.bands) == 1 and not f.derived]
    if raw:
        lines += wrap(f"Also read: {'; '.join(f'{f.quantity.label} {f.shown}' for f in raw)}.", width, "  ")
    for finding in known:
        lines += [line for says in doubts(finding) for line in wrap(says, width, "  ! ")]
    givens = [finding for finding in firings.findings.givens.values() if finding.status == "known"]
    if givens:
        told = "; ".join(f"{finding.quantity.label}: {finding.shown}" for finding in givens)
        lines += wrap(f"Told: {told}.", width, "  ")
    return lines


def _meaning(finding: Finding) -> str:
    """The bands in words."""
    return ", or perhaps ".join(band.says for band in likeliest_first(finding))


def likeliest_first(finding: Finding) -> list[Band]:
    """The bands it may be in, the one that holds most of the readings first."""
    if len(finding.possible) == 1:
        return [band for band in finding.quantity.bands if band.id in finding.possible]
    held = {band.id: sum(r.shares[n] for r in finding.readings) for n, band in enumerate(finding.quantity.bands)}
    bands = [band for band in finding.quantity.bands if band.id in finding.possible]
    return sorted(bands, key=lambda band: -held[band.id])


def doubts(finding: Finding) -> list[str]:
    """Sentences on a straddling reading and on instruments that disagree."""
    label = first_upper(finding.quantity.label)
    methods = [method for r in finding.readings if (method := finding.quantity.method(r.method)) is not None]
    if finding.disagree:
        names = " and ".join(f"the {method.label}" for method in methods)
        return [f"{label}: {names} disagree; one of them is wrong."]
    if not finding.straddles or finding.derived or not methods:
        return []
    better = next((finding.quantity.method(method.better) for method in methods if method.better), None)
    settles = f"; the {better.label} can" if better is not None and better not in methods else ""
    return [f"{label}: the {methods[0].label} can't tell on which side of the limit this lies{settles}."]
