"""What to test next, each test with its reason; or that no further test is worth its time, and what that means."""

from __future__ import annotations

from diagnose.diagnosis.model import Diagnosis, NextTest
from diagnose.plan.decision import unexplained
from diagnose.plan.model import Plan
from diagnose.plan.wording import duration, first_upper, join, sentence
from diagnose.report.layout import wrap
from diagnose.rulebook.model import Book

ASKED = 3
"""So many rules are named behind a test; `explain` names them all."""
LATER = "Not today: "
LEAST = 1.0
"""Minutes: what a test spares below this is not told."""


def next_tests(plan: Plan, book: Book, width: int) -> list[str]:
    """The section, line by line."""
    diagnosis = plan.diagnosis
    lines: list[str] = []
    for number, choice in enumerate(diagnosis.next_tests, 1):
        labour = diagnosis.shop.costs(choice.minutes)
        takes = duration(choice.minutes) + (f" ({labour})" if labour else "")
        lines += wrap(f"{first_upper(choice.test.label)}, {takes}.", width, f"  {number}. ")
        lines += wrap(_why(choice), width, "     ")
    if not diagnosis.next_tests:
        lines += wrap(_verdict(diagnosis, book, plan.decision.firm), width, "  ")
    if diagnosis.repair_first is not None:
        lines += wrap(_repair_first(diagnosis), width, "  - ")
    for test, reason in diagnosis.later:
        lines += wrap(f"{LATER}{test.label} ({reason}).", width, "  - ")
    return lines


def _why(choice: NextTest) -> str:
    says = [sentence(choice.why)]
    if choice.saves >= LEAST:
        says.append(f"On average its answers spare {duration(choice.saves)} of repairs or of coming back.")
    if choice.asked_by:
        says.append(f"Asked for by {', '.join(choice.asked_by[:ASKED])}.")
    return " ".join(says)


def _repair_first(diagnosis: Diagnosis) -> str:
    repair = diagnosis.repair_first
    assert repair is not None
    cause = repair.cause
    return (
        f"Or try the repair and look again, which is quicker: {cause.repair.what} "
        f"({duration(cause.repair.minutes)}); it was that when {cause.repair.cured_when}."
    )


def _verdict(diagnosis: Diagnosis, book: Book, firm: bool) -> str:
    verdict = diagnosis.verdict
    ended = diagnosis.firings.ended_by
    if ended is not None:
        return f"None on this car: {ended.title} [{ended.id}]."
    names = join([book.causes[name].short for name in verdict.causes])
    if verdict.kind == "undetermined":
        return f"Undetermined: {names} can't be told apart with what this shop has."
    if verdict.kind == "unconfirmed":
        return (
            f"No test that this shop can do today confirms {names} by a second physical principle. "
            "Take nothing apart for more than an hour before one does."
        )
    if verdict.kind in ("open", "unexplained") and diagnosis.complaint is not None:
        return unexplained(diagnosis.complaint, book)
    own = [name for name in verdict.repairs if not book.causes[name].repair.by_service]
    if own:
        return f"No further test is worth its time; do the work below: {join([book.causes[n].short for n in own])}."
    if not firm:
        return "No test that is left here settles what the decision hangs on; what is wanting for it stands below."
    return "No further test is worth its time; do the work below."
