"""Answers, question by question: what each may be, and what it makes of the case."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from diagnose.diagnosis.evidence import better_than
from diagnose.findings.reading import NotUsable
from diagnose.findings.words import NOT_DONE, UNKNOWN, plain
from diagnose.rulebook.model import Quantity, Test
from diagnose.session import about, agenda, asking, family, in_hand, once_more, telling, words
from diagnose.session.model import Line, Question, Reply, said
from diagnose.session.standing import Standing
from diagnose.session.writing import Recorder, known_method, put_top
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
        return Reply(tuple(Line(f"{test.id}: {test.label}", "- ") for test in tests))
    if said_.isdecimal():
        number = int(said_)
        named = asking.to_choose_from(standing, session.book)
        if not 1 <= number <= len(named):
            return said(f"There are {len(named)} to choose from by number. It takes: {question.takes}.")
        found = [named[number - 1]]
    else:
        found = [t for t in tests if said_ in (plain(t.id), plain(t.label))]
        found = found or [t for t in tests if plain(t.id).startswith(said_)]
        found = found or [t for t in tests if said_ in plain(t.id) or said_ in plain(t.label)]
    if len(found) != 1:
        if not found:
            return said(
                f"No test is called '{short(typed)}'. {did_you_mean(typed, session.book.tests)} 'all' lists every one."
            )
        return Reply((Line("Several are called so:"), *(Line(f"{t.id}: {t.label}", "- ") for t in found)))
    return _begin(session, standing, found[0])


def _begin(session: Session, standing: Standing, test: Test) -> Reply:
    asked = agenda.asked_in(test, session.book)
    if not asked:
        return said(f"{test.label} asks nothing by itself.")
    session.choosing = False
    new = agenda.open_questions(test, standing.case, session.book)
    anew = () if new and not (test.finds_family and standing.case.families) else tuple(asked)
    session.move_to(put_top(standing.text, "in_hand", agenda.written_in_hand(test, anew)))
    return Reply((), taken=True)


def _value(session: Session, question: Question, typed: str) -> Reply:
    standing, book = session.standing, session.book
    assert standing is not None
    quantity = book.quantities[question.quantity]
    try:
        answer = words.answer(typed, quantity)
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


def _moved(session: Session, recorder: Recorder) -> Reply:
    """Make what was recorded the case, and say what it changed."""
    before, now = session.move_to(recorder.text)
    session.asked_gate = False
    return Reply((telling.changed(before.plan if before is not None else None, now.plan),), taken=True)


def _by_another(quantity: Quantity, method: str, answer: words.Answer) -> bool:
    """Whether the reading was taken by an instrument that does not stand in for the one that was asked for."""
    used = known_method(answer.method, quantity) if answer.method else method
    return used not in {method, *better_than(quantity, method)} and quantity.method(used) is not None


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
    state = standing.plan.diagnosis.firings.findings.state
    if answer.value == agenda.SAFE and state.get("engine") == "warm":
        recorder.put("state", "engine", value="cold")
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
    "done": about.done,
    "left": about.left,
    "repaired": about.repaired,
}
