"""Which service the rules decide for, and whether a doubtful reading has to be taken again first."""

from __future__ import annotations

from collections import Counter

from diagnose.diagnosis.confirm import STRONG, chosen_roots
from diagnose.diagnosis.model import Complaint, Diagnosis, Suspect
from diagnose.findings.model import Finding, Reading
from diagnose.findings.recorded import ASSUMED
from diagnose.firings.model import Firing
from diagnose.plan.doubt import doubt
from diagnose.plan.model import Decision
from diagnose.plan.steps import GATE
from diagnose.plan.wording import first_upper, join
from diagnose.rulebook.model import Book, Quantity, Service, Test

MEASURE_AGAIN = "measure_again"
KEEP = "keep"
NOTHING_READ = "nothing_read"
COMPLAINT = "complaint"


def decide(diagnosis: Diagnosis, book: Book) -> Decision:
    """The highest-ranking service that rules decide for.

    A rule that only may fire never decides: if it would outrank what is sure, the reading it
    hangs on is taken again first. The same holds where the first suspect is a fooled instrument
    and the deciding rule stands on that instrument's reading.
    """
    deciding = list(diagnosis.firings.deciding())
    rank = {name: number for number, name in enumerate(book.services)}
    deciding.sort(key=lambda firing: (rank[firing.rule.decides], firing.state != "fires"))
    if not deciding:
        return _nothing_decides(diagnosis, book)
    best = deciding[0].rule.decides
    group = [firing for firing in deciding if firing.rule.decides == best]
    sure = [firing for firing in group if firing.state == "fires"]
    if not sure:
        return _in_doubt(group, diagnosis, book)
    fooled = _fooled(sure, diagnosis)
    if fooled is not None:
        return _fooled_first(sure, fooled, diagnosis, book)
    service, wanting = _unless_wanting(book.services[best], diagnosis, book)
    return Decision(
        service=service,
        because=(*_reasons(sure), *wanting),
        rules=tuple(firing.rule.id for firing in sure),
        firm=True,
        after=_after(service, diagnosis),
    )


def _unless_wanting(service: Service, diagnosis: Diagnosis, book: Book) -> tuple[Service, tuple[str, ...]]:
    """The service, or the one in its place while what brought the car in is not accounted for; and why."""
    complaint = diagnosis.complaint
    if complaint is None or complaint.wanting not in service.instead:
        return service, ()
    return book.services[service.instead[complaint.wanting]], (unexplained(complaint, book),)


def unexplained(complaint: Complaint, book: Book) -> str:
    """What is wanting, in a sentence."""
    if complaint.held:
        names = join([book.causes[name].short for name in complaint.repaired])
        return f"It came in again ({complaint.says}), and it is not shown yet whether the last repair held: {names}."
    if complaint.wanting == "open":
        labels = join([book.quantities[name].label for name in complaint.open])
        return f"What brought the car in ({complaint.says}) is not explained yet. Not looked at so far: {labels}."
    return (
        f"What brought the car in ({complaint.says}) is not explained: nothing of what was looked at accounts for it."
    )


def _reasons(firings: list[Firing]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(firing.rule.because for firing in firings))


def _after(service: Service, diagnosis: Diagnosis) -> str:
    """What is repaired before the service: what is proven, and whatever spoils it where the service says so."""
    if service.before_repair:
        return ""
    roots = [suspect for suspect in diagnosis.listed() if suspect.root and suspect.cause.kind == "fault"]
    chosen = chosen_roots(diagnosis.suspects)
    if chosen and all(_mended_by_service(root, diagnosis) for root in chosen):
        return ""  # the coolant itself is the cause: nothing else is left to be found and repaired
    proven = [suspect for suspect in roots if suspect.state == "proven"]
    if proven:
        open_ = [s for s in chosen if s.state != "proven" and not s.cause.repair.by_service]
        settled = f"; and once this is settled: {open_[0].cause.label}" if open_ else ""
        return f"after the repair of this: {proven[0].cause.label}{settled}"
    return "after the cause is found and repaired" if roots and service.cause_first else ""


def _mended_by_service(root: Suspect, diagnosis: Diagnosis) -> bool:
    told = [diagnosis.suspect(name) for name in root.story]
    return all(s.cause.repair.by_service for s in (root, *(t for t in told if t.probability >= STRONG)))


def _nothing_decides(diagnosis: Diagnosis, book: Book) -> Decision:
    missing = undecided_quantities(diagnosis, book)
    service = book.services[MEASURE_AGAIN]
    because = "No rule decides on these readings."
    if missing:
        because = f"Nothing can be decided before this is measured: {join(missing)}."
        if len(missing) == len(looked_at_to_keep(book)):
            service = book.services[service.instead.get(NOTHING_READ, service.id)]
    if nothing_recorded(diagnosis):
        begins = join([test.label for test in begins_with(diagnosis, book)])
        because = f"Nothing was recorded yet. Begin with this: {begins}."
    return Decision(service, (because,), (), firm=False, after="")


