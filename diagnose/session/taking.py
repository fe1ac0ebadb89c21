"""Answers, question by question: what each may be, and what it makes of the case."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from diagnose.diagnosis.candidates import forbidden
from diagnose.diagnosis.evidence import better_than
from diagnose.findings.reading import NotUsable, WhichUnit
from diagnose.findings.words import NOT_DONE, UNKNOWN, plain
from diagnose.plan.wording import first_upper
from diagnose.rulebook.model import Quantity, Test
from diagnose.session import about, agenda, asking, family, in_hand, once_more, telling, words
from diagnose.session.model import Line, Question, Reply, said
from diagnose.session.speaking_of import speaking_of
from diagnose.session.standing import Standing
from diagnose.session.writing import NOTHING, Recorder, known_method, put_top
from diagnose.yamlfile import did_you_mean, short

if TYPE_CHECKING:
    from diagnose.session.session import Session


def take(session: Session, question: Question, typed: str) -> Reply:
    """Take an answer to `question`. Raises InputError or NotEditable where it can't be recorded."""
    if session.again == question and plain(typed) == once_more.KEEP:
        return once_more.kept(session)
    return _BY_KIND[question.kind](session, question, typed)


def _test(session: Session, question: Question, typed: str) -> Reply:
    standing = session.standing
    assert standing is not None
    tests = list(session.book.tests.values())
    said_ = plain(typed)
    if said_ == "all":
        session.choosing = True
        return Reply(_line_by_line(tests, session))
    if said_.isdecimal():
        number = int(said_)
        named = session.narrowed or asking.to_choose_from(standing, session.book)
        if not 1 <= number <= len(named):
            return said(f"There are {len(named)} to choose from by number. It takes: {question.takes}.")
        found = [named[number - 1]]
    else:
        found = speaking_of(typed, session.book)
    if not found:
        near = did_you_mean(said_, [plain(test.label) for test in tests])
        return said(f"No test speaks of '{short(typed)}'. {near} 'all' lists every one.".replace("  ", " "))
    if len(found) > 1:
        session.choosing, session.narrowed = True, tuple(found)
        head = Line(f"{len(found)} tests speak of '{short(typed)}'.")
        return Reply((head, *(_line_by_line(found, session) if len(found) > asking.FEW else ())))
    return _begin(session, standing, found[0])


def _line_by_line(tests: Sequence[Test], session: Session) -> tuple[Line, ...]:
    """Each test on a line of its own with its number, in the groups of the book; it may then be named by it."""
    title = {name: group.title for group in session.book.cards for name in group.tests}
    place = {name: number for number, name in enumerate(title)}
    session.narrowed = tuple(sorted(tests, key=lambda test: place.get(test.id, len(place))))
    lines: list[Line] = []
    for number, test in enumerate(session.narrowed, 1):
        group = title.get(test.id, "")
        if number == 1 or group != title.get(session.narrowed[number - 2].id, ""):
            lines += [Line(f"{group}:")] if group else []
        lines.append(Line(test.label, f"{number}. "))
    return tuple(lines)


def _begin(session: Session, standing: Standing, test: Test) -> Reply:
    asked = agenda.worth_asking(test, standing.case, session.book)
    if not asked:
        void = " on this car" if agenda.asked_in(test, session.book) else " by itself"
        return said(f"{first_upper(test.label)} asks nothing{void}.")
    banned = forbidden(test, standing.plan.diagnosis.firings)
    if banned:
        return said(f"{first_upper(test.label)} is {banned}. If a reading behind that is wrong, mend it first.")
    session.stop_choosing()
    if test.opens and session.asked_gate:
        waits = "needs the system open, and it may not be opened yet; take it again once it was found safe"
        return said(f"{first_upper(test.label)} {waits}.")
    new = agenda.open_questions(test, standing.case, session.book)
    anew = () if new and not (test.finds_family and standing.case.families) else tuple(asked)
    session.move_to(put_top(standing.text, "in_hand", agenda.written_in_hand(test, anew)))
    return Reply((), taken=True)


