"""The running engine, asked about cars of which exactly some answers are known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.case.from_yaml import case_from_text
from diagnose.diagnosis.asked import wanted_first
from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.from_firings import diagnose
from diagnose.findings.from_case import find
from diagnose.findings.model import Finding, Findings, Reading
from diagnose.firings.from_findings import RuleEngine
from diagnose.firings.model import Firings
from diagnose.plan.from_diagnosis import plan
from diagnose.plan.model import Plan
from diagnose.plan.steps import GATE
from diagnose.rulebook.model import FAMILY, Book, Quantity, Test

DAY = "2000-01-01"
"""A case needs a date; nothing that is drawn depends on it."""


@dataclass(frozen=True, slots=True)
class Answer:
    """A quantity (or the family) is in this band; `method` is the instrument, '' for the first one."""

    quantity: str
    band: str
    method: str = ""


State = Mapping[str, str]
"""The car as it stands: a value for each of its parts."""


class Road:
    """A book's rules and belief, compiled once."""

    def __init__(self, book: Book, rules: RuleEngine, belief: Belief) -> None:
        self.book = book
        self.rules = rules
        self.belief = belief

    def firings(self, answers: Sequence[Answer], state: State) -> Firings:
        """What fires on exactly these answers."""
        return self.rules.run(self._findings(answers, state))

    def plan(self, firings: Firings) -> Plan:
        return plan(diagnose(firings, self.belief), self.book)

    def _findings(self, answers: Sequence[Answer], state: State) -> Findings:
        """As a case records them. What follows from other readings can't stand in a case and is put beside them."""
        findings = find(case_from_text(case_text(answers, state, self.book), "tree"), self.book)
        quantities = [(self.book.quantities[a.quantity], a.band) for a in answers if a.quantity != FAMILY]
        computed = {q.id: _computed(q, band) for q, band in quantities if q.role in ("derived", "pattern")}
        if not computed:
            return findings
        found = {**findings.found, **computed}
        return replace(findings, found={name: found[name] for name in self.book.quantities if name in found})


def as_most_are(book: Book) -> tuple[Answer, ...]:
    """What cars are like for which a tree is drawn: what is asked before a hand goes near them, and what only tells
    which tests may be done, each as it is on most of them."""
    asked = dict.fromkeys((*(book.tests[GATE].first if GATE in book.tests else ()), *_tells_no_cause(book)))
    found = []
    for name in asked:
        often = {band: word.value for band, word in book.quantities[name].how_often.items()}
        if often:
            found.append(Answer(name, max(often, key=lambda band: often[band])))
    return tuple(found)


def _tells_no_cause(book: Book) -> tuple[str, ...]:
    """Givens that tests want first, and from which no cause, decision or ban follows."""
    causes, rules = book.causes.values(), book.rules.values()
    conditions = [
        c for cause in causes for when in (cause.only_when, *(p.when for p in cause.prior_when)) for c in when
    ]
    conditions += [
        c for rule in rules if rule.decides or rule.drive or rule.forbids or rule.concludes for c in rule.when
    ]
    conditions += [c for rule in rules if rule.seen_with or rule.proves for c in rule.when]
    told = {condition.quantity for condition in conditions}
    wanted = wanted_first(book)
    return tuple(q.id for q in book.quantities.values() if q.role == "given" and q.id in wanted and q.id not in told)


def passed_over(book: Book) -> frozenset[str]:
    """Facts about which a tree is silent: a car that has them otherwise goes the same way."""
    return frozenset(_tells_no_cause(book))


def start_state(book: Book) -> State:
    """How a car comes in."""
    return {state.id: state.values[0] for state in book.states.values()}


def after(test: Test, state: State) -> State:
    """How the car stands once a test is done."""
    return {**state, **test.needs, **test.leaves}


def case_text(answers: Sequence[Answer], state: State, book: Book) -> str:
    """A case file that records these answers and nothing else."""
    families = [answer.band for answer in answers if answer.quantity == FAMILY]
    lines = ["id: tree", f"date: {DAY}", "title: one way through a tree", f"book: {book.id}"]
    lines.append(f"family: [{', '.join(families)}]" if families else "family: unknown")
    sections: dict[str, list[Answer]] = {}
    for answer in answers:
        if answer.quantity != FAMILY and book.quantities[answer.quantity].role == "given":
            sections.setdefault(book.quantities[answer.quantity].under, []).append(answer)
    for section, given in sections.items():
        lines += [f"{section}:", *(f'  {answer.quantity}: "{answer.band}"' for answer in given)]
    if state:
        lines += ["state:", *(f'  {name}: "{value}"' for name, value in state.items())]
    readings = [a for a in answers if a.quantity != FAMILY and book.quantities[a.quantity].role == "reading"]
    if readings:
        lines.append("readings:")
    for answer in readings:
        method = f', method: "{answer.method}"' if answer.method else ""
        lines.append(f'  - {{quantity: "{answer.quantity}", value: "{answer.band}"{method}}}')
    return "\n".join(lines) + "\n"


def _computed(quantity: Quantity, name: str) -> Finding:
    shares = tuple(1.0 if band.id == name else 0.0 for band in quantity.bands)
    says = next(band.says for band in quantity.bands if band.id == name)
    reading = Reading("", name, None, shares, None)
    return Finding(quantity, "known", (reading,), (name,), None, says, "", disagree=False, derived=True)
