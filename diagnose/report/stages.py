"""Each stage of the road alone, line by line, with rule ids and places: for the one who asks why."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

from diagnose.diagnosis.model import Weight
from diagnose.findings.model import Finding
from diagnose.plan.model import Plan
from diagnose.report.arithmetic import arithmetic
from diagnose.rulebook.model import Book

Stage: TypeAlias = Callable[[Plan, Book], list[str]]


def findings(plan: Plan, book: Book) -> list[str]:
    """Every finding with its bands, the likelihood each reading gives them, and where it was recorded."""
    result = plan.diagnosis.firings.findings
    lines = ["family: " + ", ".join(f"{name} {share:.3f}" for name, share in result.families.items())]
    for finding in (*result.found.values(), *result.givens.values()):
        lines.append(f"{finding.quantity.id}: {_bands(finding)}  [{finding.quantity.role}; {finding.quantity.place}]")
        for reading in finding.readings:
            bands = [band.id for band in finding.quantity.bands]
            shares = ", ".join(
                f"{name} {share:.3f}" for name, share in zip(bands, reading.shares, strict=True) if share
            )
            where = f"  {reading.place}" if reading.place else ""
            lines.append(f"    {reading.method or 'computed'}: {reading.recorded} -> {shares}{where}")
    if result.state:
        lines.append("state: " + ", ".join(f"{name} {value}" for name, value in result.state.items()))
    if result.unused:
        lines.append("unused: " + ", ".join(result.unused))
    return lines


def _bands(finding: Finding) -> str:
    if finding.status != "known":
        return finding.status.replace("_", " ")
    sure = " or ".join(finding.possible)
    return f"{sure} (instruments disagree)" if finding.disagree else sure


def firings(plan: Plan, book: Book) -> list[str]:
    """Every rule that fired or may fire, on which conditions, and where it stands."""
    result = plan.diagnosis.firings
    lines = [f"matched by {result.engine}; {len(result.in_force)} of {len(book.rules)} rules in force"]
    for firing in result.fired:
        on = ", ".join(f"{condition.quantity} {' or '.join(condition.bands)}" for condition in firing.on)
        state = "fires" if firing.state == "fires" else "may fire"
        lines.append(f"{firing.rule.id} {state} on {on}  [{firing.rule.place}]")
        lines.append(f"    {firing.rule.title}")
        if firing.rule.says:
            lines.append(f"    {firing.rule.says}")
    for name, rules in result.concluded_by.items():
        lines.append(f"{name}: concluded by {', '.join(rules)}")
    return lines


def causes(plan: Plan, book: Book) -> list[str]:
    """Every cause with prior, posterior and each weight, and the rules that stand behind it."""
    diagnosis = plan.diagnosis
    lines = [f"nothing wrong {diagnosis.nothing_wrong:.4f}; not in this book {diagnosis.not_in_book:.4f}"]
    for s in diagnosis.suspects:
        head = f"{s.cause.id}: {s.state}"
        if s.ruled_out_by:
            lines.append(f"{head} ({s.ruled_out_by})  [{s.cause.place}]")
            continue
        numbers = f"present {s.probability:.4f}, as root {s.as_root:.4f}, before {s.prior:.4f}"
        lines.append(f"{head}, {numbers}  [{s.cause.place}]")
        lines += [f"    {_weight(weight, book)}" for weight in s.weights]
        if s.proven_by:
            lines.append(f"    proven by {', '.join(s.proven_by)}")
    lines.append(book.weights_are)
    return lines


def _weight(weight: Weight, book: Book) -> str:
    rules = ", ".join(f"{name} {book.rules[name].place}" for name in weight.rules)
    return f"{weight.quantity} {weight.band}: odds x {weight.factor:.3g}" + (f"  [{rules}]" if rules else "")


def plan(plan: Plan, book: Book) -> list[str]:
    """The decision with the rules behind it, the work in order with the entry each step comes from, the arithmetic."""
    decision = plan.decision
    lines = [f"decision: {decision.service.id}{'' if decision.firm else ' (not firm)'}  [{decision.service.place}]"]
    if decision.after:
        lines.append(f"    {decision.after}")
    lines += [f"    {reason}" for reason in decision.because]
    lines += [f"    {name}  [{book.rules[name].place}]" for name in decision.rules]
    for number, step in enumerate(plan.steps, 1):
        lines.append(f"{number}. {step.kind}: {step.title}" + (f"  [{_place(step.ref, book)}]" if step.ref else ""))
        lines += [f"    {line}" for line in step.lines]
    if plan.numbers is not None:
        lines += ["reckoned:", *(f"    {line}" for line in arithmetic(plan.numbers))]
    lines.append(f"drive: {plan.may_drive}, {plan.drive_because}")
    lines.append(f"next check: {plan.next_check or 'none'}, {plan.next_check_says}")
    return lines


def _place(ref: str, book: Book) -> str:
    entry = book.tests.get(ref) or book.causes.get(ref) or book.services.get(ref)
    return f"{ref} {entry.place}" if entry is not None else ref


STAGES: dict[str, Stage] = {"findings": findings, "firings": firings, "causes": causes, "plan": plan}
