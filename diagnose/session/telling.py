"""What a session says: why a question is put, how a test is done, what is known, and what an answer changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.case.model import Case
from diagnose.diagnosis.model import Diagnosis, NextTest
from diagnose.findings.shown import shown_band
from diagnose.findings.words import listed
from diagnose.plan.model import Plan
from diagnose.plan.steps import GATE
from diagnose.plan.wording import first_lower, first_upper, join, sentence
from diagnose.report.words import chance, percent
from diagnose.rulebook.model import Book, Quantity, Test
from diagnose.session.model import Line

SHOWN = 3
OPEN = 6
SAME = 0.01
TOGETHER = " Several may be there at once, so the figures need not add up to 100."


def changed(before: Plan | None, now: Plan) -> Line:
    """One line: which suspects an answer moved, and whether it changed what is to be done with the coolant."""
    ended = now.diagnosis.firings.ended_by
    if ended is not None:
        return Line(f"{ended.title}. Nothing is tested on this car: {first_lower(now.decision.service.label)}.")
    old = {s.cause.id: s for s in before.diagnosis.suspects} if before is not None else {}
    moves = [(s, old[s.cause.id]) for s in now.diagnosis.suspects if s.cause.id in old]
    moves = [(s, was) for s, was in moves if abs(s.probability - was.probability) >= SAME or s.state != was.state]
    moves = [(s, was) for s, was in moves if max(s.probability, was.probability) >= 0.05 or s.state == "proven"]
    moves.sort(key=lambda pair: (pair[0].state != "proven", -abs(pair[0].probability - pair[1].probability)))
    told = []
    for s, was in moves[:SHOWN]:
        verb = "rises" if s.probability > was.probability else "falls"
        moved = f"{verb} from {percent(was.probability)} to {percent(s.probability)}"
        told.append(f"{s.cause.short} {'proven' if s.state == 'proven' else moved}")
    parts = [", ".join(told)] if told else []
    if before is not None and before.decision.service.id != now.decision.service.id:
        parts.append(f"the coolant: {_coolant(now)}")
    return Line(f"Changed: {'; '.join(parts)}." if parts else "Noted; it moves no suspect.")


def _coolant(plan: Plan) -> str:
    after = plan.decision.after
    return f"{plan.decision.service.label}{f' - {after}' if after else ''}"


def cautions(test: Test, book: Book) -> list[str]:
    """What a test, or opening the system for it, can do to somebody."""
    opening = [c for c in book.cautions.values() if c.when == "opening"] if test.opens or test.id == GATE else []
    named = [book.cautions[name] for name in test.cautions if name in book.cautions]
    return list(dict.fromkeys(f"Caution: {caution.text}" for caution in (*opening, *named)))


def in_brief(cautions: Sequence[str]) -> list[str]:
    """Cautions that were told before, on one line: the first sentence of each."""
    first = [caution.removeprefix("Caution: ").partition(". ")[0].removesuffix(".") for caution in cautions]
    return [f"Cautions as before, in full under 'how': {'. '.join(first)}."] if first else []


def heading(test: Test, choice: NextTest | None, book: Book, state: Mapping[str, str]) -> list[Line]:
    """What is said when a test begins: what it is, how long, what it needs."""
    minutes = choice.minutes if choice is not None else test.minutes + test.wait * (test.day_away is None)
    lines = [Line(f"{first_upper(test.label)}, {round(minutes)} min.")]
    needs = [
        f"{book.states[part].label} {shown_band(value)}"
        for part, value in test.needs.items()
        if state.get(part) != value
    ]
    if needs:
        lines.append(Line(f"For this: {join(needs)}."))
    if test.tools:
        lines.append(Line(f"Tools: {', '.join(test.tools)}."))
    return lines


def how(test: Test, book: Book) -> list[Line]:
    """The procedure, cautions first."""
    lines = [Line(text, "! ") for text in cautions(test, book)]
    lines += [Line(f"Tools: {', '.join(test.tools)}.")] if test.tools else []
    lines += [Line(step, f"{number}. ") for number, step in enumerate(test.steps, 1)]
    return [*lines, Line(f"How it misleads: {test.misleads}"), Line(book.defers_to)]


def why(quantity: Quantity | None, choice: NextTest | None, diagnosis: Diagnosis, book: Book) -> list[Line]:
    """What the answers would change, and which causes each of them speaks for."""
    lines = [Line(sentence(choice.why))] if choice is not None else []
    if choice is not None and quantity is not None:
        for look in choice.outlook:
            if look.quantity == quantity.id:
                told = f"{shown_band(look.band)}, {chance(look.probability)}: {_after(look.after, diagnosis)}"
                lines.append(Line(told, "- "))
    if quantity is not None and not any(line.lead for line in lines):
        lines += [Line(text, "- ") for text in _speaks_for(quantity, book)]
    return lines or [Line("It is asked so that the work is safe and the limits are the right ones.")]


def _after(after: Mapping[str, float], diagnosis: Diagnosis) -> str:
    now = {s.cause.id: s for s in diagnosis.suspects}
    moved = sorted(after.items(), key=lambda pair: -abs(pair[1] - now[pair[0]].probability))[:SHOWN]
    told = []
    for name, share in moved:
        was = now[name].probability
        if abs(share - was) >= SAME:
            verb = "for" if share > was else "against"
            told.append(f"{verb} {now[name].cause.short} ({percent(was)} to {percent(share)})")
    return "; ".join(told) or "nothing moves"


def _speaks_for(quantity: Quantity, book: Book) -> list[str]:
    """For each band, the causes that rules link to it, and what rules decide on it."""
    told = []
    asking = [r for r in book.rules.values() if any(c.quantity == quantity.id for c in r.when)]
    for band in quantity.bands:
        rules = [r for r in asking if any(c.quantity == quantity.id and band.id in c.bands for c in r.when)]
        causes = dict.fromkeys(book.causes[link.cause].short for rule in rules for link in rule.seen_with)
        services = dict.fromkeys(book.services[rule.decides].label for rule in rules if rule.decides)
        parts = ([f"for {', '.join(list(causes)[:6])}"] if causes else []) + (
            [f"bears on: {', '.join(services)}"] if services else []
        )
        if parts:
            told.append(f"{shown_band(band.id)}: {'; '.join(parts)}")
    told = [*_makes_common(quantity, book), *told]
    return told or [f"{first_upper(quantity.label)} goes into the limits and the reckoning."]


def _makes_common(quantity: Quantity, book: Book) -> list[str]:
    """For each band of a given, the causes that it makes most common."""
    told = []
    for band in quantity.bands:
        common = [
            (prior.how_common.value, cause.short)
            for cause in book.causes.values()
            for prior in cause.prior_when
            for condition in prior.when
            if condition.quantity == quantity.id
            and band.id in condition.bands
            and prior.how_common.value > cause.how_common.value
        ]
        most = [short for _, short in sorted(common, key=lambda pair: -pair[0])]
        if most:
            told.append(f"{shown_band(band.id)}: makes likelier {', '.join(list(dict.fromkeys(most))[:6])}")
    return told


def known(plan: Plan, book: Book) -> list[Line]:
    """What was read and told so far, and the first suspects."""
    findings = plan.diagnosis.firings.findings
    case = findings.case
    lines = [Line(f"coolant family: {_family(case, plan, book)}", "- ")]
    for finding in (*findings.givens.values(), *findings.found.values()):
        if finding.status == "known" and "assumed" not in finding.shown:
            says = (" and " if finding.together else " or ").join(band.says for band in finding.bands)
            means = f" ({says})" if len(finding.quantity.bands) > 1 and says != finding.shown else ""
            note = "; noted: " + "; ".join(notes) if (notes := _notes(case, finding.quantity)) else ""
            lines.append(Line(f"{finding.quantity.label}: {finding.shown}{means}{note}", "- "))
    if case.note:
        lines.append(Line(f"Noted: {case.note}"))
    open_ = [f.quantity.label for f in (*findings.givens.values(), *findings.found.values()) if f.status != "known"]
    if open_:
        lines.append(Line(f"Asked, not known: {', '.join(open_)}."))
    roots = [s for s in plan.diagnosis.listed() if s.root][:SHOWN]
    told = [f"{s.cause.short}, {'proven' if s.state == 'proven' else _how_probable(s.probability)}" for s in roots]
    lines.append(
        Line(f"First suspects: {'; '.join(told)}.{TOGETHER if told[1:] else ''}" if told else "No suspect yet.")
    )
    lines.append(Line(f"The coolant, as it stands: {_coolant(plan)}."))
    return lines


def _how_probable(probability: float) -> str:
    return f"{chance(probability)} ({percent(probability)})"


def _family(case: Case, plan: Plan, book: Book) -> str:
    """The families that were told; which one is in it may not have been asked, or nobody knows."""
    if not case.families:
        return "not known"
    return listed([book.families[name].label for name in plan.diagnosis.firings.findings.families])


def _notes(case: Case, quantity: Quantity) -> list[str]:
    return list(dict.fromkeys(entry.note for entry in case.readings if entry.name == quantity.id and entry.note))


def unproven(plan: Plan) -> list[Line]:
    """What the session leaves open."""
    diagnosis = plan.diagnosis
    open_ = [s for s in diagnosis.listed() if s.root and s.state != "proven"][:OPEN]
    lines = [
        Line(
            f"{first_upper(s.cause.label)}: {s.state}, {_how_probable(s.probability)}."
            f" Mended when: {s.cause.repair.cured_when}.",
            "- ",
        )
        for s in open_
    ]
    lines += [Line(f"Not tested: {choice.test.label}.", "- ") for choice in diagnosis.next_tests]
    lines += [Line(f"Not today: {test.label} ({reason}).", "- ") for test, reason in diagnosis.later]
    return lines or [Line("Nothing that this book could still tell apart.", "- ")]
