"""The work in order: safety, tests, repair, service, proof, next check."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diagnose.diagnosis.confirm import STRONG
from diagnose.diagnosis.confirm import chosen_roots as chosen
from diagnose.diagnosis.model import Diagnosis, Suspect
from diagnose.findings.noted import said_at
from diagnose.plan.model import Decision, Litres, Step
from diagnose.plan.wording import duration, first_lower, first_upper, join
from diagnose.rulebook.model import Book, Test

GATE = "safe_to_open"
CAUTION = "Caution: "


def order_work(diagnosis: Diagnosis, decision: Decision, book: Book, litres: Litres | None) -> tuple[Step, ...]:
    work = [*_tests(diagnosis, book), *_repairs(diagnosis, book), _service(decision, book, litres)]
    verify = _verify(diagnosis, decision)
    return (*_said_once(_with_gate(work, book)), verify, _next_check(decision))


def chosen_roots(diagnosis: Diagnosis) -> tuple[Suspect, ...]:
    """The roots to repair: the proven ones, else the first one if it is probable."""
    return chosen(diagnosis.suspects)


def _tests(diagnosis: Diagnosis, book: Book) -> list[tuple[Step, Test | None]]:
    steps: list[tuple[Step, Test | None]] = []
    for choice in diagnosis.next_tests:
        test = choice.test
        lines = [*test.steps, f"How it misleads: {test.misleads}"]
        lines += _cautions(test.cautions, book)
        steps.append(
            (Step("test", f"{first_upper(test.label)} ({duration(choice.minutes)})", tuple(lines), test.id), test)
        )
    return steps


def _repairs(diagnosis: Diagnosis, book: Book) -> list[tuple[Step, Test | None]]:
    """What has to be mended besides the coolant: each chosen root, then what followed from it."""
    roots = chosen_roots(diagnosis)
    if not roots:
        names = [suspect for suspect in diagnosis.listed() if suspect.root and suspect.cause.kind == "fault"][:3]
        lines = tuple(
            f"If it is {s.cause.short}: {s.cause.repair.what}" for s in names if not s.cause.repair.by_service
        )
        return (
            [(Step("repair", "Repair what the tests have shown, and nothing else", lines, ""), None)] if lines else []
        )
    wanted = dict.fromkeys(s.cause.id for root in roots for s in (root, *_followers(root, diagnosis)))
    found = [diagnosis.suspect(name) for name in wanted]
    return [(_repair(s, diagnosis, book), None) for s in found if not s.cause.repair.by_service]


def _followers(root: Suspect, diagnosis: Diagnosis) -> list[Suspect]:
    """The probable consequences in a root's story."""
    told = [diagnosis.suspect(name) for name in root.story]
    return [suspect for suspect in told if suspect.state == "proven" or suspect.probability >= STRONG]


def _repair(suspect: Suspect, diagnosis: Diagnosis, book: Book) -> Step:
    repair = suspect.cause.repair
    lines = [f"Part or circuit: {repair.part}", f"Cured when: {repair.cured_when}"]
    lines[1:1] = said_at(diagnosis.firings.findings.case, book, suspect.cause.id)
    lines += _cautions(suspect.cause.cautions, book)
    title = f"{first_upper(repair.what)} ({duration(repair.minutes)})"
    short = f"{suspect.cause.short}: {first_lower(repair.what)} ({duration(repair.minutes)})"
    if suspect.cause.id in diagnosis.unconfirmed:
        title = f"Only once a second physical principle confirms {short}"
        so_far = diagnosis.unconfirmed[suspect.cause.id]
        lines.insert(0, f"So far {_count(so_far)} speaks for it. Take nothing apart before that.")
    elif suspect.state != "proven" and any(choice.reason != "decides" for choice in diagnosis.next_tests):
        title = f"If the tests confirm {short}"
    return Step("repair", title, tuple(lines), suspect.cause.id)


def _count(principles: Sequence[str]) -> str:
    return f"one physical principle ({principles[0]})" if principles else "no clear sign by any physical principle"


def _cautions(names: Sequence[str], book: Book) -> list[str]:
    """A step's own cautions; what holds at every opening is said at the gate, what holds always at the end."""
    own = [book.cautions[name] for name in names if name in book.cautions]
    return [f"{CAUTION}{caution.text}" for caution in own if caution.when == "named"]


def _service(decision: Decision, book: Book, litres: Litres | None) -> tuple[Step, Test | None]:
    service = decision.service
    title = first_upper(service.label) + (f", {decision.after}" if decision.after else "")
    lines = (*service.steps, *(litres.says if litres is not None else ()), *_cautions(service.cautions, book))
    return Step("service", title, lines, service.id), None


def _with_gate(work: list[tuple[Step, Test | None]], book: Book) -> list[Step]:
    """Put the safe-to-open gate before the first step that opens the system, and again after each warm run."""
    steps: list[Step] = []
    armed = False
    for step, test in work:
        opens = test.opens if test is not None else _opens(step, book)
        if opens and not armed:
            steps.append(_gate(book, again=any(step.kind == "safety" for step in steps)))
            armed = True
        steps.append(step)
        if test is not None and test.leaves.get("engine") == "warm":
            armed = False
    return steps


def _opens(step: Step, book: Book) -> bool:
    """Whether a repair or a service opens the system; a repair that the tests have yet to name may."""
    if step.kind == "service":
        return book.services[step.ref].opens
    return step.ref not in book.causes or book.causes[step.ref].repair.opens


def _gate(book: Book, again: bool) -> Step:
    gate = book.tests.get(GATE)
    opening = tuple(caution.text for caution in book.cautions.values() if caution.when == "opening")
    lines = (*(gate.steps if gate else ()), *opening)
    title = "Check again that it may be opened" if again else "Check that it may be opened"
    return Step("safety", title, lines, GATE)


def _said_once(steps: list[Step]) -> list[Step]:
    """Steps in which a gate or caution that was written out before is named by the step where it stands."""
    stands: dict[str, int] = {}
    told = []
    for number, step in enumerate(steps, 1):
        if step.kind == "safety":
            first = stands.setdefault(step.ref, number)
            told.append(step if first == number else replace(step, lines=(f"As in step {first}, the whole of it.",)))
            continue
        cautions = [line for line in step.lines if line.startswith(CAUTION)]
        known = sorted({stands[line] for line in cautions if line in stands})
        lines = tuple(line for line in step.lines if line not in stands)
        stands.update({line: number for line in cautions if line not in stands})
        if known:
            where = f"step{'s' if len(known) > 1 else ''} {join([str(n) for n in known])}"
            lines = (*lines, f"The cautions of {where} hold here too.")
        told.append(replace(step, lines=lines))
    return told


def _verify(diagnosis: Diagnosis, decision: Decision) -> Step:
    cured = tuple(f"{first_upper(s.cause.short)}: {s.cause.repair.cured_when}" for s in chosen_roots(diagnosis))
    title = "Prove that it is cured" if cured else "Check before the car leaves"
    return Step("verify", title, (*cured, *decision.service.verify), decision.service.id)


def _next_check(decision: Decision) -> Step:
    return Step("next_check", "Next check", (first_upper(decision.service.next_check),), decision.service.id)
