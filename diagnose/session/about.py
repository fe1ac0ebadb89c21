"""Answers that are no readings: the car in a few words, which visit this is, the family, what was done last time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose.findings.reading import NotUsable, WhichUnit
from diagnose.findings.words import UNKNOWN, plain
from diagnose.rulebook.model import Cause
from diagnose.session import asking, words
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
    names, said_ = asking.choices_done(session.book), plain(typed)
    if said_ in ("no", "none"):
        said_ = "nothing"
    if words.is_unknown(typed) or words.is_cant(typed):
        said_ = UNKNOWN
    found = [name for name in names if plain(name) == said_] or [
        name for name in names if plain(name).startswith(said_)
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
    except WhichUnit:
        raise
    except NotUsable as error:
        return said(f"Not taken: {error.says} ({error.hint}).")
    return _about_work(session, "mixture", typed)


def repaired(session: Session, question: Question, typed: str) -> Reply:
    nobody = words.is_unknown(typed) or words.is_cant(typed)
    if nobody or plain(typed) in ("nothing", "none", "no"):
        return _about_work(session, "repaired", UNKNOWN if nobody else "nothing")
    names = []
    for part in typed.replace(";", ",").split(","):
        causes = _causes(session, part)
        if len(causes) > 1:
            several = [Line(cause.short, "- ") for cause in causes[:MOST]]
            more = [Line(f"and {len(causes) - MOST} more", "- ")] if len(causes) > MOST else []
            return Reply(
                (Line(f"Several causes speak of '{short(part.strip())}'; write more of one:"), *several, *more)
            )
        if not causes:
            hint = did_you_mean(part.strip(), [c.short for c in session.book.causes.values()])
            parts = (f"No cause speaks of '{short(part.strip())}'.", hint, f"It takes: {question.takes}.")
            return said(" ".join(filter(None, parts)))
        names.append(causes[0].id)
    return _about_work(session, "repaired", names[0] if len(names) == 1 else names)


MOST = 8
"""So many causes are named where several are meant."""


def _causes(session: Session, part: str) -> list[Cause]:
    """The causes that a number or some words mean: those called so; else the suspects, else all, that speak of it."""
    assert session.standing is not None
    suspects, said_ = asking.suspected(session.standing), plain(part)
    if said_.isdecimal():
        return suspects[int(said_) - 1 : int(said_)] if int(said_) else []
    everyone = list(session.book.causes.values())
    exact = [c for c in everyone if said_ in (plain(c.id), plain(c.short), plain(c.label))]
    if exact or not said_:
        return exact
    for these in (suspects, everyone):
        if begun := [c for c in these if plain(c.short).startswith(said_)]:
            return begun
        if found := [c for c in these if said_ in plain(c.short) or said_ in plain(c.label)]:
            return found
    return []


def _about_work(session: Session, key: str, value: str | list[str]) -> Reply:
    """Write what was done at the end of the visit before the present one."""
    standing = session.standing
    assert standing is not None
    number = len(standing.whole.visits) - 1
    at = ("work", key) if number == 0 else ("visits", number - 1, "work", key)
    session.move_to(put(standing.text, at, value, ORDER))
    return Reply((Line("Noted."),), taken=True)
