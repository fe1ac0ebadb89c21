"""Diagnosis to plan."""

from __future__ import annotations

from datetime import date, timedelta

from diagnose.diagnosis.model import Diagnosis
from diagnose.findings.model import Finding, Findings
from diagnose.plan.decision import (
    KEEP,
    decide,
    deciding_looks,
    first_misread,
    nothing_recorded,
    undecided_quantities,
)
from diagnose.plan.model import Decision, Driving, Plan
from diagnose.plan.noted import noted
from diagnose.plan.numbers import numbers
from diagnose.plan.protection import outdoors
from diagnose.plan.proven import in_words, is_proven
from diagnose.plan.steps import GATE, chosen_roots, order_work
from diagnose.plan.wording import customer_words, first_lower, first_upper, sentence
from diagnose.rulebook.model import Book, Caution, Rule

DRIVE_ORDER = ("no", "short", "yes")
SAID = 2
"""So many reasons are told of whether it may be driven: who is told more of them remembers none."""
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
    litres = (reckoned.litres, reckoned.refill) if reckoned is not None else (None, None)
    may_drive, drive_because = _drive(diagnosis, decision, outdoors(reckoned.frost) if reckoned is not None else "")
    return Plan(
        diagnosis=diagnosis,
        decision=decision,
        steps=order_work(diagnosis, decision, book, *litres),
        cautions=_cautions(diagnosis, book),
        may_drive=may_drive,
        drive_because=drive_because,
        tell_customer=_tell(diagnosis, decision, book),
        next_check=_later(diagnosis.firings.findings.case.date, decision.service.next_check_months),
        next_check_says=decision.service.next_check,
        not_known=_not_known(diagnosis, book),
        numbers=reckoned,
        bear_in_mind=_bear_in_mind(diagnosis, book),
        notes=noted(diagnosis.firings.findings.case, book),
    )


def _drive(diagnosis: Diagnosis, decision: Decision, frost: str) -> tuple[Driving, str]:
    """The strictest verdict of the rules that fired, the suspects that count and the service.

    What other rules that fired say about driving or parking is said after it, the strictest first and no more than
    SAID in all, then what `frost` may do; of a car that is not driven, how it would be driven is not told.
    """
    findings, fired = diagnosis.firings.findings, diagnosis.firings.standing()
    told = [f.rule.drive for f in fired if f.rule.drive is not None and not (frost and _on_margin(f.rule, findings))]
    verdicts = list(told)
    concerning = [s for s in diagnosis.listed() if is_proven(s) or s.probability >= CONCERNS]
    verdicts += [s.cause.drive for s in sorted(concerning, key=lambda s: s.cause.kind == "misread")]
    if decision.service.drive is not None:
        verdicts.append(decision.service.drive)
    if nothing_recorded(diagnosis):
        return "not known", "Nothing was recorded yet that speaks for it or against it."
    if not verdicts:
        return "yes", frost or "Nothing that was recorded speaks against it."
    strictest = min(verdicts, key=lambda drive: DRIVE_ORDER.index(drive.may))
    beside = [drive for drive in told if strictest.may != "no" or drive.may == "no"]
    beside.sort(key=lambda drive: DRIVE_ORDER.index(drive.may))
    said = list(dict.fromkeys([strictest.because, *(drive.because for drive in beside)]))[:SAID]
    return strictest.may, " ".join(sentence(because) for because in [*said, *([frost] if frost else [])])


def _on_margin(rule: Rule, findings: Findings) -> bool:
    """Whether it speaks of the margin to the coldest night, of which the figures say more."""
    found = [findings.get(condition.quantity) for condition in rule.when]
    formulas = [f.quantity.formula for f in found if f is not None]
    return any(formula is not None and formula.operator == "margin" for formula in formulas)


def _bear_in_mind(diagnosis: Diagnosis, book: Book) -> tuple[Rule, ...]:
    """Rules that fired and have something to say: those on an abnormal reading first, then in the book's order."""
    out = {finding.quantity.id for finding in abnormal(diagnosis, book)}
    rules = [firing.rule for firing in diagnosis.firings.standing() if firing.rule.says]
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
    """What is most certain first: what is proven, what is probable, what was read, then the coolant."""
    chosen = chosen_roots(diagnosis)
    misread = first_misread(diagnosis)
    says = [f"This is {in_words(suspect)}: {first_lower(suspect.cause.customer)}" for suspect in chosen]
    if not chosen and misread is not None:
        says.append(misread.cause.customer)
    elif not chosen and decision.service.id != KEEP and any(s.root for s in diagnosis.listed()):
        says.append("Why it happened is not settled yet; we test before we repair anything.")
    read: dict[str, str] = {}
    for finding in abnormal(diagnosis, book):  # one line for each thing the customer knows by one name
        words = _in_customer_words(finding)
        if words:
            read.setdefault(finding.quantity.customer, words)
    complaint = diagnosis.complaint
    if complaint is not None and complaint.wanting and not any(s.cause.id in complaint.able for s in chosen):
        says.append(f"What brought the car in is not explained yet: {complaint.says}.")
    return (*says, *list(read.values())[:TOLD], decision.service.customer)


def _in_customer_words(finding: Finding) -> str:
    words = customer_words(finding)
    if not finding.quantity.customer or not words:
        return ""
    return f"{first_upper(finding.quantity.customer)}: {words}."


def _not_known(diagnosis: Diagnosis, book: Book) -> tuple[str, ...]:
    findings = diagnosis.firings.findings
    gate = {each.quantity for each in book.tests[GATE].yields} if GATE in book.tests else set()
    asked = [f for f in findings.found.values() if f.quantity.id not in gate]  # it is answered at every opening anew
    labels = [f"{f.quantity.label} (nobody knows)" for f in asked if f.status == "unknown"]
    labels += [f"{f.quantity.label} (not done)" for f in asked if f.status == "not_done"]
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
    last = date(year + (month == 11), (month + 1) % 12 + 1, 1) - timedelta(days=1)
    return last.replace(day=min(start.day, last.day))
