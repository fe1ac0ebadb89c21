"""The way of one worked case through a tree, as a table on one page."""

from __future__ import annotations

from diagnose.findings.model import Findings
from diagnose.graph.from_diagnosis import Path
from diagnose.plan.model import Plan
from diagnose.plan.wording import first_upper, join, sentence
from diagnose.report.handout.boxes import Box
from diagnose.report.handout.citing import Sources
from diagnose.report.handout.tree_sheets import TreeSheets
from diagnose.report.words import chance, day, percent
from diagnose.rulebook.model import FAMILY, Citation

DRIVE = {
    "yes": "May be driven",
    "short": "May be driven to the workshop only",
    "no": "Not to be driven",
    "not known": "Not known whether it may be driven",
}


def strip_data(sheets: TreeSheets, path: Path, plan: Plan) -> dict[str, object]:
    """What the template `strip` prints: each question with what the case recorded, and how it ended."""
    findings = plan.diagnosis.firings.findings
    case, boxes = findings.case, sheets.boxes.by_id
    rows: list[dict[str, object]] = []
    used: set[str] = set()
    for step in path.steps:
        box, target = boxes[step.question], boxes[step.to]
        asked = dict.fromkeys(answer.quantity for outcome in step.branch.outcomes for answer in outcome.answers)
        used |= set(asked)
        read = [text for name in asked if (text := _read(name, findings))]
        rows.append({"address": box.address, "asked": _asked(box), "read": read, "answer": step.branch.word})
        rows[-1]["goes"] = _goes(target, sheets)
    if sheets.boxes.is_question(path.end):
        last = boxes[path.end]
        rows.append({"address": last.address, "asked": _asked(last), "read": [], "answer": "", "goes": "the way ends"})
    recorded = {entry.name for entry in (*case.givens, *case.readings)}
    others = [name for name in (*findings.givens, *findings.found) if name in recorded - used]
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
        "others": [text for name in others if (text := _read(name, findings))],
        "suspects": [
            f"{first_upper(s.cause.label)}: {s.state}, {chance(s.probability)} ({percent(s.probability)})"
            for s in plan.diagnosis.listed()
            if s.root
        ],
        "decision": f"{first_upper(plan.decision.service.label)}{_after(plan.decision.after)}.",
        "drive": DRIVE[plan.may_drive] + (f": {plan.drive_because}." if plan.drive_because else "."),
        "outcome": sentence(join(known)) if known else "",
        "known_by": outcome.known_by if outcome is not None else "",
        "cautions": [caution.text for caution in plan.cautions],
        "sources": Sources(sheets.book, _cited(path, plan, sheets)).listed(),
        "weights": sheets.book.weights_are,
        "defers": sheets.book.defers_to,
    }


def _asked(box: Box) -> str:
    return ": ".join((box.main, *box.more))


def _goes(target: Box, sheets: TreeSheets) -> str:
    if not sheets.boxes.is_question(target.id):
        return f"{target.head}: {target.main}"
    return f"► {target.address} {target.main}, section {sheets.home(target.id).letter}"


def _cited(path: Path, plan: Plan, sheets: TreeSheets) -> list[Citation]:
    """What the tests on the way, the first suspects and the cautions stand on."""
    tests = sheets.book.tests
    refs = [node.ref for node in sheets.graph.nodes if node.id in {step.question for step in path.steps}]
    found = [citation for ref in refs if ref in tests for citation in tests[ref].sources]
    found += [citation for s in plan.diagnosis.listed() if s.root for citation in s.cause.sources]
    return [*found, *(citation for caution in plan.cautions for citation in caution.sources)]


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
