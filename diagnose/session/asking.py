"""The next question: what brought the car in, whether it may be opened, the family, then what is proposed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from diagnose.findings.model import Finding
from diagnose.findings.noted import said_at
from diagnose.findings.shown import shown_band
from diagnose.findings.words import NOT_DONE, UNKNOWN, plain
from diagnose.plan.steps import GATE
from diagnose.plan.wording import first_upper
from diagnose.report.words import day
from diagnose.rulebook.model import FAMILY, Book, Cause, Quantity, Test, Yield
from diagnose.session import agenda, words
from diagnose.session.model import Question
from diagnose.session.standing import Standing
from diagnose.session.writing import method_of

TITLE = Question(
    "title",
    "Which car is this? A few words, such as 'blue estate, runs hot uphill' - no names and no plates.",
    "a few words",
    "Car",
)
QUICK = 6
"""So many tests are named when none is proposed."""
FEW = 9
"""More tests than this are listed line by line, once, and not in the question."""
SOON = 30.0
"""Minutes until the car stands as a test needs it, beyond which something else is asked meanwhile."""
NAMED = "a few words, none, unknown"
OVER = Question("over", "", "", "")


def which_visit(last: date, today: date) -> Question:
    asks = f"The last readings are of {day(last)}, and today is {day(today)}. Go on with them, or is the car back?"
    return Question("visit", asks, "on (go on with them), new (the car is back: a new visit)", "Visit")


A_TEST = "a number, a word of what it is about, 'all' for every test"


def which_test(standing: Standing, book: Book, of: Sequence[Test]) -> Question:
    """`of` are the tests that an earlier answer fits, if it fits several."""
    if len(of) > FEW:
        return Question("test", "Which of these, by its number?", f"{A_TEST}, back, stop", "Test")
    asks = f"Which of these? {numbered(of)}." if of else f"Which test? {_listed(standing, book)}"
    return Question("test", asks, f"{A_TEST}, back, stop", "Test")


def what_else(standing: Standing, book: Book) -> Question:
    """Nothing is proposed any more, or all of it has to wait: a person decides whether it is enough."""
    if standing.offered and not agenda.may_open(standing.case, book):
        asks = (
            f"What is left has to wait until the engine is cold and may be opened. {_listed(standing, book)} "
            "Stop now and go on then with the same command; or is it cold? Then 'safe' puts that question again."
        )
        return Question("test", asks, f"stop, safe, or {A_TEST}", "Test")
    asks = f"Nothing more is proposed that would tell much. {_listed(standing, book)} Take one all the same, or stop?"
    return Question("test", asks, f"stop, or {A_TEST}", "Test")


def numbered(tests: Sequence[Test]) -> str:
    return "; ".join(f"{number} {test.label}" for number, test in enumerate(tests, 1))


def to_choose_from(standing: Standing, book: Book) -> list[Test]:
    """The proposed tests, or the quickest that nobody has done."""
    if standing.offered:
        return [choice.test for choice in standing.offered]
    if standing.plan.diagnosis.firings.ended_by is not None:
        return []
    tests = [test for test in book.tests.values() if test.id != GATE and not test.dismantling]
    looks = [test for test in tests if agenda.reads_open(test, standing.case, book)]
    return sorted(looks, key=lambda test: test.minutes + test.wait)[:QUICK]


def _listed(standing: Standing, book: Book) -> str:
    tests = to_choose_from(standing, book)
    told = numbered(tests)
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
    if standing.plan.diagnosis.firings.ended_by is not None:
        return what_else(standing, book)
    if agenda.has_gate(book) and not agenda.gate_says(case, book):
        return _before_gate(standing, book) or value(*_test_of(agenda.OPENING, book), standing, book)
    if not standing.family_told:
        return family(book)
    return (
        _note(standing, book) or _of_test_in_hand(standing, book, asked_gate) or _proposed(standing, book, asked_gate)
    )


def _before_gate(standing: Standing, book: Book) -> Question | None:
    """What the book wants to know before a hand goes near the car, where nobody was asked for it yet."""
    for name in book.tests[GATE].first:
        if not agenda.entries(standing.case, book.quantities[name]):
            asked = [(test, each) for test in book.tests.values() for each in test.yields if each.quantity == name]
            if asked:
                test, each = min(asked, key=lambda pair: pair[0].minutes)
                return value(test.id, each, standing, book)
    return None


def _note(standing: Standing, book: Book) -> Question | None:
    """The words that the book wants behind a reading that stands there without any."""
    for quantity in book.noting:
        asked = quantity.note
        read = [e for e in agenda.entries(standing.case, quantity) if plain(e.text) not in (UNKNOWN, NOT_DONE)]
        if asked is None or not read or any(entry.note for entry in read):
            continue
        findings = standing.plan.diagnosis.firings.findings
        if all(findings.surely(condition) for condition in asked.when):
            method = method_of(read[0], quantity)
            test, _ = _test_of(quantity.id, book)
            return Question("note", asked.ask, NAMED, first_upper(asked.label), test, quantity.id, method)
    return None


def _of_test_in_hand(standing: Standing, book: Book, asked_gate: bool) -> Question | None:
    """Where it may not be opened, as somebody said just now, the test waits and something else is asked."""
    test, anew = agenda.in_hand(standing.case, book)
    if test is None:
        return None
    questions = list(anew) or agenda.open_questions(test, standing.case, book)
    if not questions:
        return None
    if test.opens and not agenda.may_open(standing.case, book) and not has_begun(test, standing, book):
        return None if asked_gate else value(*_test_of(agenda.OPENING, book), standing, book)
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
        if not agenda.may_open(standing.case, book) and (test.opens or _must_cool(test, standing, book)):
            gate = _test_of(agenda.OPENING, book)
            if agenda.gate_says(standing.case, book) == NOT_DONE:  # it was found safe; a warm run took that away
                break
            continue
        return value(test.id, agenda.open_questions(test, standing.case, book)[0], standing, book)
    return what_else(standing, book) if gate is None or asked_gate else value(*gate, standing, book)


def _must_cool(test: Test, standing: Standing, book: Book) -> bool:
    """Whether the car has to be brought into a state first that takes its time, such as an engine that cools."""
    state = standing.plan.diagnosis.firings.findings.state
    return any(
        book.states[part].minutes(state[part], value) > SOON for part, value in test.needs.items() if part in state
    )


def _test_of(name: str, book: Book) -> tuple[str, Yield]:
    """The first test that tells a quantity; the quantity alone where no test does."""
    for test in book.tests.values():
        for each in test.yields:
            if each.quantity == name:
                return test.id, each
    return "", Yield(name, "", book.quantities[name].place)


def value(test: str, asked: Yield, standing: Standing, book: Book) -> Question:
    if asked.quantity == FAMILY:
        return family(book, test)
    quantity = book.quantities[asked.quantity]
    label = first_upper(quantity.label)
    asks = _with_tool(quantity, asked, book.tests.get(test), book)
    before = " ".join([*_before(quantity.id, standing), *said_at(standing.case, book, quantity.id)])
    return Question("value", asks, words.takes(quantity), label, test, quantity.id, asked.method, before)


def _with_tool(quantity: Quantity, asked: Yield, test: Test | None, book: Book) -> str:
    """The question, so that nobody doubts which instrument it means."""
    method = quantity.method(asked.method)
    asks = (method.ask if method is not None else "") or quantity.ask or f"{first_upper(quantity.label)}?"
    if method is None or len(quantity.methods) < 2:
        return asks
    ways = [y.method for y in agenda.asked_in(test, book) if y.quantity == quantity.id] if test is not None else []
    if asked.method in ways[1:]:
        return f"Now with the other tool, {method.label}: {asks}"
    return asks if method.ask else f"With this tool, {method.label}: {asks}"


def _before(quantity: str, standing: Standing) -> list[str]:
    if standing.earlier is None:
        return []
    findings = standing.earlier.diagnosis.firings.findings
    finding: Finding | None = findings.get(quantity)
    if finding is None or finding.status != "known":
        return []
    return [f"On {day(findings.case.date)}: {finding.shown}."]


def family(book: Book, test: str = "") -> Question:
    """`test` finds it out; without one it is asked as a matter of course."""
    names = ", ".join(shown_band(name) for name in book.families)
    asks = "Which coolant family is in it, by the maker's book or the label on the jug? The colour does not tell it."
    takes = f"{names}, several with 'or', unknown"
    by = book.tests.get(test)
    if by is not None:
        away = " 'stop' as long as it is away." if by.day_away is not None else ""
        asks = f"{first_upper(by.label)}: which coolant family does it name? 'how' tells where to look.{away}"
        takes = f"{takes}, can't do"
    return Question("family", asks, takes, "Coolant family", test)


def _about_last_work(standing: Standing, book: Book) -> Question | None:
    """What was done when the car was here last; without it nobody can say what moved by itself."""
    number = len(standing.whole.visits) - 1
    work = standing.whole.work if number == 0 else standing.whole.visits[number - 1].work
    if work is None or work.service is None:
        return done(book)
    if not work.mixture and work.service.name in book.services:
        return left_with(book)
    return None if work.repaired else repaired(standing)


def done(book: Book) -> Question:
    services = ", ".join(shown_band(name) for name in choices_done(book))
    asks = "What was done with the coolant at the last visit?"
    return Question("done", asks, services, "Done then")


def choices_done(book: Book) -> list[str]:
    """What may have been done with the coolant, as it is recorded."""
    services = [service.id for service in book.services.values() if service.quantities != "none"]
    return [*services, "nothing", UNKNOWN]


def left_with(book: Book) -> Question:
    asks = "What did the mixture read when the car left?"
    return Question("left", asks, f"{words.number(book.quantities['mixture'])}, unknown", "Mixture then")


def repaired(standing: Standing) -> Question:
    told = "; ".join(f"{number} {cause.short}" for number, cause in enumerate(suspected(standing), 1)) or "none"
    asks = f"Which cause was repaired then? Suspected were: {told}."
    takes = "numbers of these or words for any cause, several with commas; nothing, unknown"
    return Question("repaired", asks, takes, "Repaired then")


def suspected(standing: Standing) -> list[Cause]:
    """The first suspects of the visit before, as they are numbered."""
    assert standing.earlier is not None
    return [s.cause for s in standing.earlier.diagnosis.listed() if s.root][:4]
