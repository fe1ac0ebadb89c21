"""The next steps as a small list of branches: each likely answer is entered, and the case is worked up again.

Of a test that yields several readings only the most telling one is followed, and of its answers the likely ones.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from diagnose.case.model import Case, Entry
from diagnose.diagnosis.model import Ahead, AheadAnswer, Diagnosis, NextTest, Outlook
from diagnose.rulebook.model import Book, Quantity
from diagnose.yamlfile import InputError

LIKELY = 0.05
"""An answer less probable than this is not followed."""
STEPS = 4
"""So many steps are looked ahead at most: each multiplies the branches."""

Diagnose = Callable[[Case], Diagnosis]


def look_ahead(case: Case, diagnosis: Diagnosis, steps: int, diagnose: Diagnose, book: Book) -> Ahead | None:
    """The next `steps` steps from here; None where no test is offered. `diagnose` works up a case."""
    if steps < 1 or not diagnosis.next_tests:
        return None
    choice = diagnosis.next_tests[0]
    answers: list[AheadAnswer] = []
    for outlook in choice.outlook:
        if outlook.probability >= LIKELY:
            answers += _followed(case, choice, outlook, steps, diagnose, book)
    other = max(0.0, 1 - sum(answer.probability for answer in answers))
    return Ahead(choice.test, choice.minutes, tuple(answers), other if other >= 0.005 else 0.0)


def _followed(
    case: Case, choice: NextTest, outlook: Outlook, steps: int, diagnose: Diagnose, book: Book
) -> Iterator[AheadAnswer]:
    quantity = book.quantities[outlook.quantity]
    if quantity.role not in ("reading", "given"):
        return  # what follows from other readings can't be entered
    told = _told(case, choice, quantity, outlook.band)
    try:
        then = diagnose(told)
    except InputError:
        return  # an answer that nothing explains together with the others does not come
    first = next((suspect for suspect in then.listed() if suspect.root), None)
    yield AheadAnswer(
        says=outlook.answer,
        probability=outlook.probability,
        first=first.cause.id if first is not None else "",
        first_probability=first.probability if first is not None else 0.0,
        verdict=then.verdict,
        then=look_ahead(told, then, steps - 1, diagnose, book),
    )


def _told(case: Case, choice: NextTest, quantity: Quantity, band: str) -> Case:
    """The case with this answer entered, and with the car as the test leaves it."""
    test, place = choice.test, case.place
    method = next((each.method for each in test.yields if each.quantity == quantity.id), "")
    section = quantity.under if quantity.role == "given" else "readings"
    entry = Entry(quantity.id, band, method, "", section, place, place, place)
    leaves = {**test.needs, **test.leaves}
    state = tuple(each for each in case.state if each.name not in leaves)
    state += tuple(Entry(name, value, "", "", "state", place, place, place) for name, value in leaves.items())
    if quantity.role == "given":
        kept = tuple(each for each in case.givens if each.name != quantity.id)
        return replace(case, givens=(*kept, entry), state=state)
    rest = tuple(each for each in case.readings if each.name != quantity.id or _stays(each, method))
    return replace(case, readings=(*rest, entry), state=state)


def _stays(reading: Entry, method: str) -> bool:
    """A reading by another instrument stays; one that was not taken, or that is taken anew, gives way."""
    return reading.text not in ("not done", "not_done") and reading.method != method
