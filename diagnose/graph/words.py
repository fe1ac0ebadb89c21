"""The words on the lines of a tree."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.graph.road import Answer
from diagnose.graph.tree_model import Outcome
from diagnose.rulebook.model import FAMILY, Book

OTHERWISE = "any other answer"
NOTHING = "nothing found"


def is_sound(answers: Sequence[Answer], book: Book) -> bool:
    """Whether a system without a fault answers so. Facts about the car are neither sound nor unsound."""
    quantities = [(book.quantities[a.quantity], a.band) for a in answers if a.quantity != FAMILY]
    return bool(quantities) and all(q.role != "given" and q.normal == band for q, band in quantities)


def branch_word(outcomes: Sequence[Outcome], book: Book) -> str:
    """What the branch stands for; outcomes of one quantity are told without its name, which stands in the box."""
    if not outcomes:
        return OTHERWISE
    told = [_telling(outcome.answers, book) for outcome in outcomes]
    names = {answer.quantity for answers in told for answer in answers}
    if len(names) == 1:
        return " or ".join(dict.fromkeys(said_band(answers[0], book) for answers in told))
    odd = [_odd(answers, book) for answers in told]
    least = [answers for answers in odd if not any(other and {*other} < {*answers} for other in odd)]
    return "; or ".join(dict.fromkeys(_together(answers, book) for answers in least))


def _telling(answers: Sequence[Answer], book: Book) -> list[Answer]:
    """Without the numbers from which others are computed."""
    found = [a for a in answers if a.quantity == FAMILY or len(book.quantities[a.quantity].bands) > 1]
    return found or list(answers)


def implied(outcomes: Sequence[Outcome], book: Book) -> frozenset[Answer]:
    """Answers of one question that go with another one in all its outcomes, so that a line need not say both.

    Where coolant is seen at a hose the pressure falls with coolant outside, as at any other place: the place tells it.
    """
    odd = [[a for a in _telling(o.answers, book) if not is_sound([a], book)] for o in outcomes]
    found: set[Answer] = set()
    for answer in dict.fromkeys(a for answers in odd for a in answers):
        beside = [[a for a in answers if a.quantity != answer.quantity] for answers in odd if answer in answers]
        if len(beside) > 1 and all(beside) and all(_goes_with(answer, others, odd) for others in beside):
            found.add(answer)
    return frozenset(found)


def _goes_with(answer: Answer, others: Sequence[Answer], odd: Sequence[Sequence[Answer]]) -> bool:
    """Whether one of the others is never met without it."""
    return any(all(answer in answers for answers in odd if other in answers) for other in others)


def _odd(answers: Sequence[Answer], book: Book) -> list[Answer]:
    """What is out of order among several readings, without what a pattern among them says already."""
    out = [answer for answer in answers if answer.quantity == FAMILY or not is_sound([answer], book)]
    said = [answer for answer in out if any(_says(other, answer, book) for other in out)]
    return [answer for answer in out if answer not in said]


def _says(pattern: Answer, answer: Answer, book: Book) -> bool:
    """Whether every rule by which the pattern comes into its band wants the answer."""
    rules = [
        {c.quantity: c.bands for c in rule.when}
        for rule in book.rules.values()
        if rule.concludes is not None
        and rule.concludes.quantity == pattern.quantity
        and pattern.band in rule.concludes.bands
    ]
    return bool(rules) and all(answer.band in when.get(answer.quantity, ()) for when in rules)


def _together(odd: Sequence[Answer], book: Book) -> str:
    if not odd:
        return NOTHING
    if len(odd) == 1 and odd[0].quantity != FAMILY and book.quantities[odd[0].quantity].role == "pattern":
        return said_band(odd[0], book)  # what a test comes to as a whole
    return " and ".join(f"{_label(answer, book)}: {said_band(answer, book)}" for answer in odd)


def _label(answer: Answer, book: Book) -> str:
    return "family" if answer.quantity == FAMILY else book.quantities[answer.quantity].label


def said_band(answer: Answer, book: Book) -> str:
    """What the answer says, in words."""
    if answer.quantity == FAMILY:
        return book.families[answer.band].label
    band = book.quantities[answer.quantity].band(answer.band)
    return band.says if band is not None else answer.band
