"""Diagnosis to plan."""

from __future__ import annotations

import calendar
from datetime import date

from diagnose.diagnosis.model import Diagnosis
from diagnose.findings.model import Finding
from diagnose.plan.decision import (
    KEEP,
    decide,
    deciding_looks,
    first_misread,
    nothing_recorded,
    undecided_quantities,
)
from diagnose.plan.model import Decision, Driving, Plan
from diagnose.plan.numbers import numbers
from diagnose.plan.steps import chosen_roots, order_work
from diagnose.plan.wording import first_lower, first_upper, sentence
from diagnose.rulebook.model import Book, Caution, Rule

DRIVE_ORDER = ("no", "short", "yes")
BORNE_IN_MIND = 6
"""So many sentences of rules are told at most; more would not be read."""
TOLD = 4
"""So many readings are told to the customer at most; those that decide come first."""
CONCERNS = 0.25
"""A suspect this probable decides whether the car may be driven, before anything is proven."""


def plan(diagnosis: Diagnosis, book: Book) -> Plan:
    """The service decision and the whole order of work for one diagnosis."""
    decision = decide(diagnosis, book)
    reckoned = numbers(diagnosis, decision, book)
    may_drive, drive_because = _drive(diagnosis, decision)
    return Plan(
        diagnosis=diagnosis,
        decision=decision,
        steps=order_work(diagnosis, decision, book, reckoned.litres if reckoned is not None else None),
        cautions=_cautions(diagnosis, book),
        may_drive=may_drive,
        drive_because=drive_because,
        tell_customer=_tell(diagnosis, decision, book),
        next_check=_later(diagnosis.firings.findings.case.date, decision.service.next_check_months),
        next_check_says=decision.service.next_check,
        not_known=_not_known(diagnosis, book),
        numbers=reckoned,
        bear_in_mind=_bear_in_mind(diagnosis, book),
    )


def _drive(diagnosis: Diagnosis, decision: Decision) -> tuple[Driving, str]:
    """The strictest verdict of the rules that fired, the suspects that count and the service.

    What other rules that fired say about driving or parking is said after it.
    """
    verdicts = [firing.rule.drive for firing in diagnosis.firings.sure() if firing.rule.drive is not None]
    concerning = [s for s in diagnosis.listed() if s.state == "proven" or s.probability >= CONCERNS]
    verdicts += [s.cause.drive for s in sorted(concerning, key=lambda s: s.cause.kind == "misread")]
    if decision.service.drive is not None:
        verdicts.append(decision.service.drive)
    if nothing_recorded(diagnosis):
        return "not known", "Nothing was recorded yet that speaks for it or against it."
    if not verdicts:
        return "yes", "Nothing that was recorded speaks against it."
    strictest = min(verdicts, key=lambda drive: DRIVE_ORDER.index(drive.may))
    said = [strictest.because, *(f.rule.drive.because for f in diagnosis.firings.sure() if f.rule.drive is not None)]
    return strictest.may, " ".join(sentence(because) for because in dict.fromkeys(said))


def _bear_in_mind(diagnosis: Diagnosis, book: Book) -> tuple[Rule, ...]:
    """Rules that fired and have something to say: those on an abnormal reading first, then in the book's order."""
    out = {finding.quantity.id for finding in abnormal(diagnosis, book)}
    rules = [firing.rule for firing in diagnosis.firings.sure() if firing.rule.says]
    rules.sort(key=lambda rule: all(condition.quantity not in out for condition in rule.when))
    return tuple(rules[:BORNE_IN_MIND])


def _cautions(diagnosis: Diagnosis, book: Book) -> tuple[Caution, ...]:
    """What holds always and what the rules that fired warn of; the gate and each step say their own."""
    named = {name for firing in diagnosis.firings.sure() for name in firing.rule.cautions}
    return tuple(c for c in book.cautions.values() if c.when == "always" or (c.when == "named" and c.id in named))


def abnormal(diagnosis: Diagnosis, book: Book) -> tuple[Finding, ...]:
    """Findings that are surely not in their normal band, those that most deciding rules look at first."""
    found = [f for f in diagnosis.firings.findings.found.values() if f.status == "known" and f.quantity.normal]
    out = [f for f in found if f.quantity.normal not in f.possible]
    looks = deciding_looks(book)
    return tuple(sorted(out, key=lambda finding: -looks[finding.quantity.id]))


def _tell(diagnosis: Diagnosis, decision: Decision, book: Book) -> tuple[str, ...]:
    said: dict[str, str] = {}
    for finding in abnormal(diagnosis, book):  # one line for each thing the customer knows by one name
        words = _in_customer_words(finding)
        if words:
            said.setdefault(finding.quantity.customer, words)
    says = list(said.values())[:TOLD]
    if diagnosis.complaint is not None and diagnosis.complaint.wanting:
        says.append(f"What brought the car in is not explained yet: {diagnosis.complaint.says}.")
    chosen = chosen_roots(diagnosis)
    misread = first_misread(diagnosis)
    if chosen:
        lead = "This is proven" if chosen[0].state == "proven" else "This is the probable reason, not yet proven"
        says += [f"{lead}: {first_lower(suspect.cause.customer)}" for suspect in chosen]
    elif misread is not None:
        says.append(misread.cause.customer)
    elif decision.service.id != KEEP and any(s.root for s in diagnosis.listed()):
        says.append("Why it happened is not settled yet; we test before we repair anything.")
    says.append(decision.service.customer)
    return tuple(says)


def _in_customer_words(finding: Finding) -> str:
    words = [band.customer for band in finding.bands if band.customer]
    if not finding.quantity.customer or not words:
        return ""
    return f"{first_upper(finding.quantity.customer)}: {' or '.join(words)}."


def _not_known(diagnosis: Diagnosis, book: Book) -> tuple[str, ...]:
    findings = diagnosis.firings.findings
    labels = [f"{f.quantity.label} (nobody knows)" for f in findings.found.values() if f.status == "unknown"]
    labels += [f"{f.quantity.label} (not done)" for f in findings.found.values() if f.status == "not_done"]
    if len(findings.families) > 1:
        labels.append("the coolant family")
    labels += [label for label in undecided_quantities(diagnosis, book) if not any(label in known for known in labels)]
    return tuple(labels)


def _later(start: date, months: float) -> date | None:
    """`start` plus whole months; the last day of the month where the day does not exist."""
    if months <= 0:
        return None
    number = start.year * 12 + start.month - 1 + round(months)
    year, month = divmod(number, 12)
    return date(year, month + 1, min(start.day, calendar.monthrange(year, month + 1)[1]))
