"""The sheet that the customer takes home: one page, no trade words, no alarm beyond the facts."""

from __future__ import annotations

from diagnose.findings.model import Findings
from diagnose.plan.decision import first_misread
from diagnose.plan.model import Plan
from diagnose.plan.moved import Moved
from diagnose.plan.proven import in_words, is_proven
from diagnose.plan.repairs import is_mended, wanted
from diagnose.plan.steps import chosen_roots
from diagnose.plan.wording import first_upper, join, sentence
from diagnose.report.sheet.bars import customer_bars, words
from diagnose.report.sheet.customer_work import last_time, repair_for_customer, work_for_customer
from diagnose.report.sheet.model import Bars, Blanks, Block, Points, Section, Sheet, Text
from diagnose.report.words import day
from diagnose.rulebook.model import Book

DRAWN = 6
"""So many readings get a bar or a line; the rest is told in one sentence."""
OPEN = 3
FAINT = 0.15
"""Beside something proven or probable the customer is not told of what is less probable than this: judgement."""
MOST_REASONS = 4
DRIVE = {
    "yes": "Yes.",
    "short": "Only the shortest way to the workshop that mends it.",
    "no": "No. Please have the car brought here.",
    "not known": "Not known yet.",
}
GAUGE = "Keep an eye on the temperature gauge; stop if it climbs."


def customer_sheet(plan: Plan, book: Book, moved: Moved | None = None) -> Sheet:
    """What was measured and found, what is recommended and why, what it means to wait; `moved` tells of last time."""
    case = plan.diagnosis.firings.findings.case
    sections = (
        Section("", (Blanks(("Workshop", "Order number", "Vehicle", "Distance")),)),
        *last_time(moved, book),
        Section("What was measured", _measured(plan, book)),
        Section("What was found", _found(plan)),
        Section("What is recommended, and why now", _recommended(plan)),
        Section("What will be done, in this order", (work_for_customer(plan, book),)),
        Section("May it be driven meanwhile?", (Text(_driving(plan), True),)),
        Section("Next check", (Text(_next_check(plan)),)),
        Section("Please take care", (Points(_care(plan, book)),)),
        Section("", (Blanks(("Price", "Date, signature"), ("I agree to the work", "I do not want the work done")),)),
    )
    about = f"Case {case.id}, {day(case.date)}"
    return Sheet("Your cooling system", about, book.language, sections, _foot(book))


def _foot(book: Book) -> str:
    return f"Made with the rulebook {book.title}, edition {book.edition}. {book.defers_to}"


def _measured(plan: Plan, book: Book) -> tuple[Block, ...]:
    bars = customer_bars(plan, book)
    if not bars:
        return (Text("Nothing was measured yet."),)
    drawn, rest = bars[:DRAWN], bars[DRAWN:]
    blocks: list[Block] = [Bars(tuple(drawn))]
    fine = [bar for bar in rest if bar.verdict == "right"]
    other = [bar for bar in rest if bar.verdict != "right"]
    if other:
        blocks.append(Text(f"Also: {'; '.join(f'{bar.label} - {bar.word}' for bar in other)}."))
    if fine:
        told = {bar.label for bar in bars if bar.verdict != "right"}
        names = list(dict.fromkeys(bar.label[:1].lower() + bar.label[1:] for bar in fine if bar.label not in told))
        blocks += [Text(f"Looked at as well, and in order: {join(names)}.")] if names else []
    return tuple(blocks)


