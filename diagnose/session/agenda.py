"""What to ask next: a function of the case as it is written, so that a session goes on wherever it broke off."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from diagnose.case.model import Case, Entry
from diagnose.diagnosis.evidence import better_than
from diagnose.diagnosis.model import Diagnosis, NextTest
from diagnose.findings.reading import NotUsable
from diagnose.findings.words import NOT_DONE, UNKNOWN, find_bands, plain
from diagnose.plan.steps import GATE
from diagnose.rulebook.model import FAMILY, Book, Condition, Quantity, Test, Yield
from diagnose.session.writing import method_of

OPENING = "opening"
SAFE = "safe"
COMPLAINT = "complaint"
AGAIN = " again "


def entries(case: Case, quantity: Quantity) -> list[Entry]:
    return [entry for entry in (*case.readings, *case.givens) if entry.name == quantity.id]


def is_answered(case: Case, quantity: Quantity, method: str) -> bool:
    """Whether this instrument, a better one, or the person has been asked.

    'not done' counts only where it names the method: what was not done by hand-written account still can be.
    """
    for entry in entries(case, quantity):
        said = plain(entry.text)
        if said == NOT_DONE:
            if (entry.method or not quantity.methods) and method_of(entry, quantity) == (method or entry.method):
                return True
        elif said == UNKNOWN or not method or method_of(entry, quantity) in {method, *better_than(quantity, method)}:
            return True
    return False


def asked_in(test: Test, book: Book) -> list[Yield]:
    """What a person can be asked when doing a test, the family first; the rest is computed."""
    family = [Yield(FAMILY, "", test.place)] if test.finds_family else []
    return [*family, *(y for y in test.yields if book.quantities[y.quantity].role in ("reading", "given"))]


def worth_asking(test: Test, case: Case, book: Book) -> list[Yield]:
    """As asked_in(), without what earlier answers make void."""
    asked = asked_in(test, book)
    return [y for y in asked if y.quantity == FAMILY or not is_void(book.quantities[y.quantity], case, book)]


def open_questions(test: Test, case: Case, book: Book) -> list[Yield]:
    """What was not answered yet. The family is asked for where nobody knows it and the rest of the test is open too."""
    others = [y for y in worth_asking(test, case, book) if y.quantity != FAMILY]
    left = [y for y in others if not is_answered(case, book.quantities[y.quantity], y.method)]
    family = [y for y in asked_in(test, book) if y.quantity == FAMILY and left and len(case.families) != 1]
    return [*family, *left]


def is_void(quantity: Quantity, case: Case, book: Book) -> bool:
    """Whether answers in the case leave nothing to ask about `quantity`."""
    return any(all(_holds(condition, case, book) for condition in way) for way in quantity.not_asked_when)


def _holds(condition: Condition, case: Case, book: Book) -> bool:
    """Whether a given in words is told, and lies in the condition's bands for sure."""
    given = book.quantities[condition.quantity]
    told = [entry.text for entry in entries(case, given)]
    try:
        bands = find_bands(told[-1], given) if told else ()
    except NotUsable:
        bands = ()
    return bool(bands) and set(bands) <= set(condition.bands)


def in_hand(case: Case, book: Book) -> tuple[Test | None, tuple[Yield, ...]]:
    """The test that is half done, and which of its questions are put once more though they were answered before."""
    name, again, rest = case.in_hand.partition(AGAIN)
    test = book.tests.get(name)
    wanted = rest.split()
    return test, tuple(y for y in asked_in(test, book) if _named(y) in wanted) if test is not None and again else ()


def written_in_hand(test: Test, anew: Iterable[Yield]) -> str:
    """How it is kept in the case: 'look_and_smell', or 'look_and_smell again smell/nose'."""
    names = [_named(each) for each in anew]
    return test.id + (AGAIN + " ".join(names) if names else "")


def _named(asked: Yield) -> str:
    return f"{asked.quantity}/{asked.method}" if asked.method else asked.quantity


def reads_open(test: Test, case: Case, book: Book) -> bool:
    """Whether a test reads something on the car that nobody has read."""
    asked = [y for y in open_questions(test, case, book) if y.quantity != FAMILY]
    return any(book.quantities[y.quantity].role == "reading" for y in asked)


def gate_says(case: Case, book: Book) -> str:
    """The last word of the gate: a band of `opening`, 'not done' after a warm run, '' where never asked."""
    quantity = book.quantities.get(OPENING)
    found = entries(case, quantity) if quantity is not None else []
    return plain(found[-1].text) if found else ""


def has_gate(book: Book) -> bool:
    return GATE in book.tests and OPENING in book.quantities


def may_open(case: Case, book: Book) -> bool:
    return not has_gate(book) or gate_says(case, book) == SAFE


def proposals(diagnosis: Diagnosis, case: Case, book: Book) -> list[NextTest]:
    """The proposed tests that still ask something which was not put aside."""
    return [choice for choice in diagnosis.next_tests if open_questions(choice.test, case, book)]


def without_put_aside(case: Case) -> Case:
    """The case with what can't be done told as what nobody knows, so that other tests are proposed."""

    def changed(found: Iterable[Entry]) -> tuple[Entry, ...]:
        return tuple(entry._replace(text=UNKNOWN) if plain(entry.text) == NOT_DONE else entry for entry in found)

    return replace(case, readings=changed(case.readings), givens=changed(case.givens))
