"""What moved between visits, as lines of text."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.plan.moved import Move, Moved, Repair
from diagnose.plan.wording import first_upper, join
from diagnose.report.layout import WIDTH, bullets, wrap
from diagnose.report.words import day

UNITS = {"1": "", "pH": "", "vol %": " %"}


def render(found: Moved, width: int = WIDTH) -> str:
    """A section of its own behind the work-up, ending in a newline."""
    lines = ["", *wrap(f"WHAT MOVED SINCE {day(found.since)}", width), *bullets(_says(found), width)]
    return "\n".join(lines) + "\n"


def _says(found: Moved) -> Iterator[str]:
    if found.renewed:
        yield "The coolant was renewed or topped up in between, or nobody knows: nothing is told per year."
    if found.loss:
        yield found.loss
    for move in found.moves:
        yield _move(move)
    if not found.moves:
        yield "Nothing was read at both visits."
    for repair in found.repairs:
        yield _repair(repair)


def _move(move: Move) -> str:
    head = f"{first_upper(move.now.quantity.label)}: then {move.before.shown}; now {move.now.shown}"
    if not move.beyond_doubt:
        return f"{head}; no change that these readings could tell."
    if move.each_year is None:
        return f"{head}."
    unit = UNITS.get(move.now.quantity.unit, f" {move.now.quantity.unit}")
    return f"{head}; that is {move.each_year:+.2g}{unit} a year."


def _repair(repair: Repair) -> str:
    head = f"Repaired then: {repair.label}"
    parts = []
    if repair.again:
        parts.append(f"there again: {join(repair.again)}")
    if repair.gone:
        parts.append(f"gone: {join(repair.gone)}")
    if repair.fresh:
        parts.append(f"found now, not then: {join(repair.fresh)}")
    if repair.open:
        parts.append(f"not looked at: {join(repair.open)}")
    signs = f" ({'; '.join(parts)})" if parts else ""
    verdict = {"held": "It held", "came back": "It did not hold", "not known": "Whether it held is not shown yet"}
    return f"{head}. {verdict[repair.verdict]}{signs}."
