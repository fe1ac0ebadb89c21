"""The work on the car itself: confirm, drain for it, mend, fill after it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.diagnosis.confirm import STRONG, USUAL, chosen_roots
from diagnose.diagnosis.model import Diagnosis, Suspect
from diagnose.findings.noted import said_at
from diagnose.plan.model import Decision, Litres, Step
from diagnose.plan.proven import in_words, is_proven
from diagnose.plan.wording import duration, first_lower, first_upper, join
from diagnose.rulebook.model import Book, Service, Test

CAUTION = "Caution: "
NAMED = 3
"""So many tests that could confirm a cause are named."""


def wanted(diagnosis: Diagnosis) -> tuple[Suspect, ...]:
    """What has to be mended besides the coolant: each chosen root, then what followed from it."""
    roots = chosen_roots(diagnosis.suspects)
    names = dict.fromkeys(s.cause.id for root in roots for s in (root, *_followers(root, diagnosis)))
    return tuple(s for name in names if not (s := diagnosis.suspect(name)).cause.repair.by_service)


def is_mended(suspect: Suspect, service: Service) -> bool:
    """Whether the work that is planned mends it; what only new coolant cures is not where the coolant stays in."""
    return not suspect.cause.repair.by_service or service.quantities != "none"


def drains(diagnosis: Diagnosis) -> bool:
    """Whether the coolant has to come out for what is to be mended."""
    return any(suspect.cause.repair.drains for suspect in wanted(diagnosis))


def is_open(suspect: Suspect, diagnosis: Diagnosis) -> bool:
    """Whether the next tests may still show that it is not this, or a second principle is missing."""
    if is_proven(suspect):
        return False
    looks = [look for choice in diagnosis.next_tests if choice.reason != "decides" for look in choice.outlook]
    return suspect.cause.id in diagnosis.unconfirmed or any(
        look.after.get(suspect.cause.id, 1.0) < STRONG for look in looks
    )


def to_confirm(diagnosis: Diagnosis, book: Book) -> dict[str, tuple[Test, ...]]:
    """For each long repair that lacks a second principle, where no next test brings it, by its cause: what could."""
    if any(choice.reason == "confirms" for choice in diagnosis.next_tests):
        return {}
    names = [s.cause.id for s in wanted(diagnosis) if s.cause.id in diagnosis.unconfirmed]
    return {name: tuple(_confirming(name, diagnosis.unconfirmed[name], diagnosis, book)) for name in names}


def confirmation(diagnosis: Diagnosis, book: Book) -> list[Step]:
    """A step of its own for each of those."""
    later = {test.id: reason for test, reason in diagnosis.later}
    steps = []
    for name, could in to_confirm(diagnosis, book).items():
        so_far = diagnosis.unconfirmed[name]
        lines = [f"So far {_count(so_far)} speaks for it. Take nothing apart before another one agrees."]
        lines += [
            f"{first_upper(test.label)} ({duration(test.minutes)}"
            + (f"; not today: {later[test.id]})" if test.id in later else ")")
            for test in could
        ]
        if not could:
            lines.append("This book has no test left for that: have somebody judge it who has other means.")
        title = f"Confirm {diagnosis.suspect(name).cause.short} by a second physical principle"
        steps.append(Step("test", title, tuple(lines), ""))
    return steps


def _confirming(cause: str, so_far: Sequence[str], diagnosis: Diagnosis, book: Book) -> list[Test]:
    """Tests not done yet that read, by another principle, what the cause usually shows; those asked for first."""
    rules = [r for r in book.rules.values() for x in r.seen_with if x.cause == cause and x.how_often.value >= USUAL]
    shows = {condition.quantity for rule in rules for condition in rule.when}
    found = diagnosis.firings.findings.found
    able: list[Test] = []
    for test in book.tests.values():
        for each in test.yields:
            quantity = book.quantities.get(each.quantity)
            method = quantity.method(each.method) if quantity is not None else None
            if each.quantity not in shows or method is None or method.principle in ("", *so_far):
                continue
            read = found.get(each.quantity)
            if each.quantity not in book.noticed and (read is None or read.status != "known"):
                able.append(test)
                break
    later = {test.id for test, _ in diagnosis.later}
    asked = {name for firing in diagnosis.firings.fired for name in firing.rule.next}
    able.sort(key=lambda test: (test.id not in later, test.id not in asked, test.minutes))
    return able[:NAMED]


def repairs(diagnosis: Diagnosis, service: Service, book: Book) -> list[Step]:
    """Drain for it where that is needed, then mend: each chosen root and what followed from it."""
    found = wanted(diagnosis)
    if not found:
        return [] if chosen_roots(diagnosis.suspects) else _conditional(diagnosis)
    steps = [_repair(suspect, diagnosis, book) for suspect in found]
    first = next((n for n, suspect in enumerate(found) if suspect.cause.repair.drains), None)
    if first is not None and book.repair_work is not None:
        work = book.repair_work
        lines = [*work.drain]
        if service.quantities == "replacement":
            lines.append("It is the first of the drainings that are counted below, so nothing of it is put back.")
        elif service.quantities == "correction":
            lines.append("What comes out counts for the correction below: drain only the rest there.")
        lines += told_cautions(work.cautions, diagnosis, book)
        only = all(is_open(suspect, diagnosis) for suspect in found if suspect.cause.repair.drains)
        title = "Drain what the repair needs" if not only else "Once it is confirmed, drain what the repair needs"
        steps.insert(first, Step("drain", title, tuple(lines), ""))
    return steps


def _conditional(diagnosis: Diagnosis) -> list[Step]:
    """Where no root is chosen: what the first ones would take."""
    names = [s for s in diagnosis.listed() if s.root and s.cause.kind == "fault"][:3]
    lines = tuple(f"If it is {s.cause.short}: {s.cause.repair.what}" for s in names if not s.cause.repair.by_service)
    return [Step("repair", "Repair what the tests have shown, and nothing else", lines, "")] if lines else []


def _repair(suspect: Suspect, diagnosis: Diagnosis, book: Book) -> Step:
    repair = suspect.cause.repair
    lines = [] if is_proven(suspect) else [f"{first_upper(in_words(suspect))}."]
    lines += [f"Part or circuit: {repair.part}", *said_at(diagnosis.firings.findings.case, book, suspect.cause.id)]
    lines.append(f"Cured when: {repair.cured_when}")
    lines += told_cautions(suspect.cause.cautions, diagnosis, book, suspect.cause.id)
    title = f"{first_upper(repair.what)} ({duration(repair.minutes)})"
    if is_open(suspect, diagnosis):
        says = f"{suspect.cause.short}: {first_lower(repair.what)} ({duration(repair.minutes)})"
        missing = suspect.cause.id in diagnosis.unconfirmed
        lead = "Only if a second physical principle confirms" if missing else "If the tests confirm"
        title = f"{lead} {says}"
    return Step("repair", title, tuple(lines), suspect.cause.id)


def filling(diagnosis: Diagnosis, decision: Decision, book: Book, refill: Litres | None) -> list[Step]:
    """After a repair that opens the system, where the service itself fills nothing."""
    work = book.repair_work
    opened = [suspect for suspect in wanted(diagnosis) if suspect.cause.repair.opens]
    if work is None or not opened or decision.service.quantities != "none":
        return []
    drained = drains(diagnosis)
    lines = [*(work.fill if drained else work.top_up), *(refill.says if drained and refill is not None else ())]
    if decision.confirmed is not None and decision.confirmed.quantities != "none":
        lines.append(f"Where the new reading confirms the doubtful one: {decision.confirmed.label} instead of this.")
    lines += told_cautions(work.cautions, diagnosis, book)
    title = "Fill and bleed the system after the repair" if drained else "Bring the level up after the repair"
    return [Step("fill", title, tuple(lines), "")]


def told_cautions(names: Sequence[str], diagnosis: Diagnosis, book: Book, cause: str = "") -> list[str]:
    """A step's own cautions; what holds at every opening is said at the gate, what holds always at the end.

    What asks for a second principle is told until there is one: for `cause`, or for whatever would be mended.
    """
    own = [book.cautions[name] for name in names if name in book.cautions]
    chosen = chosen_roots(diagnosis.suspects)
    missing = cause in diagnosis.unconfirmed if cause else bool(diagnosis.unconfirmed) or not chosen
    told = {"named", "unconfirmed"} if missing else {"named"}
    return [f"{CAUTION}{caution.text}" for caution in own if caution.when in told]


def _followers(root: Suspect, diagnosis: Diagnosis) -> Iterator[Suspect]:
    """The probable consequences in a root's story."""
    for name in root.story:
        suspect = diagnosis.suspect(name)
        if is_proven(suspect) or suspect.probability >= STRONG:
            yield suspect


def _count(principles: Sequence[str]) -> str:
    return f"one physical principle ({join(principles)})" if principles else "no clear sign by any physical principle"
