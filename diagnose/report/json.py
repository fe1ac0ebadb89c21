"""The work-up as JSON: one object for one case, a list for several. FORMAT grows with every change of shape."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from textwrap import indent

from diagnose.diagnosis.model import NextTest, RepairFirst, Suspect
from diagnose.diagnosis.shop import Shop
from diagnose.findings.model import Finding
from diagnose.firings.model import Firing
from diagnose.report.json_ahead import plain_ahead, plain_firmness, plain_shop
from diagnose.report.json_moved import plain_moved
from diagnose.report.json_numbers import plain_numbers
from diagnose.report.model import WorkUp

FORMAT = 3


def render_one(made: WorkUp) -> str:
    """One work-up as a JSON object, without a newline at its end."""
    return json.dumps(work_up(made), indent=2, ensure_ascii=False)


def joined(rendered: Iterable[str], many: bool) -> Iterator[str]:
    """JSON text ending in a newline; a list when several cases were given, even if one was usable."""
    if not many:
        yield from (f"{each}\n" for each in rendered)
        return
    yield "["
    for number, each in enumerate(rendered):
        yield f"{',' if number else ''}\n{indent(each, '  ')}"
    yield "\n]\n"


def work_up(made: WorkUp) -> dict[str, object]:
    """The whole work-up in plain values; probabilities to six digits."""
    plan, book = made.plan, made.book
    diagnosis = plan.diagnosis
    firings = diagnosis.firings
    case = firings.findings.case
    found = [*firings.findings.found.values(), *firings.findings.givens.values()]
    return {
        "format": FORMAT,
        "case": {"id": case.id, "title": case.title, "date": case.date.isoformat()},
        "book": {"id": book.id, "edition": book.edition},
        "engine": firings.engine,
        "families": {name: round(share, 6) for name, share in firings.findings.families.items()},
        "findings": [_finding(finding) for finding in found],
        "fired": [_firing(firing) for firing in firings.fired],
        "causes": [_suspect(suspect) for suspect in diagnosis.suspects],
        "nothing_wrong": round(diagnosis.nothing_wrong, 6),
        "not_in_book": round(diagnosis.not_in_book, 6),
        "next_tests": [_next_test(choice, diagnosis.shop) for choice in diagnosis.next_tests],
        "verdict": {
            "kind": diagnosis.verdict.kind,
            "causes": list(diagnosis.verdict.causes),
            "repairs": list(diagnosis.verdict.repairs),
        },
        "repair_first": _repair_first(diagnosis.repair_first),
        "unconfirmed": {name: list(by) for name, by in diagnosis.unconfirmed.items()},
        "shop": plain_shop(diagnosis.shop),
        "firmness": plain_firmness(diagnosis.firmness),
        "ahead": plain_ahead(diagnosis.ahead),
        "not_today": [{"test": test.id, "because": reason} for test, reason in diagnosis.later],
        "plan": {
            "decision": plan.decision.service.id,
            "label": plan.decision.service.label,
            "firm": plan.decision.firm,
            "after": plan.decision.after,
            "because": list(plan.decision.because),
            "rules": list(plan.decision.rules),
            "steps": [
                {"kind": step.kind, "title": step.title, "lines": list(step.lines), "ref": step.ref}
                for step in plan.steps
            ],
            "bear_in_mind": [{"rule": rule.id, "says": rule.says} for rule in plan.bear_in_mind],
            "may_drive": plan.may_drive,
            "drive_because": plan.drive_because,
            "tell_customer": list(plan.tell_customer),
            "next_check": plan.next_check.isoformat() if plan.next_check else None,
            "not_known": list(plan.not_known),
            "notes": list(plan.notes),
        },
        "numbers": plain_numbers(plan.numbers),
        "moved": plain_moved(made.moved),
        "cautions": [{"id": caution.id, "text": caution.text} for caution in plan.cautions],
        "defers_to": book.defers_to,
        "weights_are": book.weights_are,
        "unused": list(firings.findings.unused),
    }


def _finding(finding: Finding) -> dict[str, object]:
    return {
        "quantity": finding.quantity.id,
        "role": finding.quantity.role,
        "label": finding.quantity.label,
        "status": finding.status,
        "shown": finding.shown,
        "right": finding.limits_shown,
        "bands": list(finding.possible),
        "between": [finding.interval.low, finding.interval.high] if finding.interval else None,
        "unit": finding.quantity.unit,
        "derived": finding.derived,
        "together": finding.together,
        "disagree": finding.disagree,
    }


def _firing(firing: Firing) -> dict[str, object]:
    return {
        "rule": firing.rule.id,
        "title": firing.rule.title,
        "state": firing.state,
        "on": {condition.quantity: list(condition.bands) for condition in firing.on},
        "because": firing.rule.because,
        "place": str(firing.rule.place),
    }


def _suspect(suspect: Suspect) -> dict[str, object]:
    weights = [
        {"quantity": w.quantity, "band": w.band, "factor": round(w.factor, 6), "rules": list(w.rules)}
        for w in suspect.weights
    ]
    return {
        "id": suspect.cause.id,
        "label": suspect.cause.label,
        "kind": suspect.cause.kind,
        "probability": round(suspect.probability, 6),
        "as_root": round(suspect.as_root, 6),
        "prior": round(suspect.prior, 6),
        "state": suspect.state,
        "root": suspect.root,
        "follows_from": list(suspect.roots),
        "story": list(suspect.story),
        "for": [w for w, weight in zip(weights, suspect.weights, strict=True) if weight.factor >= 1],
        "against": [w for w, weight in zip(weights, suspect.weights, strict=True) if weight.factor < 1],
        "proven_by": list(suspect.proven_by),
        "ruled_out_by": suspect.ruled_out_by,
    }


def _repair_first(repair: RepairFirst | None) -> dict[str, object] | None:
    if repair is None:
        return None
    return {"cause": repair.cause.id, "minutes": repair.minutes, "saves": round(repair.saves, 3)}


def _next_test(choice: NextTest, shop: Shop) -> dict[str, object]:
    return {
        "id": choice.test.id,
        "label": choice.test.label,
        "minutes": choice.minutes,
        "labour": shop.costs(choice.minutes) or None,
        "bits": round(choice.bits, 6),
        "saves": round(choice.saves, 3),
        "reason": choice.reason,
        "parts": list(choice.parts),
        "asked_by": list(choice.asked_by),
        "why": choice.why,
        "outlook": [
            {
                "answer": outlook.answer,
                "probability": round(outlook.probability, 6),
                "after": {name: round(share, 6) for name, share in outlook.after.items()},
            }
            for outlook in choice.outlook
        ],
    }
