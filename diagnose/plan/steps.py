"""The work in order: safety, tests, repair, service, proof, next check."""

from __future__ import annotations

from diagnose.diagnosis.confirm import chosen_roots as chosen
from diagnose.diagnosis.model import Diagnosis, Suspect
from diagnose.findings.words import listed
from diagnose.plan.model import Decision, Litres, Step
from diagnose.plan.repairs import CAUTION, confirmation, filling, is_mended, repairs, told_cautions
from diagnose.plan.wording import duration, first_upper, join
from diagnose.rulebook.model import Book, Service, Test

GATE = "safe_to_open"


def order_work(
    diagnosis: Diagnosis, decision: Decision, book: Book, litres: Litres | None, refill: Litres | None = None
) -> tuple[Step, ...]:
    """`litres` are those of the service, `refill` those after a repair where the service fills nothing."""
    service = decision.service
    tests = [*_tests(diagnosis, book), *((step, None) for step in confirmation(diagnosis, book))]
    mend = [*repairs(diagnosis, service, book), *filling(diagnosis, decision, book, refill)]
    mended: list[tuple[Step, Test | None]] = [(step, None) for step in mend]
    own = [(_service(diagnosis, decision, book, litres), None)]
    work = [*tests, *own, *mended] if service.before_repair else [*tests, *mended, *own]
    return (*_said_once(_with_gate(work, book)), _verify(diagnosis, decision), _next_check(decision))


def chosen_roots(diagnosis: Diagnosis) -> tuple[Suspect, ...]:
    """The roots to repair: the proven ones, else the first one if it is probable."""
    return chosen(diagnosis.suspects)


def _tests(diagnosis: Diagnosis, book: Book) -> list[tuple[Step, Test | None]]:
    steps: list[tuple[Step, Test | None]] = []
    for choice in diagnosis.next_tests:
        test = choice.test
        lines = [*test.steps, f"How it misleads: {test.misleads}"]
        lines += told_cautions(test.cautions, diagnosis, book)
        lead = "To confirm it: " if choice.reason == "confirms" else ""
        label = test.label if lead else first_upper(test.label)
        steps.append((Step("test", f"{lead}{label} ({duration(choice.minutes)})", tuple(lines), test.id), test))
    return steps


def _service(diagnosis: Diagnosis, decision: Decision, book: Book, litres: Litres | None) -> Step:
    service = decision.service
    title = first_upper(service.label) + (f", {decision.after}" if decision.after else "")
    lines = (*_family_first(diagnosis, service, book), *service.steps, *(litres.says if litres is not None else ()))
    return Step("service", title, (*lines, *told_cautions(service.cautions, diagnosis, book)), service.id)


def _family_first(diagnosis: Diagnosis, service: Service, book: Book) -> tuple[str, ...]:
    """What is added has to be of the family that is in the car."""
    families = diagnosis.firings.findings.families
    if service.quantities != "correction" or len(families) < 2:
        return ()
    names = listed([book.families[name].label for name in families])
    return (f"Which family is in it is not known yet: {names}. Pour nothing in before it is; families are not mixed.",)


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
    """Whether a step opens the system; a repair that the tests have yet to name may."""
    if step.kind == "service":
        return book.services[step.ref].opens
    if step.kind == "repair":
        return step.ref not in book.causes or book.causes[step.ref].repair.opens
    return step.kind in ("drain", "fill")


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
            told.append(step if first == number else step._replace(lines=(f"As in step {first}, the whole of it.",)))
            continue
        cautions = [line for line in step.lines if line.startswith(CAUTION)]
        known = sorted({stands[line] for line in cautions if line in stands})
        lines = tuple(line for line in step.lines if line not in stands)
        stands.update({line: number for line in cautions if line not in stands})
        if known:
            where = f"step{'s' if len(known) > 1 else ''} {join([str(n) for n in known])}"
            lines = (*lines, f"The cautions of {where} hold here too.")
        told.append(step._replace(lines=lines))
    return told


def _verify(diagnosis: Diagnosis, decision: Decision) -> Step:
    mended = [s for s in chosen_roots(diagnosis) if is_mended(s, decision.service)]
    cured = tuple(f"{first_upper(s.cause.short)}: {s.cause.repair.cured_when}" for s in mended)
    title = "Prove that it is cured" if cured else "Check before the car leaves"
    gone = _gone(diagnosis) if cured else ()
    return Step("verify", title, (*cured, *gone, *decision.service.verify), decision.service.id)


def _gone(diagnosis: Diagnosis) -> tuple[str, ...]:
    """How it is seen that what brought the car in is gone, where it is told for sure."""
    givens = diagnosis.firings.findings.givens.values()
    known = [f for f in givens if f.status == "known" and not f.straddles]
    sure = [f.quantity.band(each) for f in known for each in f.possible]
    return tuple(f"What brought it in ({band.says}): {band.gone_when}" for band in sure if band and band.gone_when)


def _next_check(decision: Decision) -> Step:
    return Step("next_check", "Next check", (first_upper(decision.service.next_check),), decision.service.id)
