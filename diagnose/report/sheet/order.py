"""The work order that goes with the car: readings, work, litres, waste, label and retests, to be written on."""

from __future__ import annotations

from diagnose.findings.model import Finding
from diagnose.findings.recorded import ASSUMED
from diagnose.plan.amounts import amount, between, number
from diagnose.plan.decision import deciding_looks
from diagnose.plan.from_diagnosis import abnormal
from diagnose.plan.model import Litres, Plan, Step
from diagnose.plan.moved import Moved
from diagnose.plan.proven import in_words, is_proven
from diagnose.plan.repairs import is_mended
from diagnose.plan.steps import GATE, chosen_roots
from diagnose.plan.wording import first_upper, sentence
from diagnose.report.sheet.model import Blanks, Block, Job, Jobs, Points, Section, Sheet, Table
from diagnose.report.words import chance, day
from diagnose.rulebook.model import Book

CAUTION = "Caution: "
CYCLES = 4
"""So many empty rows for drainings where nobody can reckon how many it takes."""
SIGNS = 6
"""So many readings that were out are named at most."""
RETESTS = ("after the first heat cycle, cold again", "after 500 to 1000 km", "in 12 months")


def work_order(plan: Plan, book: Book, moved: Moved | None = None) -> Sheet:
    """Everything the technician does and writes down, in the order of the work, and all that was noted."""
    case = plan.diagnosis.firings.findings.case
    notes, told = _notes(plan, moved), _told(plan)
    minded = tuple(sentence(rule.says) for rule in plan.bear_in_mind)
    sections = [
        Section("", (Blanks(("Workshop", "Order number", "Vehicle", "Distance", "Technician")),)),
        Section("Before anything is opened", (Points(_cautions(plan, book)),)),
        Section("Suspected", (Points(_suspects(plan)),)),
        *([Section("Told of the car and its coolant", (Points(told),))] if told else []),
        *([Section("Noted", (Points(notes),))] if notes else []),
        *([Section("Bear in mind", (Points(minded),))] if minded else []),
        Section("Readings, before and after", (_readings(plan, book),)),
        Section("Work, in order", (Jobs(_jobs(plan, book)),)),
    ]
    if _reckoned(plan) is not None or plan.decision.service.quantities != "none":
        sections.append(Section("Draining and filling", _filling(plan)))
    sections += [
        Section("Parts renewed, and damage to look for", _parts(plan)),
        Section("Waste, each apart", (_waste(plan),)),
        Section("Label for the bottle", (_label(plan, book),)),
        Section("Retests", _retests(plan, book)),
    ]
    about = f"Case {case.id}, {day(case.date)}: {case.title}"
    foot = f"Rulebook {book.id}, edition {book.edition}. {book.defers_to}"
    return Sheet("Work order, cooling system", about, book.language, tuple(sections), foot)


def _notes(plan: Plan, moved: Moved | None) -> tuple[str, ...]:
    """What was noted at this visit, then at the one before, with its date and whether its repair held."""
    found = [sentence(note) for note in plan.notes]
    if moved is not None:
        verdict = {"held": "it held", "came back": "it did not hold", "not known": "whether it held is not known"}
        then = day(moved.since)
        found += [f"{then}, repaired: {repair.label}; {verdict[repair.verdict]}." for repair in moved.repairs]
        found += [f"{then}: {sentence(note)}" for note in moved.notes]
    return tuple(found)


def _told(plan: Plan) -> tuple[str, ...]:
    """What was told of the car and of the history of its coolant; not what the book only assumes."""
    givens = [f for f in plan.diagnosis.firings.findings.givens.values() if f.status == "known"]
    told = [f for f in givens if any(reading.recorded != ASSUMED for reading in f.readings)]
    return tuple(f"{first_upper(finding.quantity.label)}: {finding.shown}." for finding in told)


def _reckoned(plan: Plan) -> Litres | None:
    """The litres of the service, or those after the repair."""
    return (plan.numbers.litres or plan.numbers.refill) if plan.numbers is not None else None


