"""The sheet that the customer takes home: one page, no trade words, no alarm beyond the facts."""

from __future__ import annotations

from diagnose.diagnosis.model import Suspect
from diagnose.plan.amounts import amount
from diagnose.plan.decision import first_misread
from diagnose.plan.model import Plan
from diagnose.plan.steps import chosen_roots
from diagnose.plan.wording import duration, first_upper, join, sentence
from diagnose.report.sheet.bars import customer_bars, words
from diagnose.report.sheet.model import Bars, Blanks, Block, Job, Jobs, Points, Section, Sheet, Text
from diagnose.report.words import day
from diagnose.rulebook.model import Book

DRAWN = 6
"""So many readings get a bar or a line; the rest is told in one sentence."""
OPEN = 3
DRIVE = {
    "yes": "Yes.",
    "short": "Only the shortest way to the workshop. Keep an eye on the temperature gauge; stop if it climbs.",
    "no": "No. Please have the car brought here.",
    "not known": "Not known yet.",
}


def customer_sheet(plan: Plan, book: Book) -> Sheet:
    """What was measured and found, what is recommended and why, what it means to wait."""
    case = plan.diagnosis.firings.findings.case
    sections = (
        Section("", (Blanks(("Workshop", "Order number", "Vehicle", "Distance")),)),
        Section("What was measured", _measured(plan, book)),
        Section("What was found", _found(plan)),
        Section("What is recommended, and why now", _recommended(plan)),
        Section("What will be done, in this order", (_order(plan),)),
        Section("May it be driven meanwhile?", (Text(f"{DRIVE[plan.may_drive]} {_driving(plan)}".strip(), True),)),
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
        names = join(list(dict.fromkeys(bar.label[:1].lower() + bar.label[1:] for bar in fine)))
        blocks.append(Text(f"Looked at as well, and in order: {names}."))
    return tuple(blocks)


def _found(plan: Plan) -> tuple[Block, ...]:
    proven = [s for s in chosen_roots(plan.diagnosis) if s.state == "proven"]
    points = [f"Proven: {s.cause.customer}" for s in proven]
    open_ = [s for s in plan.diagnosis.listed() if s.root and s.state != "proven" and s.cause.kind != "misread"][:OPEN]
    misread = first_misread(plan.diagnosis)
    if misread is not None:
        points.append(misread.cause.customer)
    if open_:
        points += [f"{first_upper(s.state)}, not proven: {s.cause.customer}" for s in open_]
    elif not points:
        points.append("Nothing that was measured points to a fault.")
    return (Points(tuple(dict.fromkeys(points))),)


def _recommended(plan: Plan) -> tuple[Block, ...]:
    blocks: list[Block] = [Text(plan.decision.service.customer, True)]
    reasons = _reasons(plan)
    if reasons:
        blocks.append(Text(f"This rests on: {'; '.join(reasons)}."))
    left = _if_not(plan)
    if left:
        blocks.append(Text(f"If nothing is done: {left}"))
    return tuple(blocks)


def _reasons(plan: Plan) -> list[str]:
    """The readings that the deciding rules look at, in the customer's words."""
    deciding = [firing for firing in plan.diagnosis.firings.fired if firing.rule.id in plan.decision.rules]
    told: dict[str, None] = {}
    for name in dict.fromkeys(condition.quantity for firing in deciding for condition in firing.on):
        finding = plan.diagnosis.firings.findings.found.get(name)
        if finding is not None and finding.status == "known" and finding.quantity.customer:
            told[f"{finding.quantity.customer} - {words(finding)}"] = None
    return list(told)[:3]


def _if_not(plan: Plan) -> str:
    """What comes of leaving it, of the causes that are to be repaired."""
    reasons = dict.fromkeys(s.cause.comes_back.because for s in chosen_roots(plan.diagnosis)[:2])
    return " ".join(sentence(reason) for reason in reasons)


def _order(plan: Plan) -> Jobs:
    jobs: list[Job] = []
    tests = plan.diagnosis.next_tests
    if tests:
        minutes = duration(sum(choice.minutes for choice in tests))
        jobs.append(Job(f"We test further before anything is repaired, about {minutes}."))
    roots = [s for s in chosen_roots(plan.diagnosis) if not s.cause.repair.by_service]
    for suspect in roots:
        jobs.append(Job(_repair(suspect)))
    if not roots and plan.decision.after:
        jobs.append(Job("We repair what the tests have shown, and nothing else."))
    jobs.append(Job(f"{first_upper(plan.decision.service.label)}.{_litres(plan)}"))
    jobs.append(Job("We check that it holds, and tell you what we measured."))
    return Jobs(tuple(jobs))


def _repair(suspect: Suspect) -> str:
    time = duration(suspect.cause.repair.minutes)
    if suspect.state == "proven":
        return f"We repair what is proven, about {time}."
    return f"Only if the tests confirm it: repair of what is suspected first, about {time}."


def _litres(plan: Plan) -> str:
    """What is poured in, in order; '' where nobody can say yet."""
    litres = plan.numbers.litres if plan.numbers is not None else None
    if litres is None or litres.capacity is None:
        return ""
    if litres.correction is not None and litres.correction.best is not None:
        best = litres.correction.best
        poured = [f"{amount(p.amount, 'L')} of {_fluid(p.fluid)}" for p in best.add]
        drained = f" {amount(best.drain, 'L')} come out" if best.drain else " Nothing is drained"
        return f"{drained}, then {join(poured)} go in." if poured else ""
    if litres.refills and litres.refills[0].reckoned.concentrate_first.possible:
        fill = litres.refills[0].reckoned.concentrate_first
        poured = [f"{amount(p.amount, 'L')} of {_fluid(p.fluid)}" for p in fill.fill]
        return f" {first_upper(join(poured))} go in."
    return ""


def _fluid(name: str) -> str:
    return {"water": "pure water", "concentrate": "coolant concentrate"}.get(name, name)


def _driving(plan: Plan) -> str:
    return sentence(plan.drive_because)


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
