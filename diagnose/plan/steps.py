"""The work in order: safety, tests, repair, service, proof, next check."""

from __future__ import annotations

from diagnose.diagnosis.model import Diagnosis, Suspect
from diagnose.plan.model import Decision, Step
from diagnose.rulebook.model import Book, Test

GATE = "safe_to_open"
STRONG = 0.5
"""A root this probable is named as what to repair; below it the tests come first."""
APART_MINUTES = 60.0
"""Taking apart beyond this needs a second physical principle (trade-facts, common practice, no source)."""
SPEAKS = 1.25
"""A finding supports a cause when it raises its odds by at least this factor."""


def order_work(diagnosis: Diagnosis, decision: Decision, book: Book) -> tuple[Step, ...]:
    work = [*_tests(diagnosis, book), *_repairs(diagnosis), _service(decision, book)]
    verify = _verify(diagnosis, decision)
    return (*_with_gate(work, diagnosis, book), verify, _next_check(decision))


def chosen_roots(diagnosis: Diagnosis) -> tuple[Suspect, ...]:
    """The roots to repair: the proven ones, else the first one if it is probable."""
    roots = [suspect for suspect in diagnosis.listed() if suspect.root and suspect.cause.kind != "misread"]
    proven = tuple(suspect for suspect in roots if suspect.state == "proven")
    return proven or tuple(suspect for suspect in roots[:1] if suspect.as_root >= STRONG)


def principles(suspect: Suspect, diagnosis: Diagnosis) -> frozenset[str]:
    """The physical principles of the readings that speak for a suspect."""
    found = set()
    for weight in suspect.weights:
        finding = diagnosis.firings.findings.get(weight.quantity)
        if weight.factor < SPEAKS or finding is None:
            continue
        for reading in finding.readings:
            method = finding.quantity.method(reading.method)
            if method is not None and method.principle:
                found.add(method.principle)
    return frozenset(found)


def _tests(diagnosis: Diagnosis, book: Book) -> list[tuple[Step, Test | None]]:
    steps: list[tuple[Step, Test | None]] = []
    for choice in diagnosis.next_tests:
        test = choice.test
        lines = [*test.steps, f"How it misleads: {test.misleads}"]
        lines += [f"Caution: {book.cautions[name].text}" for name in test.cautions if name in book.cautions]
        steps.append((Step("test", f"{_first_upper(test.label)} ({minutes(choice.minutes)})", tuple(lines), test.id), test))
    return steps


def _repairs(diagnosis: Diagnosis) -> list[tuple[Step, Test | None]]:
    roots = chosen_roots(diagnosis)
    if not roots:
        names = [suspect for suspect in diagnosis.listed() if suspect.root and suspect.cause.kind == "fault"][:3]
        if not names:
            return []
        lines = tuple(f"if it is {s.cause.short}: {s.cause.repair.what} ({s.cause.repair.part})" for s in names)
        return [(Step("repair", "Repair what the tests have shown, and nothing else", lines, ""), None)]
    steps: list[tuple[Step, Test | None]] = []
    for suspect in roots:
        repair = suspect.cause.repair
        lines = [f"Part or circuit: {repair.part}", f"Cured when: {repair.cured_when}"]
        if repair.dismantling > APART_MINUTES and len(principles(suspect, diagnosis)) < 2:
            says = "Do not take it apart yet: so far one physical principle speaks for it; a second one must confirm."
            lines.insert(0, says)
        elif suspect.state != "proven":
            lines.insert(0, "It is probable, not proven: do the tests above first.")
        title = f"{_first_upper(repair.what)} ({minutes(repair.minutes)})"
        steps.append((Step("repair", title, tuple(lines), suspect.cause.id), None))
    return steps


def _service(decision: Decision, book: Book) -> tuple[Step, Test | None]:
    service = decision.service
    title = _first_upper(service.label) + (f", {decision.after}" if decision.after else "")
    cautions = tuple(f"Caution: {book.cautions[name].text}" for name in service.cautions if name in book.cautions)
    return Step("service", title, (*service.steps, *cautions), service.id), None


def _with_gate(work: list[tuple[Step, Test | None]], diagnosis: Diagnosis, book: Book) -> list[Step]:
    """Put the safe-to-open gate before the first step that opens the system, and again after each warm run."""
    steps: list[Step] = []
    armed = False
    for step, test in work:
        opens = test.opens if test is not None else step.kind in ("repair", "service")
        if opens and not armed:
            steps.append(_gate(book, again=bool(steps)))
            armed = True
        steps.append(step)
        if test is not None and test.leaves.get("engine") == "warm":
            armed = False
    return steps


def _gate(book: Book, again: bool) -> Step:
    gate = book.tests.get(GATE)
    opening = tuple(caution.text for caution in book.cautions.values() if caution.when == "opening")
    lines = (*(gate.steps if gate else ()), *opening)
    title = "Check again that it may be opened" if again else "Check that it may be opened"
    return Step("safety", title, lines, GATE)


def _verify(diagnosis: Diagnosis, decision: Decision) -> Step:
    cured = tuple(f"{_first_upper(s.cause.short)}: {s.cause.repair.cured_when}" for s in chosen_roots(diagnosis))
    return Step("verify", "Prove that it is cured", (*cured, *decision.service.verify), decision.service.id)


def _next_check(decision: Decision) -> Step:
    return Step("next_check", "Next check", (_first_upper(decision.service.next_check),), decision.service.id)


def minutes(amount: float) -> str:
    """Minutes as a technician says them: '12 min', '2 h 30 min', '3 days'."""
    whole = round(amount)
    if whole >= 1440:
        days = round(whole / 1440)
        return f"{days} day{'s' if days > 1 else ''}"
    if whole < 100:
        return f"{whole} min"
    hours, rest = divmod(whole, 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def _first_upper(text: str) -> str:
    return text[:1].upper() + text[1:]