def _cautions(plan: Plan, book: Book) -> tuple[str, ...]:
    opening = [caution for caution in book.cautions.values() if caution.when == "opening"]
    return tuple(dict.fromkeys(caution.text for caution in (*opening, *plan.cautions)))


def _suspects(plan: Plan) -> tuple[str, ...]:
    told = []
    for suspect in [s for s in plan.diagnosis.listed() if s.root][:4]:
        state = in_words(suspect) if is_proven(suspect) else f"{suspect.state}, {chance(suspect.probability)}"
        told.append(f"{first_upper(suspect.cause.label)}: {state}. Cured when {suspect.cause.repair.cured_when}.")
    if plan.diagnosis.firings.ended_by is not None:
        return (f"Not looked for on this car: {plan.diagnosis.firings.ended_by.title}.",)
    return tuple(told) or ("No cause of this book is suspected.",)


def _readings(plan: Plan, book: Book) -> Table:
    looks = deciding_looks(book)
    found = [f for f in plan.diagnosis.firings.findings.found.values() if f.status == "known" and not f.derived]
    found = [f for f in found if f.quantity.role == "reading" and f.quantity.id != "opening"]
    found.sort(key=lambda f: -looks[f.quantity.id])
    rows = tuple((f.quantity.label, f.shown, _right(f, plan), "", "") for f in found)
    return Table(("what", "before, by", "right", "after", "by"), rows or (("", "", "", "", ""),))


def _right(finding: Finding, plan: Plan) -> str:
    """What is right for it, or for the quantity that is reckoned from it in the same unit."""
    if finding.limits_shown:
        return finding.limits_shown
    for other in plan.diagnosis.firings.findings.found.values():
        formula = other.quantity.formula
        same = other.quantity.unit == finding.quantity.unit and other.limits_shown
        if formula is not None and same and finding.quantity.id in formula.names:
            return other.limits_shown
    return "no limit of its own"


def _jobs(plan: Plan, book: Book) -> tuple[Job, ...]:
    """Every step; the gate is spelled out once, and litres stand in a section of their own."""
    gates = [number for number, step in enumerate(plan.steps, 1) if step.ref == GATE]
    return tuple(
        Job(step.title, (f"As in step {gates[0]}.",)) if number in gates[1:] else _job(step, plan, book)
        for number, step in enumerate(plan.steps, 1)
    )


def _job(step: Step, plan: Plan, book: Book) -> Job:
    litres = _reckoned(plan)
    elsewhere = litres.says if litres is not None else ()
    elsewhere = (*elsewhere, *(_cautions(plan, book) if step.kind == "safety" else ()))
    lines = [line for line in step.lines if not line.startswith(CAUTION) and line not in elsewhere]
    if step.kind == "safety":
        lines.append("What stands above under 'Before anything is opened' holds.")
    if step.kind in ("service", "fill") and len(lines) + 1 < len(step.lines) and elsewhere:
        lines.append("Litres, order of filling and waste: see 'Draining and filling'.")
    test = book.tests.get(step.ref)
    if test is not None and test.tools:
        lines.insert(0, f"Tools: {', '.join(test.tools)}.")
    title = step.title
    if step.kind == "next_check" and plan.next_check is not None:
        title = f"Next check by {day(plan.next_check)}"
    cautions = [line.removeprefix(CAUTION) for line in step.lines if line.startswith(CAUTION)]
    return Job(title, tuple(lines), tuple(cautions))


def _filling(plan: Plan) -> tuple[Block, ...]:
    litres = _reckoned(plan)
    blocks: list[Block] = []
    drains = CYCLES
    capacity = "Capacity"
    if litres is not None:
        blocks.append(Points(litres.says))
        capacity = f"Capacity ({between(litres.capacity)})" if litres.capacity is not None else capacity
        if litres.refills and litres.refills[0].reckoned.concentrate_first.possible:
            drains = litres.refills[0].reckoned.concentrate_first.drains
        elif litres.correction is not None:
            drains = 1
    rows = tuple((str(n), "", "", "", "") for n in range(1, drains + 1))
    blocks.append(Table(("draining", "litres out", "mixture, %", "pH", "look"), rows))
    blocks.append(Blanks((capacity, "Litres filled in", "Litres that had stayed in", "Bleeding, heater on full")))
    return tuple(blocks)


