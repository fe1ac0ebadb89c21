"""The work-up in four lines, for a look in passing."""

from __future__ import annotations

from diagnose.diagnosis.model import Suspect
from diagnose.plan.model import Driving, Plan
from diagnose.plan.wording import duration, first_upper
from diagnose.report.layout import wrap
from diagnose.report.words import percent

NAMED = 2
"""So many causes are named."""
DRIVE: dict[Driving, str] = {
    "yes": "may be driven",
    "short": "to the workshop only",
    "no": "not to be driven",
    "not known": "not known yet",
}


def in_short(plan: Plan, width: int) -> list[str]:
    """Cause, next test, what is done with the coolant, whether it may be driven; the reasons stand further down."""
    service, after = plan.decision.service, plan.decision.after
    told = {
        "Cause": _causes(plan),
        "Next": _next(plan),
        "Coolant": service.label + (f" - {after}" if after else ""),
        "Driving": DRIVE[plan.may_drive],
    }
    return [line for name, says in told.items() for line in wrap(first_upper(says), width, f"  {name + ':':<9}")]


def _causes(plan: Plan) -> str:
    """The roots that are proven or probable; where there are none, the first of what is possible."""
    if plan.diagnosis.firings.ended_by is not None:
        return "not looked for; this book ends here"
    roots = [suspect for suspect in plan.diagnosis.listed() if suspect.root]
    sure = [s for s in roots if s.state in ("proven", "probable")][:NAMED]
    if sure:
        return "; ".join(f"{s.cause.short} ({_how_sure(s)})" for s in sure)
    if roots:
        shown = "; ".join(f"{s.cause.short} ({percent(s.probability)})" for s in roots[:NAMED])
        return f"not known yet; possible, among others: {shown}" if len(roots) > NAMED else f"possible: {shown}"
    return "none found in what was read"


def _how_sure(suspect: Suspect) -> str:
    return suspect.state if suspect.state == "proven" else f"{suspect.state}, {percent(suspect.probability)}"


def _next(plan: Plan) -> str:
    diagnosis = plan.diagnosis
    if diagnosis.next_tests:
        first = diagnosis.next_tests[0]
        return f"{first.test.label}, {duration(first.minutes)}"
    if diagnosis.firings.ended_by is not None:
        return "no test on this car"
    if diagnosis.later:
        return "nothing more today"
    return "nothing more to test"