def nothing_recorded(diagnosis: Diagnosis) -> bool:
    """Whether nobody has read, asked or told anything of this car."""
    findings = diagnosis.firings.findings
    found = [f for f in (*findings.found.values(), *findings.givens.values()) if f.status == "known"]
    return all(reading.recorded == ASSUMED for finding in found for reading in finding.readings)


def begins_with(diagnosis: Diagnosis, book: Book) -> tuple[Test, ...]:
    """What is done first on a car of which nothing is known: what brought it in, whether it may be opened, the rest."""
    asks = [t for t in book.tests.values() if any(book.quantities[y.quantity].under == COMPLAINT for y in t.yields)]
    gate = [book.tests[GATE]] if GATE in book.tests else []
    tests = {test.id: test for test in (*asks[:1], *gate, *(choice.test for choice in diagnosis.next_tests))}
    return tuple(tests.values())


def _in_doubt(group: list[Firing], diagnosis: Diagnosis, book: Book) -> Decision:
    findings = diagnosis.firings.findings
    names = dict.fromkeys(condition.quantity for firing in group for condition in firing.on)
    found = [finding for name in names if (finding := findings.get(name)) is not None and finding.straddles]
    service = book.services[group[0].rule.decides]
    reasons = (*(doubt(finding, findings, book) for finding in found), f"If it is confirmed: {service.label}.")
    rules = tuple(firing.rule.id for firing in group)
    return Decision(book.services[MEASURE_AGAIN], reasons, rules, firm=False, after="", confirmed=service)


def first_misread(diagnosis: Diagnosis) -> Suspect | None:
    """The fooled instrument, where it is the most probable root of all."""
    roots = [suspect for suspect in diagnosis.listed() if suspect.root]
    return roots[0] if roots and roots[0].cause.kind == "misread" else None


def _fooled(sure: list[Firing], diagnosis: Diagnosis) -> Suspect | None:
    """A fooled instrument, probable or the first suspect of all, on whose reading every rule that decides stands."""
    first = first_misread(diagnosis)
    for suspect in diagnosis.listed():
        if suspect.cause.kind != "misread" or (suspect.probability < 0.5 and suspect is not first):
            continue
        if all(any(_stands_on(c.quantity, suspect.cause.id, diagnosis) for c in firing.on) for firing in sure):
            return suspect
    return None


def _stands_on(name: str, cause: str, diagnosis: Diagnosis) -> bool:
    """Whether an abnormal reading hangs on instruments that this misread fools; what others read too still stands."""
    finding = diagnosis.firings.findings.get(name)
    if finding is None or finding.quantity.normal in finding.possible:
        return False
    if finding.quantity.formula is not None:
        return any(_reads(term.name, cause, diagnosis) for term in finding.quantity.formula.terms)
    return _reads(name, cause, diagnosis)


def _reads(name: str, cause: str, diagnosis: Diagnosis) -> bool:
    finding = diagnosis.firings.findings.get(name)
    if finding is None:
        return False
    bands = [band.id for band in finding.quantity.bands]
    behind = [r for r in finding.readings if any(r.shares[bands.index(name)] for name in finding.possible)]
    return bool(behind) and all(_may_fool(cause, reading, finding) for reading in behind)


def _may_fool(cause: str, reading: Reading, finding: Finding) -> bool:
    method = finding.quantity.method(reading.method)
    return method is not None and cause in method.fooled_by and cause not in reading.settled


def _fooled_first(sure: list[Firing], fooled: Suspect, diagnosis: Diagnosis, book: Book) -> Decision:
    service = book.services[sure[0].rule.decides]
    reasons = (
        f"The instrument itself is suspected: {fooled.cause.label}. {first_upper(fooled.cause.repair.what)}.",
        f"If the reading is confirmed: {service.label}.",
    )
    rules = tuple(firing.rule.id for firing in sure)
    return Decision(book.services[MEASURE_AGAIN], reasons, rules, firm=False, after="", confirmed=service)


def deciding_looks(book: Book) -> Counter[str]:
    """How many deciding rules look at each quantity."""
    return book.deciding_looks


def undecided_quantities(diagnosis: Diagnosis, book: Book) -> tuple[str, ...]:
    """Labels of the measured quantities that a rule for keeping the coolant asks for and that nobody has measured."""
    if diagnosis.firings.ended_by is not None:
        return ()
    found = diagnosis.firings.findings.found
    return tuple(q.label for q in looked_at_to_keep(book) if q.id not in found or found[q.id].status != "known")


def looked_at_to_keep(book: Book) -> tuple[Quantity, ...]:
    """The readings that a rule for keeping the coolant asks for."""
    asked = dict.fromkeys(book.decided_on.get(KEEP, ()))
    known = [book.quantities[name] for name in asked if name in book.quantities]
    return tuple(quantity for quantity in known if quantity.role == "reading")
