"""Answers that are no readings: the car in a few words, which visit this is, the family, what was done last time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose.findings.reading import NotUsable
from diagnose.findings.words import UNKNOWN, plain
from diagnose.session import words
from diagnose.session.model import Line, Question, Reply, said
from diagnose.session.writing import ORDER, new_case, new_visit
from diagnose.yamlfile import did_you_mean, short
from diagnose.yamlfile.edit import put

if TYPE_CHECKING:
    from diagnose.session.session import Session


def title(session: Session, question: Question, typed: str) -> Reply:
    session.move_to(new_case(session.name, session.today, typed, session.book.id))
    session.visit_settled = True
    return Reply((Line("A new case. 'help' tells what can be written at each question."),), taken=True)


def visit(session: Session, question: Question, typed: str) -> Reply:
    assert session.standing is not None
    answer = plain(typed)
    if answer in ("on", "go on"):
        session.visit_settled = True
        return Reply((Line("Going on."),), taken=True)
    if answer in ("new", "new visit"):
        session.move_to(new_visit(session.standing.text, session.standing.whole, session.today))
        session.visit_settled = True
        return Reply((Line("A new visit. What was read before is shown with each question."),), taken=True)
    return said(f"'{short(typed)}' is neither. It takes: {question.takes}.")


def done(session: Session, question: Question, typed: str) -> Reply:
    names = [each.strip() for each in question.takes.partition(";")[0].split(",")]
    found = [name for name in names if plain(name) == plain(typed)] or [
        name for name in names if plain(name).startswith(plain(typed))
    ]
    if len(found) != 1:
        return said(f"'{short(typed)}' is none of these. It takes: {question.takes}.")
    return _about_work(session, "service", found[0])


def left(session: Session, question: Question, typed: str) -> Reply:
    if words.is_unknown(typed) or words.is_cant(typed):
        return _about_work(session, "mixture", UNKNOWN)
    quantity = session.book.quantities["mixture"]
    try:
        words.check_number(typed, quantity)
    except NotUsable as error:
        return said(f"Not taken: {error.says} ({error.hint}).")
    return _about_work(session, "mixture", typed)


def repaired(session: Session, question: Question, typed: str) -> Reply:
    if plain(typed) in ("nothing", "none") or words.is_unknown(typed):
        return _about_work(session, "repaired", UNKNOWN if words.is_unknown(typed) else "nothing")
    names = []
    for part in typed.replace(";", ",").split(","):
        causes = [
            c for c in session.book.causes.values() if plain(part) in (plain(c.id), plain(c.short), plain(c.label))
        ]
        causes = causes or [
            c for c in session.book.causes.values() if plain(part) and plain(c.short).startswith(plain(part))
        ]
        if len(causes) != 1:
            hint = did_you_mean(part.strip(), [c.short for c in session.book.causes.values()])
            parts = (f"No one cause is called '{short(part.strip())}'.", hint, f"It takes: {question.takes}.")
            return said(" ".join(filter(None, parts)))
        names.append(causes[0].id)
    return _about_work(session, "repaired", names[0] if len(names) == 1 else names)


def _about_work(session: Session, key: str, value: str | list[str]) -> Reply:
    """Write what was done at the end of the visit before the present one."""
    standing = session.standing
    assert standing is not None
    number = len(standing.whole.visits) - 1
    at = ("work", key) if number == 0 else ("visits", number - 1, "work", key)
    session.move_to(put(standing.text, at, value, ORDER))
    return Reply((Line("Noted."),), taken=True)