def _parts(plan: Plan) -> tuple[Block, ...]:
    roots = chosen_roots(plan.diagnosis)
    parts = dict.fromkeys(s.cause.repair.part for s in roots if not s.cause.repair.by_service)
    names = tuple(f"{first_upper(part)} - renewed?" for part in parts)
    blocks: list[Block] = [Blanks((*names, "Other parts renewed"))]
    followers = dict.fromkeys(name for suspect in roots for name in suspect.story)
    told = [s for s in roots if is_mended(s, plan.decision.service)]
    left = [f"{sentence(s.cause.label)} If it stayed: {sentence(s.cause.comes_back.because)}" for s in told]
    causes = [plan.diagnosis.suspect(name).cause for name in followers]
    left += [sentence(cause.label) for cause in causes if not cause.repair.by_service]
    if left:
        blocks.append(Points(tuple(dict.fromkeys(left))))
    return tuple(blocks)


def _waste(plan: Plan) -> Table:
    numbers = _reckoned(plan)
    expected = ""
    if numbers is not None and numbers.capacity is not None:
        best = numbers.correction.best if numbers.correction is not None else None
        if best is not None:
            expected = amount(best.waste, "L")
        elif numbers.refills and numbers.refills[0].reckoned.concentrate_first.possible:
            expected = amount(numbers.refills[0].reckoned.concentrate_first.waste, "L")
    together = f"used coolant and rinse water{f' (about {expected})' if expected else ''}"
    rows = (together, "coolant with oil or fuel in it", "cleaner and its rinse", "oil, parts, cloths")
    return Table(("what", "litres or pieces", "container", "handed in"), tuple((row, "", "", "") for row in rows))


def _label(plan: Plan, book: Book) -> Block:
    families = plan.diagnosis.firings.findings.families
    family = book.families[next(iter(families))].label if len(families) == 1 else ""
    litres = _reckoned(plan)
    mixture = f"{number(litres.target.mixture, 0)} %" if litres is not None else ""
    return Table(("coolant family", "mixture", "date", "distance"), ((family, mixture, "", ""),))


def _retests(plan: Plan, book: Book) -> tuple[Block, ...]:
    out = _read_out(plan, book)
    others = [f.quantity for f in out if f.quantity.id not in ("level", "mixture", "ph")]
    others.sort(key=lambda quantity: quantity.in_words)
    head = ("when", "level", "mixture", "pH", *[quantity.label for quantity in others][:1])
    rows = tuple((when, *[""] * (len(head) - 1)) for when in RETESTS)
    mended = [s for s in chosen_roots(plan.diagnosis) if is_mended(s, plan.decision.service)]
    cured = [f"Cured only if this holds: {s.cause.repair.cured_when}." for s in mended]
    again = [f"Not cured if again: {_again(finding)}." for finding in out[:SIGNS]]
    return Table(head, rows), Points((*plan.decision.service.verify, *cured, *again))


def _read_out(plan: Plan, book: Book) -> list[Finding]:
    """What is out: the readings, and what is reckoned from readings that have no limit of their own."""
    quantities = book.quantities
    found = []
    for finding in abnormal(plan.diagnosis, book):
        formula = finding.quantity.formula
        terms = [quantities[name] for name in formula.names if name in quantities] if formula is not None else []
        graded = any(term.role == "reading" and term.unit == finding.quantity.unit for term in terms)
        if finding.quantity.role == "reading" or graded:
            found.append(finding)
    return found


def _again(finding: Finding) -> str:
    says = " or ".join(band.says for band in finding.bands)
    was = "" if finding.quantity.in_words else f"was {finding.shown}"
    right = f"right: {finding.limits_shown}" if finding.limits_shown else ""
    told = "; ".join(part for part in (was, right) if part)
    return f"{finding.quantity.label}: {says}" + (f" ({told})" if told else "")
