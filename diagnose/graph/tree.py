"""A book and an entry to a decision tree that does what the live program does."""

from __future__ import annotations

from dataclasses import replace
from hashlib import sha256

from diagnose.graph.explore import BUDGET, TOLERANCE, Asked, Followed, Progress, Spot, explore, reckon_left
from diagnose.graph.fold import charge_for, drawn, leaving, minutes_drawn, minutes_live, questions
from diagnose.graph.road import Answer, Road
from diagnose.graph.tree_model import CONTINUE_ID, Branch, Ending, Expected, Outcome, Question, Tree
from diagnose.graph.words import OTHERWISE, branch_words, is_sound
from diagnose.rulebook.model import Entry

CONTINUE = Ending(CONTINUE_ID, "continue", (), "", "", firm=False, drive="yes")
"""Where nothing can be said but that the program goes on."""


def compile_tree(road: Road, entry: Entry, budget: int = BUDGET, progress: Progress | None = None) -> Tree:
    """The tree for one entry. The same book gives the same tree."""
    explored = explore(road, entry, budget, progress)
    charge = charge_for(explored.root)
    for spot in questions(explored.root, charge):
        reckon_left(road, spot)
    built = _Build(road, charge)
    root = built.question(explored.root, ())
    return Tree(
        book=road.book.id,
        edition=road.book.edition,
        entry=entry.id,
        label=entry.label,
        root=root,
        questions=built.questions,
        endings=built.endings,
        expected=Expected(
            tree=minutes_drawn(explored.root, charge),
            live_least=minutes_live(explored.root, known=True),
            live_most=minutes_live(explored.root, known=False),
            undrawn=leaving(explored.root, charge),
        ),
        charge=charge,
        tolerance=TOLERANCE,
        evaluated=explored.evaluated,
        complete=explored.complete,
    )


class _Build:
    """Questions and endings by id. Answers that lead to the same share a branch, equal endings share a box."""

    def __init__(self, road: Road, charge: float) -> None:
        self._road = road
        self._charge = charge
        self.questions: dict[str, Question] = {}
        self.endings: dict[str, Ending] = {}
        self._meaning: dict[str, object] = {}

    def question(self, asked: Asked, before: tuple[Answer, ...]) -> str:
        """The question's id; its boxes are drawn in the order in which they are met."""
        name = self._named(asked, before)
        self.questions[name] = Question(name, asked.test, asked.asks, asked.minutes, asked.of_best, ())
        together: dict[object, tuple[str, list[Followed]]] = {}
        for each in asked.followed:
            here = (list(self.questions), list(self.endings))
            to = self._target(each.spot)
            meaning = self._meaning.get(to, to)
            if meaning in together and together[meaning][0] != to:
                self._forget(here)
            together.setdefault(meaning, (to, []))[1].append(each)
        branches = self._branches(list(together.values()), asked)
        if asked.other > 1e-9 or not branches:
            self.endings.setdefault(CONTINUE.id, CONTINUE)
            branches.append(Branch((), CONTINUE.id, OTHERWISE, sound=False))
        self.questions[name] = replace(self.questions[name], branches=tuple(branches))
        self._meaning[name] = self._what(self.questions[name])
        return name

    def _target(self, spot: Spot) -> str:
        if spot.asked is not None and drawn(spot, self._charge):
            return self.question(spot.asked, spot.answers)
        ending = spot.ending
        says = (ending.causes, ending.decision, ending.after, ending.firm, ending.drive)
        name = f"{ending.kind}.{_short(repr(says))}"
        self.endings.setdefault(name, replace(ending, id=name))
        return name

    def _branches(self, together: list[tuple[str, list[Followed]]], asked: Asked) -> list[Branch]:
        book = self._road.book
        outcomes = [tuple(Outcome(each.answers, each.probability) for each in alike) for _, alike in together]
        words = branch_words(outcomes, asked.every, book)
        sound = [all(is_sound(outcome.answers, book) for outcome in those) for those in outcomes]
        return [Branch(*parts) for parts in zip(outcomes, (to for to, _ in together), words, sound, strict=True)]

    def _forget(self, kept: tuple[list[str], list[str]]) -> None:
        """Boxes that were made for a branch which turned out to be the same as another."""
        questions, endings = kept
        self.questions = {name: self.questions[name] for name in questions}
        self.endings = {name: self.endings[name] for name in endings}

    def _what(self, question: Question) -> object:
        """Two questions with the same meaning ask the same, and the same answers lead to the same."""
        branches = frozenset(
            (frozenset(outcome.answers for outcome in branch.outcomes), self._meaning.get(branch.to, branch.to))
            for branch in question.branches
        )
        return (question.test, question.asks, branches)

    def _named(self, asked: Asked, before: tuple[Answer, ...]) -> str:
        """The test and a mark of the way to it, which stays the same as long as the way does."""
        if not asked.test:
            return "start"
        told = sorted((answer.quantity, answer.band) for answer in before)
        return f"{asked.test}.{_short(repr(told))}"


def _short(text: str) -> str:
    return sha256(text.encode()).hexdigest()[:6]
