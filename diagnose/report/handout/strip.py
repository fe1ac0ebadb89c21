"""The way of one worked case through a tree, as a table on one page."""

from __future__ import annotations

from diagnose.findings.model import Findings
from diagnose.graph.road import Path
from diagnose.plan.model import Plan
from diagnose.plan.wording import first_upper
from diagnose.report.handout.tree_sheets import TreeSheets
from diagnose.report.words import chance, day, percent
from diagnose.rulebook.model import FAMILY


def strip_data(sheets: TreeSheets, path: Path, plan: Plan) -> dict[str, object]:
    """What the template `strip` prints: each question with what the case recorded, and how it ended."""
    findings = plan.diagnosis.firings.findings
    case, boxes = findings.case, sheets.boxes.by_id
    rows = []
    for step in path.steps:
        box, target = boxes[step.question], boxes[step.branch.to]
        goes = f"► {target.address}" if sheets.boxes.is_question(target.id) else f"{target.head}: {target.main}"
        asked = [answer.quantity for outcome in step.branch.outcomes for answer in outcome.answers]
        rows.append(
            {
                "address": box.address,
                "asked": " ".join((box.main, *box.more)),
                "read": [_read(name, findings) for name in dict.fromkeys(asked) if _read(name, findings)],
                "answer": step.branch.word,
                "goes": goes,
            }
        )
    end = boxes[path.end]
    outcome = case.outcome
    known = [sheets.book.causes[named.name].label for named in outcome.causes] if outcome is not None else []
    return {
        "title": f"The way of a case: {case.title}",
        "case": f"Case {case.id}, {day(case.date)}",
        "tree": sheets.graph.title,
        "rows": rows,
        "end": "" if sheets.boxes.is_question(path.end) else f"{end.head}: {end.main}. {end.does}",
        "notes": list(path.notes),
        "suspects": [
            f"{first_upper(s.cause.label)}: {s.state}, {chance(s.probability)} ({percent(s.probability)})"
            for s in plan.diagnosis.listed()
            if s.root
        ],
        "decision": f"{first_upper(plan.decision.service.label)}{_after(plan.decision.after)}.",
        "drive": {"yes": "May be driven", "short": "May be driven to the workshop only", "no": "Not to be driven"}[
            plan.may_drive
        ]
        + (f": {plan.drive_because}" if plan.drive_because else ""),
        "outcome": " and ".join(known),
        "known_by": outcome.known_by if outcome is not None else "",
        "cautions": [caution.text for caution in plan.cautions],
        "weights": sheets.book.weights_are,
        "defers": sheets.book.defers_to,
    }


def _after(after: str) -> str:
    return f", {after}" if after else ""


def _read(name: str, findings: Findings) -> str:
    """'pH of the coolant: 6.5 (meter)', or '' where the case has nothing on it."""
    if name == FAMILY:
        return ""
    finding = findings.get(name)
    if finding is None or finding.status != "known":
        return ""
    return f"{first_upper(finding.quantity.label)}: {finding.shown}"
