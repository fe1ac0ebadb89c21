"""The words on the lines of a tree."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence, Set
from itertools import combinations

from diagnose.graph.road import Answer
from diagnose.graph.tree_model import Outcome
from diagnose.rulebook.model import FAMILY, Book

OTHERWISE = "any other answer"
NOTHING = "nothing found"
BELONGS = 0.8
"""Share of the cars with the answers on a line that must belong to it, where the line does not name all answers."""


def is_sound(answers: Sequence[Answer], book: Book) -> bool:
    """Whether a system without a fault answers so. Facts about the car are neither sound nor unsound."""
    quantities = [(book.quantities[a.quantity], a.band) for a in answers if a.quantity != FAMILY]
    return bool(quantities) and all(q.role != "given" and q.normal == band for q, band in quantities)


def branch_words(
    branches: Sequence[Sequence[Outcome]], every: Sequence[tuple[frozenset[Answer], float]], book: Book
) -> tuple[str, ...]:
    """What each branch of one question stands for, by the least that tells it from whatever else may be answered.

    Where coolant is seen at a hose the pressure falls with coolant outside, as at any other place: the place tells it.
    Answers to the one thing that most lines speak of are told without its name, which stands in the box. `every` are
    all answers with their probabilities, those too that are not drawn.
    """
    odd = [[_odd(_telling(outcome.answers, book), book) for outcome in outcomes] for outcomes in branches]
    sets = [{frozenset(answers) for answers in each} for each in odd]
    chances = [(frozenset(_odd(list(answers), book)), chance) for answers, chance in every]
    told: list[list[tuple[Answer, ...]]] = []
    for number, each in enumerate(odd):
        others = [answers for n, those in enumerate(sets) if n != number for answers in those]
        told.append([_least(answers, sets[number], others, chances, book) for answers in each])
    spoken = Counter(answer.quantity for each in told for answers in each for answer in answers)
    main = max(spoken, key=lambda name: spoken[name]) if spoken else ""
    return tuple(_word(each, main, book) if each else OTHERWISE for each in told)


def _least(
    answers: Sequence[Answer],
    here: Set[frozenset[Answer]],
    others: Sequence[frozenset[Answer]],
    every: Sequence[tuple[frozenset[Answer], float]],
    book: Book,
) -> tuple[Answer, ...]:
    """The fewest of the answers that no other branch has, and with which a car nearly always belongs here; all of them
    where there are no fewer. A pattern, to which a test comes as a whole, is always said."""
    patterns = {a for a in answers if a.quantity != FAMILY and book.quantities[a.quantity].role == "pattern"}
    for size in range(1, len(answers)):
        for some in combinations(answers, size):
            if not patterns <= {*some} or any(other.issuperset(some) for other in others):
                continue
            of = [(each in here, chance) for each, chance in every if each.issuperset(some)]
            if sum(chance for inside, chance in of if inside) >= BELONGS * sum(chance for _, chance in of):
                return some
    return tuple(answers)


def _word(told: Sequence[tuple[Answer, ...]], main: str, book: Book) -> str:
    least = [answers for answers in told if not any(other and {*other} < {*answers} for other in told)]
    if all(len(answers) == 1 and answers[0].quantity == main for answers in least):
        return " or ".join(dict.fromkeys(said_band(answers[0], book) for answers in least))
    return "; or ".join(dict.fromkeys(_together(answers, main, book) for answers in least))


def _telling(answers: Sequence[Answer], book: Book) -> list[Answer]:
    """Without the numbers from which others are computed."""
    found = [a for a in answers if a.quantity == FAMILY or len(book.quantities[a.quantity].bands) > 1]
    return found or list(answers)


def _odd(answers: Sequence[Answer], book: Book) -> list[Answer]:
    """What is out of order among several readings, without what a pattern among them says already; a single reading
    as it is."""
    if len(answers) == 1:
        return list(answers)
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


def _together(answers: Sequence[Answer], main: str, book: Book) -> str:
    if not answers:
        return NOTHING
    return " and ".join(
        said_band(a, book) if a.quantity == main else f"{_label(a, book)}: {said_band(a, book)}" for a in answers
    )


def _label(answer: Answer, book: Book) -> str:
    return "family" if answer.quantity == FAMILY else book.quantities[answer.quantity].label


def said_band(answer: Answer, book: Book) -> str:
    """What the answer says, in words."""
    if answer.quantity == FAMILY:
        return book.families[answer.band].label
    band = book.quantities[answer.quantity].band(answer.band)
    return band.says if band is not None else answer.band
