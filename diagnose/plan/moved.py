"""What moved between two visits of a car, and whether the repair held."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from diagnose.case.model import Held, Work
from diagnose.diagnosis.model import Diagnosis
from diagnose.findings.earlier import NOTHING, changes_coolant
from diagnose.findings.model import Finding
from diagnose.plan.model import Plan
from diagnose.plan.noted import noted_then
from diagnose.rulebook.model import Book, Service

SHORTEST = 30.0 / 365.25
"""Years below which nothing is told per year: a month is too short (judgement)."""
DAYS_IN_YEAR = 365.25


class Move(NamedTuple):
    """One quantity at both visits. `each_year` is in its unit and None where it tells nothing.

    `beyond_doubt`: the two readings can't be the same.
    """

    before: Finding
    now: Finding
    beyond_doubt: bool
    each_year: float | None


class Repair(NamedTuple):
    """`cause` is its id. `gone`, `again` and `open` are the signs of the cause that were found then, as they are now.

    `fresh` are signs of it, or of what follows from it, that were not there then: they leave open whether it held.
    """

    cause: str
    label: str
    verdict: Held
    gone: tuple[str, ...]
    again: tuple[str, ...]
    open: tuple[str, ...]
    fresh: tuple[str, ...]


class Moved(NamedTuple):
    """`renewed`: coolant was drained or added in between, or nobody knows; then nothing is told per year.

    `service` is what was done with the coolant then, `notes` what was noted then; for the workshop.
    """

    since: date
    until: date
    renewed: bool
    moves: tuple[Move, ...]
    repairs: tuple[Repair, ...]
    loss: str
    service: Service | None = None
    notes: tuple[str, ...] = ()


def moved(before: Plan, now: Plan, work: Work | None, book: Book) -> Moved:
    """Compare a visit with the one before it; `work` is what was done at the end of that one."""
    then, today = before.diagnosis.firings.findings, now.diagnosis.firings.findings
    years = (today.case.date - then.case.date).days / DAYS_IN_YEAR
    renewed = changes_coolant(work, book)
    both = [name for name in then.found if name in today.found and name != "opening"]
    moves = [_move(then.found[name], today.found[name], None if renewed else years) for name in both]
    names = [named.name for named in work.repaired] if work is not None else []
    repairs = [_repair(name, before.diagnosis, now.diagnosis, book) for name in names if name not in NOTHING]
    lost = now.numbers.loss if now.numbers is not None else None
    says = next((line for line in now.numbers.says if "earlier reading" in line), "") if now.numbers else ""
    return Moved(
        since=then.case.date,
        until=today.case.date,
        renewed=renewed,
        moves=tuple(move for move in moves if move is not None),
        repairs=tuple(repairs),
        loss=says if lost is not None or says else "",
        service=book.services.get(work.service.name) if work is not None and work.service is not None else None,
        notes=noted_then(then.case, work, book),
    )


def _move(before: Finding, now: Finding, years: float | None) -> Move | None:
    if before.status != "known" or now.status != "known" or before.quantity.role != "reading":
        return None
    if before.interval is None or now.interval is None:
        return Move(before, now, set(before.possible).isdisjoint(now.possible), None)
    apart = before.interval.high < now.interval.low or now.interval.high < before.interval.low
    middle = (now.interval.low + now.interval.high - before.interval.low - before.interval.high) / 2
    each_year = middle / years if years is not None and years >= SHORTEST else None
    return Move(before, now, apart, each_year)


def _repair(name: str, before: Diagnosis, now: Diagnosis, book: Book) -> Repair:
    """A cause that was repaired: the signs that rules link to it and that were found then, looked for now."""
    cause = book.causes.get(name)
    own = _signs({name}, book)
    follow = _signs({arc.cause for arc in cause.leads_to} if cause is not None else set(), book)
    gone: list[str] = []
    again: list[str] = []
    open_: list[str] = []
    fresh: list[str] = []
    proofs = cause.repair.proof if cause is not None else ()
    proved: list[bool] = []
    for quantity in (q for q in book.quantities.values() if q.id in own | follow and q.normal):
        then, later = before.firings.findings.found.get(quantity.id), now.firings.findings.found.get(quantity.id)
        told_now = later is not None and later.status == "known" and not later.straddles
        if not _is_off(then):
            fresh += [quantity.label] if told_now and _is_off(later) else []
        elif quantity.id not in own:
            continue  # what followed from the cause stays where it was not mended as well
        elif not told_now:
            open_.append(quantity.label)
        else:
            (again if _is_off(later) else gone).append(quantity.label)
            proved += [quantity.id in proofs] if _is_off(later) else []
    verdict: Held = "not known"
    if any(shows_it or not proofs for shows_it in proved):
        verdict = "came back"  # what has other causes too, such as overheating, does not show it
    elif gone and not open_ and not fresh and not again:
        verdict = "held"
    label = cause.label if cause is not None else name
    return Repair(name, label, verdict, tuple(gone), tuple(again), tuple(open_), tuple(fresh))


def _signs(causes: set[str], book: Book) -> set[str]:
    """The quantities that rules link to one of the causes."""
    rules = [rule for rule in book.rules.values() if any(link.cause in causes for link in rule.seen_with)]
    return {condition.quantity for rule in rules for condition in rule.when}


def _is_off(finding: Finding | None) -> bool:
    return finding is not None and finding.status == "known" and finding.quantity.normal not in finding.possible
