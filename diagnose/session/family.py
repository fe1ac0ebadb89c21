"""Which coolant family is in the car: told at the beginning, or found out by the test that the decision waits for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose.findings.words import NOT_DONE, UNKNOWN, plain
from diagnose.plan.wording import first_upper
from diagnose.rulebook.model import FAMILY
from diagnose.session import in_hand, telling, words
from diagnose.session.model import Question, Reply, said
from diagnose.session.writing import ORDER, Recorder
from diagnose.yamlfile import did_you_mean, short
from diagnose.yamlfile.edit import put

if TYPE_CHECKING:
    from diagnose.session.session import Session


def take(session: Session, question: Question, typed: str) -> Reply:
    standing = session.standing
    assert standing is not None
    value: str | list[str] = UNKNOWN
    nobody = words.is_unknown(typed) or words.is_cant(typed)
    if not nobody:
        found = [_one_family(session, part) for part in typed.replace(",", " or ").split(" or ")]
        wrong = next((part for part, names in found if len(names) != 1), None)
        if wrong is not None:
            near = did_you_mean(plain(wrong), [plain(name) for name in session.book.families])
            parts = (
                f"'{short(wrong)}' names no family, or several.",
                first_upper(near),
                f"It takes: {question.takes}.",
            )
            return said(" ".join(filter(None, parts)))
        names = list(dict.fromkeys(names[0] for _, names in found))
        value = names[0] if len(names) == 1 else names
    recorder = Recorder(put(standing.text, (*standing.at, "family"), value, ORDER), standing.whole, standing.at)
    _go_on(recorder, session, question, nobody=(NOT_DONE if words.is_cant(typed) else UNKNOWN) if nobody else "")
    before, now = session.move_to(recorder.text)
    return Reply((telling.changed(before.plan if before else None, now.plan),), taken=True)


def _go_on(recorder: Recorder, session: Session, question: Question, nobody: str) -> None:
    """The rest of the test that finds the family: where nobody found it, nothing tells it either."""
    standing, test = session.standing, session.test(question)
    if standing is None or test is None:
        return
    left = tuple(each for each in standing.anew if each.quantity != FAMILY)
    if nobody:
        for each in left or in_hand.rest(test, question, standing, session.book):
            recorder.record(session.book.quantities[each.quantity], each.method, words.Answer(nobody))
        left = ()
    in_hand.keep(recorder, test, question, standing, session.book, left, done=bool(nobody))


def _one_family(session: Session, part: str) -> tuple[str, list[str]]:
    """A family by its id, its label, another name, or the beginning of just one of them."""
    said_, found = plain(part), []
    for family in session.book.families.values():
        names = [plain(name) for name in (family.id, family.label, *family.also_called)]
        if said_ in names:
            return part, [family.id]
        if said_ and any(name.startswith(said_) for name in names):
            found.append(family.id)
    return part.strip(), found
