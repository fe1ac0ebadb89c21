"""The words to the program: why, how, back, list, other, note, help, stop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose.findings.shown import shown_band
from diagnose.session import once_more, taking, telling, words
from diagnose.session.model import Line, Question, Reply, said
from diagnose.session.writing import Recorder

if TYPE_CHECKING:
    from diagnose.session.session import Session


def run(session: Session, question: Question, word: str, rest: str, bare: bool) -> Reply:
    """Obey one word; `bare` tells that it was written as the one word, which may be a reading too."""
    quantity = session.book.quantities.get(question.quantity)
    if quantity is not None and bare and (band := words.clash(word, quantity)):
        return said(
            f"'{word}' can mean two things here. For the reading write '{words.ANSWER}{shown_band(band)}';"
            f" for the program write '{words.SPELLED_OUT[word]}'."
        )
    return {
        "why": _why,
        "how": _how,
        "back": _back,
        "list": _list,
        "other": _other,
        "note": _note,
        "help": _help,
        "stop": _stop,
    }[word](session, question, rest)


def _why(session: Session, question: Question, _: str) -> Reply:
    if session.standing is None:
        return said("These words name the case, on the screen and on its papers.")
    quantity = session.book.quantities.get(question.quantity)
    choice = session.choice(session.test(question))
    return Reply(tuple(telling.why(quantity, choice, session.standing.plan.diagnosis, session.book)))


def _how(session: Session, question: Question, _: str) -> Reply:
    test = session.test(question)
    if test is None:
        return said(f"There is nothing to be done for this, only to be answered: {question.takes}.")
    return Reply(tuple(telling.how(test, session.book)))


def _back(session: Session, question: Question, _: str) -> Reply:
    if session.choosing:
        session.stop_choosing()
        return said("Back to the question.")
    if session.again is None and session.go_back():
        return said("The last answer is undone.")
    return once_more.one_back(session)


def _list(session: Session, question: Question, _: str) -> Reply:
    if session.standing is None:
        return said("Nothing yet.")
    return Reply(tuple(telling.known(session.standing.plan, session.book)))


def _other(session: Session, question: Question, rest: str) -> Reply:
    if session.standing is None or question.kind in ("visit", "done", "left", "repaired"):
        return said("Answer this first; then any test can be taken.")
    session.choosing, session.narrowed = True, ()
    return taking.take(session, session.question(), rest) if rest else Reply(())


def _note(session: Session, question: Question, rest: str) -> Reply:
    if not rest:
        return said("Write the words behind it: note the driver heard a hiss.")
    standing = session.standing
    if standing is None:
        return said("Answer this first; then notes can be taken.")
    recorder = Recorder(standing.text, standing.whole, standing.at)
    recorder.note(rest)
    again = session.again
    session.move_to(recorder.text)
    session.again = again
    return said("Noted.")


def _help(session: Session, question: Question, _: str) -> Reply:
    lines = [Line(f"{word}: {what}", "- ") for word, what in words.COMMANDS.items()]
    first = Line(f"This question takes: {question.takes}.")
    more = Line("Behind a value: '6.5; by pad', '44 %; sample 35 degC', or any words as a note: '6.5; second strip'.")
    return Reply((first, more, *lines))


def _stop(session: Session, question: Question, _: str) -> Reply:
    session.over = True
    return Reply(())