def _value(session: Session, question: Question, typed: str) -> Reply:
    standing, book = session.standing, session.book
    assert standing is not None
    quantity = book.quantities[question.quantity]
    try:
        answer = words.answer(typed, quantity, in_full=question.quantity == agenda.OPENING)
    except WhichUnit:
        raise
    except NotUsable as error:
        return said(f"Not taken: {error.says} ({error.hint}).")
    recorder = Recorder(standing.text, standing.whole, standing.at)
    test = book.tests.get(question.test)
    left = tuple(y for y in standing.anew if (y.quantity, y.method) != (question.quantity, question.method))
    if question.quantity == agenda.OPENING:
        return _gate(session, recorder, standing, quantity, question, answer)
    recorder.record(quantity, question.method, answer)
    if session.again == question:
        return _moved(session, recorder)
    if _by_another(quantity, question.method, answer):
        recorder.record(quantity, question.method, words.Answer(NOT_DONE))
    put_aside = answer.value == NOT_DONE and test is not None and not asking.has_begun(test, standing, book)
    put_aside = put_aside and test is not None and not _another_tool(test, question, standing, session)
    if put_aside and test is not None:
        for each in in_hand.rest(test, question, standing, session.book):
            recorder.record(book.quantities[each.quantity], each.method, words.Answer(NOT_DONE))
        left = ()
    if test is not None:
        if answer.value != NOT_DONE:
            in_hand.leave(recorder, test, standing, session.book)
        in_hand.keep(recorder, test, question, standing, session.book, left, done=put_aside)
    reply = _moved(session, recorder)
    if put_aside and test is not None and len(agenda.asked_in(test, book)) > 1:
        return said(f"Put aside as a whole: {test.label}. 'other' takes it up again.", taken=True)
    return reply


def _note(session: Session, question: Question, typed: str) -> Reply:
    """Words behind a reading; that there are none, or that nobody knows, is kept too, so that it is asked once."""
    standing = session.standing
    assert standing is not None
    recorder = Recorder(standing.text, standing.whole, standing.at)
    text = NOTHING if words.is_cant(typed) else typed
    recorder.note_behind(session.book.quantities[question.quantity], question.method, text)
    session.move_to(recorder.text)
    return said("Noted.", taken=True)


def _moved(session: Session, recorder: Recorder) -> Reply:
    """Make what was recorded the case, and say what it changed."""
    before, now = session.move_to(recorder.text)
    session.asked_gate = False
    return Reply((telling.changed(before.plan if before is not None else None, now.plan),), taken=True)


def _by_another(quantity: Quantity, method: str, answer: words.Answer) -> bool:
    """Whether the reading was taken by an instrument that does not stand in for the one that was asked for."""
    used = known_method(answer.method, quantity) if answer.method else method
    return used not in {method, *better_than(quantity, method)} and quantity.method(used) is not None


def _another_tool(test: Test, question: Question, standing: Standing, session: Session) -> bool:
    """Whether the test may read the same with another tool, which may be at hand."""
    rest = in_hand.rest(test, question, standing, session.book)
    return any(y.quantity == question.quantity for y in rest)


def _gate(
    session: Session,
    recorder: Recorder,
    standing: Standing,
    quantity: Quantity,
    question: Question,
    answer: words.Answer,
) -> Reply:
    if answer.value == NOT_DONE:
        answer = words.Answer(UNKNOWN, answer.method, answer.extras, answer.note)
    recorder.record(quantity, question.method, answer)
    test, _ = agenda.in_hand(standing.case, session.book)
    if test is not None and test.id == question.test:  # it was taken by name; a test that it stands before goes on
        in_hand.keep(recorder, test, question, standing, session.book, (), done=True)
    state = standing.plan.diagnosis.firings.findings.state
    if answer.value == agenda.SAFE and state.get("engine") == "warm":
        recorder.put("state", "engine", value="cold")
    elif answer.value not in (agenda.SAFE, UNKNOWN) and state.get("engine") != "warm":
        recorder.put("state", "engine", value="warm")  # what needs a cold engine waits until it is one
    session.move_to(recorder.text)
    session.asked_gate = answer.value != agenda.SAFE
    if answer.value == agenda.SAFE:
        return Reply(
            (Line("It may be opened with care: cloth, first stop, wait. After every warm run this is asked again."),),
            taken=True,
        )
    return Reply(
        (Line("The cap stays on. Wait half an hour and check again; until then only what needs no opening."),),
        taken=True,
    )


_BY_KIND: dict[str, Callable[[Session, Question, str], Reply]] = {
    "title": about.title,
    "visit": about.visit,
    "family": family.take,
    "test": _test,
    "value": _value,
    "note": _note,
    "done": about.done,
    "left": about.left,
    "repaired": about.repaired,
}
