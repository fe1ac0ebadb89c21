"""The sections of a work-up, in the order in which a technician needs them."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.plan.model import Plan
from diagnose.plan.wording import first_upper, sentence
from diagnose.report.layout import bullets, wrap
from diagnose.report.text.causes import causes
from diagnose.report.text.firm import ahead, firmness
from diagnose.report.text.in_short import in_short
from diagnose.report.text.next_test import next_tests
from diagnose.report.text.readings import readings
from diagnose.report.words import day
from diagnose.rulebook.model import Book

DRIVE = {"yes": "Yes.", "short": "Only to the workshop.", "no": "No.", "not known": "Not known yet."}


def work_up(plan: Plan, book: Book, width: int) -> list[str]:
    lines: list[str] = []
    for title, body in _sections(plan, book, width):
        if body:
            lines += ["", *wrap(title, width), *body]
    return [*_head(plan, book, width), *lines]


def _head(plan: Plan, book: Book, width: int) -> list[str]:
    firings = plan.diagnosis.firings
    case = firings.findings.case
    line = f"Case {case.id}, {day(case.date)}. Rulebook {book.id}, edition {book.edition}; {firings.engine}."
    return [*wrap(case.title, width), *wrap(line, width)]


def _sections(plan: Plan, book: Book, width: int) -> Iterator[tuple[str, list[str]]]:
    diagnosis = plan.diagnosis
    yield "IN SHORT", in_short(plan, width)
    yield f"WHAT WAS READ, for {_family(plan, book)}", readings(diagnosis.firings, book, width, plan.notes)
    if plan.numbers is not None:
        yield "WHAT IT PROTECTS AGAINST", bullets(plan.numbers.says, width)
    yield "WHAT PROBABLY HAPPENED", causes(plan, book, width)
    yield "WHAT TO TEST NEXT", next_tests(plan, book, width)
    yield "THE NEXT STEPS", ahead(diagnosis.ahead, book, width)
    yield "HOW FIRM IT IS", firmness(diagnosis.firmness, width)
    yield "WHAT TO DO WITH THE COOLANT", _decision(plan, width)
    yield "BEAR IN MIND", bullets([f"{sentence(rule.says)} [{rule.id}]" for rule in plan.bear_in_mind], width)
    yield "THE WORK, IN ORDER", _steps(plan, width)
    yield "MAY IT BE DRIVEN?", wrap(f"{_drive(plan)} {sentence(plan.drive_because)}", width, "  ")
    yield "TELL THE CUSTOMER", bullets(plan.tell_customer, width)
    yield "NOT KNOWN", bullets(plan.not_known, width)
    yield "NOT USED (no rule of this book asks for it)", bullets(diagnosis.firings.findings.unused, width)
    yield "CAUTIONS", bullets([caution.text for caution in plan.cautions] + [book.defers_to], width)


def _drive(plan: Plan) -> str:
    """The gauge is named once."""
    watch = plan.may_drive == "short" and "gauge" not in plan.drive_because
    return "Only to the workshop, watching the gauge." if watch else DRIVE[plan.may_drive]


def _family(plan: Plan, book: Book) -> str:
    families = plan.diagnosis.firings.findings.families
    if len(families) == 1:
        return book.families[next(iter(families))].label
    if len(families) == len(book.families):
        return "an unknown coolant family"
    return "one of these families: " + ", ".join(book.families[name].label for name in families)


def _decision(plan: Plan, width: int) -> list[str]:
    decision = plan.decision
    head = first_upper(decision.service.label) + (f" - {decision.after}" if decision.after else "") + "."
    if decision.rules:
        head += f" ({', '.join(decision.rules)})"
    return [*wrap(head, width, "  "), *(line for reason in decision.because for line in wrap(reason, width, "  "))]


def _steps(plan: Plan, width: int) -> list[str]:
    lines: list[str] = []
    for number, step in enumerate(plan.steps, 1):
        title = step.title
        if step.kind == "next_check" and plan.next_check is not None:
            title = f"Next check by {day(plan.next_check)}"
        lines += wrap(title, width, f"  {number}. ")
        lines += bullets(step.lines, width, "     ")
    return lines