def _found(plan: Plan) -> tuple[Block, ...]:
    proven = [s for s in chosen_roots(plan.diagnosis) if is_proven(s)]
    points = [f"{first_upper(in_words(s))}: {s.cause.customer}" for s in proven]
    roots = [s for s in plan.diagnosis.listed() if s.root]
    least = FAINT if any(s.state in ("proven", "probable") for s in roots) else 0.0
    open_ = [s for s in roots if not is_proven(s) and s.cause.kind != "misread" and s.probability >= least][:OPEN]
    misread = first_misread(plan.diagnosis)
    if misread is not None:
        points.append(misread.cause.customer)
    if open_:
        points += [f"{first_upper(in_words(s))}: {s.cause.customer}" for s in open_]
    complaint = plan.diagnosis.complaint
    if complaint is not None and complaint.wanting:
        points.append(f"What brought the car in is not explained yet: {complaint.says}.")
    elif not points:
        points.append("Nothing that was measured points to a fault.")
    return (Points(tuple(dict.fromkeys(points))),)


def _recommended(plan: Plan) -> tuple[Block, ...]:
    """The repair first, then the coolant."""
    repairs = [Text(repair_for_customer(suspect, plan), True) for suspect in wanted(plan.diagnosis)]
    blocks: list[Block] = [*repairs, Text(plan.decision.service.customer, not repairs)]
    reasons = _reasons(plan)
    if reasons:
        blocks.append(Text(f"This rests on: {'; '.join(reasons)}."))
    left = _if_not(plan)
    if left:
        blocks.append(Text(f"If it is left as it is: {left}"))
    return tuple(blocks)


def _reasons(plan: Plan) -> list[str]:
    """The readings that prove or most speak for what is mended, then those of the deciding rules."""
    findings = plan.diagnosis.firings.findings
    names: list[str] = []
    for suspect in wanted(plan.diagnosis):
        proofs = [f for f in plan.diagnosis.firings.fired if f.rule.id in suspect.proven_by]
        names += [condition.quantity for firing in proofs for condition in firing.on]
        names += [weight.quantity for weight in suspect.weights if weight.factor > 1.0][:2] if not proofs else []
    deciding = [firing for firing in plan.diagnosis.firings.fired if firing.rule.id in plan.decision.rules]
    names += [condition.quantity for firing in deciding for condition in firing.on]
    told: dict[str, None] = {}
    for name in dict.fromkeys(name for each in names for name in (each, *_behind(each, findings))):
        finding = findings.found.get(name)
        if finding is not None and finding.status == "known" and finding.quantity.customer:
            told[f"{finding.quantity.customer} - {words(finding)}"] = None
    return list(told)[:MOST_REASONS]


def _behind(name: str, findings: Findings) -> list[str]:
    """Where a pattern has no name for the customer: what the customer knows that is reckoned from the same readings."""
    finding = findings.found.get(name)
    if finding is None or finding.quantity.customer:
        return []
    together = finding.quantity.moves_together
    alike = [f.quantity for f in findings.found.values() if together and f.quantity.moves_together == together]
    return [quantity.id for quantity in alike if quantity.customer]


def _if_not(plan: Plan) -> str:
    """What comes of leaving it, of the causes that the work would mend."""
    left = [s for s in chosen_roots(plan.diagnosis) if is_mended(s, plan.decision.service)][:2]
    return " ".join(sentence(reason) for reason in dict.fromkeys(s.cause.comes_back.because for s in left))


def _driving(plan: Plan) -> str:
    says = sentence(plan.drive_because).replace(" degC", "\u00a0\u00b0C")
    gauge = GAUGE if plan.may_drive == "short" and "gauge" not in says else ""
    return " ".join(part for part in (DRIVE[plan.may_drive], gauge, says) if part)


def _next_check(plan: Plan) -> str:
    says = sentence(plan.next_check_says)
    return f"{says} At the latest by {day(plan.next_check)}." if plan.next_check is not None else says


def _care(plan: Plan, book: Book) -> tuple[str, ...]:
    """The book's own cautions, each by its first sentence: never open it hot, then what holds always."""
    opening = [caution for caution in book.cautions.values() if caution.when == "opening"][:1]
    always = [caution for caution in plan.cautions if caution.when == "always"]
    return tuple(_first_sentence(caution.text) for caution in (*opening, *always))


def _first_sentence(text: str) -> str:
    head, dot, _ = text.partition(". ")
    return f"{head}." if dot else text
