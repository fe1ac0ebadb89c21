"""What `back` goes back to where a sitting has no answers of its own yet: the answers that stand in the case.

Nothing is deleted for it. The question is put once more, and what stands there stays until there is a new answer.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from diagnose.case.model import Entry
from diagnose.case.visits import work_at
from diagnose.plan.wording import join
from diagnose.rulebook.model import Book, Yield
from diagnose.session import agenda, asking
from diagnose.session.model import Line, Question, Reply, said
from diagnose.session.standing import Standing
from diagnose.session.writing import method_of

if TYPE_CHECKING:
    from diagnose.session.session import Session

KEEP = "keep"
"""Leaves what stands there."""


def one_back(session: Session) -> Reply:
    """Put the question before the one that is put again; at first the one whose answer stands last."""
    standing = session.standing
    if standing is None or not session.visit_settled:
        return said("There is nothing to go back to.")
    there = list(answered(standing, session.book))
    number = there.index(session.again) + 1 if session.again in there else 0
    if number == len(there):
        return said("Nothing stands before that." if there else "There is nothing to go back to.")
    session.again = there[number]
    lines = [Line("Of this sitting there is no answer to undo; so what stands in the case is asked once more.")]
    test = session.test(session.again)
    if test is not None and test.opens and not agenda.may_open(standing.case, session.book):
        lines.append(Line("This puts right what is written. The cap stays on until it is found safe once more."))
    return Reply(tuple(lines))


def kept(session: Session) -> Reply:
    session.again = None
    return said("It stays as it is.")


def answered(standing: Standing, book: Book) -> Iterator[Question]:
    """The questions whose answers stand in the present visit, the last one first.

    Readings in the order in which they stand; facts about the car; the family; what brought it in; and what was
    done at the visit before.
    """
    own = standing.whole.visits[int(standing.at[1])] if standing.at else standing.whole
    for entry in reversed(_each_once(own.readings, book)):
        yield _again(entry, method_of(entry, book.quantities[entry.name]), standing, book)
    facts = sorted(own.givens, key=lambda entry: entry.place, reverse=True)
    for entry in facts:
        if entry.name != agenda.COMPLAINT:
            yield _again(entry, "", standing, book)
    if standing.family_told and own.families is not None:
        names = [named.name for named in own.families]
        yield _shown(asking.family(book), join(names) if names else "unknown")
    for entry in facts:
        if entry.name == agenda.COMPLAINT:
            yield _again(entry, "", standing, book)
    yield from _work(standing, book)


def _each_once(readings: tuple[Entry, ...], book: Book) -> list[Entry]:
    """The first reading of each instrument: a repeat is joined to it, and an answer replaces it."""
    found: dict[tuple[str, str], Entry] = {}
    for entry in readings:
        found.setdefault((entry.name, method_of(entry, book.quantities[entry.name])), entry)
    return list(found.values())


def _again(entry: Entry, method: str, standing: Standing, book: Book) -> Question:
    in_hand, _ = agenda.in_hand(standing.case, book)
    tests = [*([in_hand] if in_hand is not None else []), *book.tests.values()]
    asked = Yield(entry.name, method, entry.place)
    test = next((t for t in tests if any((y.quantity, y.method) == (entry.name, method) for y in t.yields)), None)
    question = asking.value(test.id if test is not None else "", asked, standing, book)
    by = book.quantities[entry.name].method(method)
    return _shown(question, entry.text + (f", {by.label}" if by is not None else ""))


def _shown(question: Question, stands: str) -> Question:
    before = " ".join(filter(None, (question.before, f"It stands as: {stands}.")))
    return replace(question, before=before, takes=f"{question.takes}; {KEEP} (as it stands)")


def _work(standing: Standing, book: Book) -> Iterator[Question]:
    if standing.earlier is None:
        return
    work = work_at(standing.whole, len(standing.whole.visits) - 1)
    if work is None:
        return
    if work.repaired:
        yield _shown(asking.repaired(standing), join([named.name for named in work.repaired]))
    if work.mixture:
        yield _shown(asking.left_with(book), work.mixture)
    if work.service is not None:
        yield _shown(asking.done(book), work.service.name)
