"""The test in hand: what it still asks, how it is kept in the case, and how it leaves the car."""

from __future__ import annotations

from diagnose.findings.words import NOT_DONE
from diagnose.rulebook.model import FAMILY, Book, Test, Yield
from diagnose.session import agenda, words
from diagnose.session.model import Question
from diagnose.session.standing import Standing
from diagnose.session.writing import NOTHING, Recorder, put_top


def rest(test: Test, question: Question, standing: Standing, book: Book) -> list[Yield]:
    """The other open questions of a test; not the family, which is asked for first."""
    questions = agenda.open_questions(test, standing.case, book)
    others = [y for y in questions if (y.quantity, y.method) != (question.quantity, question.method)]
    return [y for y in others if y.quantity != FAMILY]


def keep(
    recorder: Recorder,
    test: Test,
    question: Question,
    standing: Standing,
    book: Book,
    left: tuple[Yield, ...],
    done: bool,
) -> None:
    """Keep in the case which test is half done, so that the session goes on with it."""
    more = bool(left) or bool(rest(test, question, standing, book))
    name = agenda.written_in_hand(test, left) if more and not done else NOTHING
    if (standing.whole.in_hand or NOTHING) != name:
        recorder.text = put_top(recorder.text, "in_hand", name)


def leave(recorder: Recorder, test: Test, standing: Standing, book: Book) -> None:
    """The car as the test leaves it. After a warm run the gate is open to question again."""
    state = standing.plan.diagnosis.firings.findings.state
    for part, value in {**test.needs, **test.leaves}.items():
        if state.get(part) != value:
            recorder.put("state", part, value=value)
    warm = "warm" in (test.leaves.get("engine"), test.needs.get("engine"))
    if warm and agenda.gate_says(standing.case, book) == agenda.SAFE:
        gate = book.quantities[agenda.OPENING]
        method = gate.methods[0].id if gate.methods else ""
        recorder.record(gate, method, words.Answer(NOT_DONE))
