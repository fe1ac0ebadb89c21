"""The suspects: one story for each root, with what speaks for and against it."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.diagnosis.model import Suspect, Weight
from diagnose.findings.shown import shown_band
from diagnose.plan.model import Plan
from diagnose.plan.wording import first_lower, first_upper
from diagnose.report.layout import wrap
from diagnose.report.words import chance, odds, percent
from diagnose.rulebook.model import Book, PriorWhen

SHOWN_SUSPECTS = 6
SHOWN_WEIGHTS = 5
UNLIKELY = 0.03
SHOWN_DENIED = 4
"""How many causes that fell most are named: they are what somebody would still suspect."""
WORTH_NAMING = 0.05


def causes(plan: Plan, book: Book, width: int) -> list[str]:
    diagnosis = plan.diagnosis
    roots = [suspect for suspect in diagnosis.listed() if suspect.root]
    lines: list[str] = []
    for number, suspect in enumerate(roots[:SHOWN_SUSPECTS], 1):
        lines += _suspect(number, suspect, plan, book, width)
    for sentence in _rest(plan, roots):
        lines += wrap(sentence, width, "  ")
    if roots:
        lines += wrap(
            "Odds in brackets: how far a reading moves a cause besides all the others that are known, 9:1 for,"
            f" 1:9 against. Of two that say the same, neither moves much any more. {book.weights_are}",
            width,
            "  ",
        )
    return lines


def _rest(plan: Plan, roots: list[Suspect]) -> Iterator[str]:
    """What else there is to say of causes, a sentence each."""
    diagnosis = plan.diagnosis
    ended = diagnosis.firings.ended_by
    if ended is not None:
        yield f"Not looked for on this car: {ended.title} [{ended.id}]."
        return
    if not roots:
        yield "Nothing that was recorded points to a cause in this book."
    if len(roots) > SHOWN_SUSPECTS:
        yield f"Also possible: {', '.join(s.cause.short for s in roots[SHOWN_SUSPECTS:])}."
    if diagnosis.nothing_wrong >= WORTH_NAMING:
        yield f"Nothing wrong at all: {chance(diagnosis.nothing_wrong)}."
    if diagnosis.not_in_book >= WORTH_NAMING:
        yield f"A cause that this book does not know: {chance(diagnosis.not_in_book)}."
    denied = [s for s in diagnosis.suspects if s.state == "unlikely" and s.probability < min(s.prior / 2, UNLIKELY)]
    denied = sorted(denied, key=lambda s: round(s.probability - s.prior, 12))[:SHOWN_DENIED]
    if denied:
        told = ", ".join(f"{s.cause.short} ({percent(s.prior)} before, now {percent(s.probability)})" for s in denied)
        yield f"Made unlikely by the readings: {told}."
    impossible = [s for s in diagnosis.suspects if s.state == "impossible"]
    if impossible:
        told = "; ".join(f"{s.cause.short} ({s.ruled_out_by})" for s in impossible)
        yield f"Impossible on this car: {told}."


def _suspect(number: int, suspect: Suspect, plan: Plan, book: Book, width: int) -> list[str]:
    state = "proven" if suspect.state == "proven" else f"{suspect.state}, {chance(suspect.probability)}"
    share = "" if suspect.state == "proven" else f" ({percent(suspect.probability)}{_by_itself(suspect)})"
    lines = wrap(f"{first_upper(suspect.cause.label)}: {state}{share}", width, f"  {number}. ")
    for name in suspect.proven_by:
        lines += wrap(f"{book.rules[name].title} [{name}]", width, "     proof: ", " " * 8)
    told: set[str] = set()
    for number, chain in enumerate(_chains(suspect, plan)):
        links = [_with_readings(link, plan, told) for link in chain]
        lines += wrap(" -> ".join(links), width, "     and: " if number else "     so it goes: ", " " * 8)
    if not told and (shows := _shown_with(suspect, plan, told)):
        lines += wrap("; ".join(shows), width, "     fits: ", " " * 8)
    if suspect.history is not None:
        lines += wrap(_history(suspect.history, plan), width, "     told: ", " " * 8)
    if suspect.state == "proven":
        return lines  # proof has no odds
    speaks = [w for w in suspect.weights if w.factor >= 1][:SHOWN_WEIGHTS]
    denies = [w for w in suspect.weights if w.factor < 1][:SHOWN_WEIGHTS]
    if speaks:
        lines += wrap("; ".join(_weight(w, plan) for w in speaks), width, "     for: ", " " * 8)
    also = _said_already(suspect, plan)
    if also:
        lines += wrap(f"{'; '.join(also)} - which adds little to the others", width, "     for: ", " " * 8)
    if denies:
        lines += wrap("; ".join(_weight(w, plan) for w in denies), width, "     against: ", " " * 8)
    return lines


def _by_itself(suspect: Suspect) -> str:
    """Roots stand in the order of what they are without another cause behind them."""
    if round(suspect.probability, 2) == round(suspect.as_root, 2):
        return ""
    return f", {percent(suspect.as_root)} with no other cause behind it"


def _said_already(suspect: Suspect, plan: Plan) -> list[str]:
    """What was measured and is linked to the cause, but moves it little because other readings say the same."""
    weighed = {weight.quantity for weight in suspect.weights}
    found: dict[str, list[str]] = {}
    for firing in plan.diagnosis.firings.fired:
        if firing.state != "fires" or suspect.cause.id not in [link.cause for link in firing.rule.seen_with]:
            continue
        for condition in firing.on:
            finding = plan.diagnosis.firings.findings.found.get(condition.quantity)
            if finding is not None and condition.quantity not in weighed and finding.readings:
                says = f"{finding.quantity.label}: {shown_band(finding.possible[0])}"
                found.setdefault(says, []).append(firing.rule.id)
    return [f"{says} [{', '.join(rules)}]" for says, rules in found.items()]


def _history(prior: PriorWhen, plan: Plan) -> str:
    """The fact of the history that made a cause more or less common, and why."""
    facts = []
    for condition in prior.when:
        finding = plan.diagnosis.firings.findings.get(condition.quantity)
        if finding is not None:
            facts.append(f"{finding.quantity.label}: {finding.shown}")
    return f"{'; '.join(facts)} - {first_lower(prior.because)}" if facts else first_upper(prior.because)


def _chains(root: Suspect, plan: Plan) -> list[list[Suspect]]:
    """The story as chains from the root to each last consequence; a consequence is told once."""
    told: set[str] = set()
    chains: list[list[Suspect]] = []

    def follow(path: list[Suspect]) -> None:
        followers = [arc.cause for arc in path[-1].cause.leads_to if arc.cause in root.story and arc.cause not in told]
        told.update(followers)
        if not followers and len(path) > 1:
            chains.append(path)
        for name in followers:
            follow([*path, plan.diagnosis.suspect(name)])

    follow([root])
    return chains


def _with_readings(suspect: Suspect, plan: Plan, told: set[str]) -> str:
    """A cause with the readings that fit it, as a link of a story."""
    shows = _shown_with(suspect, plan, told)
    return f"{suspect.cause.short} ({'; '.join(shows)})" if shows else suspect.cause.short


def _shown_with(suspect: Suspect, plan: Plan, told: set[str]) -> list[str]:
    """The readings that a rule which fired links to the cause; each is told once."""
    shows: dict[str, str] = {}
    for firing in plan.diagnosis.firings.fired:
        if firing.state != "fires" or suspect.cause.id not in [link.cause for link in firing.rule.seen_with]:
            continue
        for condition in firing.on:
            finding = plan.diagnosis.firings.findings.found.get(condition.quantity)
            if finding is not None and condition.quantity not in told:
                shows[condition.quantity] = f"{finding.quantity.label}: {shown_band(finding.possible[0])}"
    told.update(shows)
    return list(shows.values())


def _weight(weight: Weight, plan: Plan) -> str:
    rules = f" [{', '.join(weight.rules)}]" if weight.rules and weight.factor >= 1 else ""
    return f"{_reading(weight, plan)} ({odds(weight.factor)}){rules}"


def _reading(weight: Weight, plan: Plan) -> str:
    finding = plan.diagnosis.firings.findings.get(weight.quantity)
    label = finding.quantity.label if finding is not None else weight.quantity
    return f"{label}: {shown_band(weight.band)}"
