"""The table of readings."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.findings.model import Finding, Findings
from diagnose.firings.model import Firings
from diagnose.plan.decision import deciding_looks
from diagnose.plan.doubt import doubt
from diagnose.plan.wording import first_upper, sentence
from diagnose.report.layout import columns, wrap
from diagnose.rulebook.model import Book


def readings(firings: Firings, book: Book, width: int, notes: Sequence[str] = ()) -> list[str]:
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
        lines += [line for says in doubts(finding, firings.findings, book) for line in wrap(says, width, "  ! ")]
    givens = [finding for finding in firings.findings.givens.values() if finding.status == "known"]
    if givens:
        told = "; ".join(f"{finding.quantity.label}: {finding.shown}" for finding in givens)
        lines += wrap(f"Told: {told}.", width, "  ")
    for note in notes:
        lines += wrap(f"Noted: {sentence(note)}", width, "  ")
    return lines


def _meaning(finding: Finding) -> str:
    """The bands in words."""
    return ", or perhaps ".join(band.says for band in finding.bands)


def doubts(finding: Finding, findings: Findings, book: Book) -> list[str]:
    """Sentences on a straddling reading and on instruments that disagree."""
    methods = [method for r in finding.readings if (method := finding.quantity.method(r.method)) is not None]
    if finding.disagree:
        names = " and ".join(f"the {method.label}" for method in methods)
        return [f"{first_upper(finding.quantity.label)}: {names} disagree; one of them is wrong."]
    return [doubt(finding, findings, book)] if finding.straddles and not finding.derived and methods else []
