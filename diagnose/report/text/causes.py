"""The suspects: one story for each root, with what speaks for and against it."""

from __future__ import annotations

from diagnose.diagnosis.model import Suspect, Weight
from diagnose.plan.model import Plan
from diagnose.report.layout import wrap
from diagnose.report.words import chance, first_upper, odds, percent
from diagnose.rulebook.model import Book

SHOWN_WEIGHTS = 5
WORTH_NAMING = 0.05


def causes(plan: Plan, book: Book, width: int) -> list[str]:
    diagnosis = plan.diagnosis
    listed = diagnosis.listed()
    lines: list[str] = []
    roots = [suspect for suspect in listed if suspect.root]
    for number, suspect in enumerate(roots, 1):
        lines += _suspect(number, suspect, plan, width)
    if not roots:
        lines += wrap("Nothing that was recorded points to a cause in this book.", width, "  ")
    if diagnosis.nothing_wrong >= WORTH_NAMING:
        lines += wrap(f"Nothing wrong at all: {chance(diagnosis.nothing_wrong)}.", width, "  ")
    if diagnosis.not_in_book >= WORTH_NAMING:
        lines += wrap(f"A cause that this book does not know: {chance(diagnosis.not_in_book)}.", width, "  ")
    unlikely = [s for s in diagnosis.suspects if s.state == "unlikely" and any(w.factor < 0.5 for w in s.weights)]
    if unlikely:
        lines += wrap(f"Unlikely: {', '.join(s.cause.short for s in unlikely)}.", width, "  ")
    impossible = [s for s in diagnosis.suspects if s.state == "impossible"]
    if impossible:
        told = "; ".join(f"{s.cause.short} ({s.ruled_out_by})" for s in impossible)
        lines += wrap(f"Impossible on this car: {told}.", width, "  ")
    if lines:
        lines += wrap(book.weights_are, width, "  ")
    return lines


def _suspect(number: int, suspect: Suspect, plan: Plan, width: int) -> list[str]:
    state = "proven" if suspect.state == "proven" else f"{suspect.state}, {chance(suspect.as_root)}"
    lines = wrap(f"{first_upper(suspect.cause.label)}: {state} ({percent(suspect.as_root)})", width, f"  {number}. ")
    if suspect.proven_by:
        lines += wrap(f"proven by {', '.join(suspect.proven_by)}", width, "     ")
    if suspect.story:
        chain = [suspect, *(plan.diagnosis.suspect(name) for name in suspect.story)]
        lines += wrap(" -> ".join(_with_reading(link, plan) for link in chain), width, "     so it goes: ", " " * 8)
    speaks = [w for w in suspect.weights if w.factor >= 1][:SHOWN_WEIGHTS]
    denies = [w for w in suspect.weights if w.factor < 1][:SHOWN_WEIGHTS]
    if speaks:
        lines += wrap("; ".join(_weight(w, plan) for w in speaks), width, "     for: ", " " * 8)
    if denies:
        lines += wrap("; ".join(_weight(w, plan) for w in denies), width, "     against: ", " " * 8)
    return lines


def _with_reading(suspect: Suspect, plan: Plan) -> str:
    """A cause with the reading that speaks for it most, as a link of a story."""
    best = next((w for w in suspect.weights if w.factor > 1), None)
    if best is None:
        return suspect.cause.short
    finding = plan.diagnosis.firings.findings.get(best.quantity)
    shown = f"{finding.quantity.label}: {_band(best, plan)}" if finding is not None else best.quantity
    return f"{suspect.cause.short} ({shown})"


def _weight(weight: Weight, plan: Plan) -> str:
    finding = plan.diagnosis.firings.findings.get(weight.quantity)
    label = finding.quantity.label if finding is not None else weight.quantity
    rules = f" [{', '.join(weight.rules)}]" if weight.rules else ""
    return f"{label}: {_band(weight, plan)} ({odds(weight.factor)}){rules}"


def _band(weight: Weight, plan: Plan) -> str:
    finding = plan.diagnosis.firings.findings.get(weight.quantity)
    if finding is None:
        return weight.band
    band = finding.quantity.band(weight.band)
    return band.says if band is not None else weight.band
