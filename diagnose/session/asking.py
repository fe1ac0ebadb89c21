"""The next question: what brought the car in, whether it may be opened, the family, then what is proposed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from diagnose.findings.model import Finding
from diagnose.findings.words import NOT_DONE
from diagnose.plan.steps import GATE
from diagnose.plan.wording import first_upper
from diagnose.report.words import day
from diagnose.rulebook.model import FAMILY, Book, Test, Yield
from diagnose.session import agenda, words
from diagnose.session.model import Question
from diagnose.session.standing import Standing

TITLE = Question(
    "title",
    "Which car is this? A few words, such as 'blue estate, runs hot uphill' - no names and no plates.",
    "a few words",
    "Car",
)
QUICK = 6
"""So many tests are named when none is proposed."""
OVER = Question("over", "", "", "")


def which_visit(last: date, today: date) -> Question:
    asks = f"The last readings are of {day(last)}, and today is {day(today)}. Go on with them, or is the car back?"
    return Question("visit", asks, "on (go on with them), new (the car is back: a new visit)", "Visit")


def which_test(standing: Standing, book: Book) -> Question:
    asks = f"Which test? {_listed(standing, book)}"
    return Question("test", asks, "a number, a name or a part of one, 'all' for every test, back, stop", "Test")


def what_else(standing: Standing, book: Book) -> Question:
    """Nothing is proposed any more: a person decides whether it is enough."""
    asks = f"Nothing more is proposed that would tell much. {_listed(standing, book)} Take one all the same, or stop?"
    return Question("test", asks, "stop, or a number, a name or a part of one, 'all' for every test", "Test")


def to_choose_from(standing: Standing, book: Book) -> list[Test]:
    """The proposed tests, or the quickest that nobody has done."""
    if standing.offered:
        return [choice.test for choice in standing.offered]
    tests = [test for test in book.tests.values() if test.id != GATE and not test.dismantling]
    looks = [test for test in tests if agenda.reads_open(test, standing.case, book)]
    return sorted(looks, key=lambda test: test.minutes + test.wait)[:QUICK]


def _listed(standing: Standing, book: Book) -> str:
    tests = to_choose_from(standing, book)
    told = "; ".join(f"{number} {test.label}" for number, test in enumerate(tests, 1))
    if not tests:
        return ""
    return f"Proposed: {told}." if standing.offered else f"Not done yet: {told}."


def next_question(standing: Standing, book: Book, asked_gate: bool) -> Question:
    """What the case as it stands asks for. `asked_gate`: the gate was put just now and stayed shut."""
    case = standing.case
    if standing.earlier is not None:
        about_work = _about_last_work(standing, book)
        if about_work is not None:
            return about_work
    complaint = book.quantities.get(agenda.COMPLAINT)
    if complaint is not None and not agenda.entries(case, complaint):
        return value(*_test_of(agenda.COMPLAINT, book), standing, book)
    if agenda.has_gate(book) and not agenda.gate_says(case, book):
        return value(*_test_of(agenda.OPENING, book), standing, book)
    if not standing.family_told:
        return family(book)
    return _of_test_in_hand(standing, book) or _proposed(standing, book, asked_gate)


def _of_test_in_hand(standing: Standing, book: Book) -> Question | None:
    test, anew = agenda.in_hand(standing.case, book)
    if test is None:
        return None
    questions = list(anew) or agenda.open_questions(test, standing.case, book)
    if not questions:
        return None
    if test.opens and not agenda.may_open(standing.case, book) and not has_begun(test, standing, book):
        return value(*_test_of(agenda.OPENING, book), standing, book)
    return value(test.id, questions[0], standing, book)


def has_begun(test: Test, standing: Standing, book: Book) -> bool:
    """Whether some of the test in hand was answered; the engine may have been warm since, the cap is off already."""
    in_hand, anew = agenda.in_hand(standing.case, book)
    if in_hand is None or test.id != in_hand.id:
        return False
    asked = agenda.asked_in(test, book)
    if anew:
        return len(anew) < len(asked)
    return len(agenda.open_questions(test, standing.case, book)) < len(asked)


def _proposed(standing: Standing, book: Book, asked_gate: bool) -> Question:
    gate = None
    for choice in standing.offered:
        test = choice.test
        if test.id == GATE:
            continue
        if test.opens and not agenda.may_open(standing.case, book):
            gate = _test_of(agenda.OPENING, book)
            if agenda.gate_says(standing.case, book) == NOT_DONE:  # it was found safe; a warm run took that away
                break
            continue
        return value(test.id, agenda.open_questions(test, standing.case, book)[0], standing, book)
    return what_else(standing, book) if gate is None or asked_gate else value(*gate, standing, book)


def _test_of(name: str, book: Book) -> tuple[str, Yield]:
    """The first test that tells a quantity; the quantity alone where no test does."""
    for test in book.tests.values():
        for each in test.yields:
            if each.quantity == name:
                return test.id, each
    return "", Yield(name, "", book.quantities[name].place)


def value(test: str, asked: Yield, standing: Standing, book: Book) -> Question:
    if asked.quantity == FAMILY:
        return replace(family(book), test=test)
    quantity = book.quantities[asked.quantity]
    label = first_upper(quantity.label)
    asks = quantity.ask or f"{label}?"
    return Question(
        "value", asks, words.takes(quantity), label, test, quantity.id, asked.method, _before(quantity.id, standing)
    )


def _before(quantity: str, standing: Standing) -> str:
    if standing.earlier is None:
        return ""
    findings = standing.earlier.diagnosis.firings.findings
    finding: Finding | None = findings.get(quantity)
    if finding is None or finding.status != "known":
        return ""
    return f"On {day(findings.case.date)}: {finding.shown}."


def family(book: Book) -> Question:
    names = ", ".join(book.families)
    asks = "Which coolant family is in it, by the maker's book or the label on the jug? The colour does not tell it."
    return Question("family", asks, f"{names}, several with 'or', unknown", "Coolant family")


def _about_last_work(standing: Standing, book: Book) -> Question | None:
    """What was done when the car was here last; without it nobody can say what moved by itself."""
    number = len(standing.whole.visits) - 1
    work = standing.whole.work if number == 0 else standing.whole.visits[number - 1].work
    if work is None or work.service is None:
        return done(book)
    if not work.mixture and work.service.name in book.services:
        return left_with()
    return None if work.repaired else repaired(standing)


def done(book: Book) -> Question:
    services = [service.id for service in book.services.values() if service.quantities != "none"]
    asks = "What was done with the coolant at the last visit?"
    return Question("done", asks, ", ".join([*services, "nothing", "unknown"]), "Done then")


def left_with() -> Question:
    asks = "What did the mixture read when the car left?"
    return Question("left", asks, "44 %, -29 degC, unknown", "Mixture then")


def repaired(standing: Standing) -> Question:
    asks = f"Which cause was repaired then? Suspected were: {_suspected(standing)}."
    return Question("repaired", asks, "their names, nothing, unknown", "Repaired then")


def _suspected(standing: Standing) -> str:
    assert standing.earlier is not None
    roots = [s for s in standing.earlier.diagnosis.listed() if s.root][:4]
    return "; ".join(s.cause.short for s in roots) or "none"
