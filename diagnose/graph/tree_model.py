"""A decision tree: what is asked, what each answer leads to, and where it ends."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from diagnose.diagnosis.model import CauseState
from diagnose.graph.road import Answer
from diagnose.plan.model import Driving


@dataclass(frozen=True, slots=True)
class Outcome:
    """What is known besides, once the question is answered so.

    `probability` is given everything before it, on the first of the ways that lead to the question.
    """

    answers: tuple[Answer, ...]
    probability: float


@dataclass(frozen=True, slots=True)
class Branch:
    """One line of the drawing. It stands for each of its outcomes, or for all answers that are not drawn (no outcome).

    `to` is the id of a question or an ending; `word` stands on the line; `sound` tells that a
    system without a fault answers so.
    """

    outcomes: tuple[Outcome, ...]
    to: str
    word: str
    sound: bool


@dataclass(frozen=True, slots=True)
class Question:
    """A test to be done, or (with `test` '') which of the entry's findings was made.

    `asks` names the given that is asked for, or is '' where everything the test yields is read.
    `minutes` include waiting and the way to it. `of_best` is the least share of the live program's
    best test, by its own measure, that the drawn test has wherever this question is asked.
    """

    id: str
    test: str
    asks: str
    minutes: float
    of_best: float
    branches: tuple[Branch, ...]


@dataclass(frozen=True, slots=True)
class Ending:
    """`result`: the program asks no more. `continue`: it would, but that isn't drawn.

    A `continue` without a decision stands for answers that were not followed.

    `causes` are ids of the first suspects with their state; `after` and `firm` belong to the decision.
    """

    id: str
    kind: Literal["result", "continue"]
    causes: tuple[tuple[str, CauseState], ...]
    decision: str
    after: str
    firm: bool
    drive: Driving


@dataclass(frozen=True, slots=True)
class Expected:
    """Minutes on average over cars that come in so: tests, repairs, and cars that come back.

    The live program's lie between `live_least` and `live_most`: how some cars would go on was not
    followed to the end. `undrawn` is the share of cars that leave the tree before the program would stop.
    """

    tree: float
    live_least: float
    live_most: float
    undrawn: float


@dataclass(frozen=True, slots=True)
class Tree:
    """`charge` is what a drawn question must save, in minutes on average over all cars; `tolerance` how far the
    drawn test may fall short of the live program's best. `evaluated` counts the states worked up for it;
    `complete` is false where a bound was reached before everything was looked at."""

    book: str
    edition: str
    entry: str
    label: str
    root: str
    questions: Mapping[str, Question]
    endings: Mapping[str, Ending]
    expected: Expected
    charge: float
    tolerance: float
    evaluated: int
    complete: bool

    def parts(self, name: str) -> bool:
        """Whether the box is one that different answers leave by different lines, or an ending."""
        question = self.questions.get(name)
        return question is None or not question.test or len(question.branches) > 1

    def shown(self, name: str) -> str:
        """The box that is drawn: a question that must be asked, but parts nothing, is told in the box after it."""
        while not self.parts(name):
            name = self.questions[name].branches[0].to
        return name

    def asked_before(self, name: str) -> tuple[Question, ...]:
        """What is asked before this question without a box of its own, one line for each test and given."""
        found = [q for q in self.questions.values() if not self.parts(q.id) and self.shown(q.id) == name]
        return tuple({(q.test, q.asks): q for q in found}.values())


CONTINUE_ID = "continue"
"""The ending of all answers that are not drawn."""
GO_ON = "go_on."
"""How the ids of its boxes begin."""


def box_id(question: str, to: str) -> str:
    """The box that a branch of a question leads to. The one that says no more than to go on is drawn anew for each
    question: lines from everywhere to a single one would hide the tree."""
    return f"{GO_ON}{question}" if to == CONTINUE_ID else to
