"""A guided session over one case: it asks, takes answers and keeps the case's text up to date. No input or output.

Whatever was answered stands in the text, and what is asked next follows from the text. So a session
that broke off goes on by being begun again with the text as it was last written.
"""

from __future__ import annotations

from datetime import date

from diagnose.diagnosis.model import NextTest
from diagnose.findings.reading import WhichUnit
from diagnose.findings.words import listed, plain
from diagnose.fluid.units import find_unit, said_unit
from diagnose.pipeline import Bench
from diagnose.plan.steps import GATE
from diagnose.rulebook.model import Test
from diagnose.session import asking, commands, taking, telling
from diagnose.session.model import Line, Question, Reply, said
from diagnose.session.standing import Standing, stand
from diagnose.session.words import command, is_answer
from diagnose.yamlfile import InputError
from diagnose.yamlfile.edit import NotEditable

LONG = 400
"""An answer longer than this is no answer."""


class Session:
    """`standing` is None before there is a case; `over` tells that nothing more is asked; `again` is a question whose
    answer stands in the case and that is put once more.
    """

    def __init__(self, bench: Bench, text: str, name: str, today: date) -> None:
        """Begin, or go on with `text`. Raises InputError where it is no usable case."""
        self.bench = bench
        self.book = bench.book
        self.name = name
        self.today = today
        self.standing: Standing | None = stand(bench, text, name) if text else None
        self.over = False
        self.choosing = False
        self.narrowed: tuple[Test, ...] = ()
        self.asked_gate = False
        self.again: Question | None = None
        self._no_unit: tuple[Question, WhichUnit, str] | None = None
        self.visit_settled = self.standing is None or self.last_date() >= today
        self._earlier: list[tuple[Standing, Question | None]] = []
        self._warned: set[str] = set()

    @property
    def text(self) -> str:
        """The case as it should be saved."""
        return self.standing.text if self.standing is not None else ""

    def last_date(self) -> date:
        """The date of the last visit; today before there is a case."""
        return self.standing.case.date if self.standing is not None else self.today

    def opening(self) -> tuple[Line, ...]:
        """What is said before the first question: nothing for a new case, else where things stand."""
        if self.standing is None:
            return ()
        lines = [Line(f"{self.standing.whole.title}. What is known:"), *telling.known(self.standing.plan, self.book)]
        if self.last_date() > self.today:
            lines.append(
                Line(
                    f"The case is dated {self.last_date()}, later than today, {self.today}: is the clock right?"
                    " The dates in the case are left as they are."
                )
            )
        return tuple(lines)

    def question(self) -> Question:
        """What is asked now. Asking twice asks the same."""
        if self.over:
            return asking.OVER
        if self.standing is None:
            return asking.TITLE
        if not self.visit_settled:
            return asking.which_visit(self.last_date(), self.today)
        if self.choosing:
            return asking.which_test(self.standing, self.book, self.narrowed)
        if self.again is not None:
            return self.again
        return asking.next_question(self.standing, self.book, self.asked_gate)

    def heading(self, question: Question) -> tuple[Line, ...]:
        """What is said before the first question of a test.

        Each caution stands in full once in a sitting, and anew where the gate is asked again; after that by its first
        sentence. `how` repeats them.
        """
        test = self.test(question)
        if test is None or self.standing is None:
            return ()
        state = self.standing.plan.diagnosis.firings.findings.state
        lines = telling.heading(test, self.choice(test), self.book, state)
        cautions = telling.cautions(test, self.book)
        if test.id == GATE:
            self._warned.difference_update(cautions)
        new = [text for text in cautions if text not in self._warned]
        before = telling.in_brief([text for text in cautions if text in self._warned])
        self._warned.update(cautions)
        return (*lines, *(Line(text, "! ") for text in (*new, *before)))

    def test(self, question: Question) -> Test | None:
        return self.book.tests.get(question.test)

    def choice(self, test: Test | None) -> NextTest | None:
        """The proposal of a test, where it is proposed."""
        offered = self.standing.offered if self.standing is not None else ()
        return next((choice for choice in offered if test is not None and choice.test.id == test.id), None)

    def answer(self, typed: str) -> Reply:
        """Take one line. Whatever it holds, the session stays usable, and `text` only ever becomes a usable case."""
        typed = typed.strip()
        if not typed:
            return said(f"Nothing was written. It takes: {self.question().takes}.")
        if len(typed) > LONG:
            return said(f"That is {len(typed)} signs long; an answer has at most {LONG}.")
        if not typed.isprintable():
            return said("That holds a sign that does not print; type it again.")
        question = self.question()
        word, rest = command(typed)
        if rest and is_answer(typed, self.book.quantities.get(question.quantity)):
            word = ""  # such as 'other family', where that is what was added
        try:
            if word and (question.kind != "title" or not rest):
                return commands.run(self, question, word, rest, bare=plain(typed) == word)
            return self._take(question, typed)
        except (NotEditable, InputError) as error:
            return refused(error)

    def _take(self, question: Question, typed: str) -> Reply:
        """Take an answer; a number that lacks its unit is asked back once, and the unit alone then completes it."""
        pending, self._no_unit = self._no_unit, None
        asked_back = pending is not None and pending[0] == question
        if pending is not None and asked_back and (unit := find_unit(typed)):
            typed = f"{pending[1].number} {unit}{pending[2]}"
        try:
            return taking.take(self, question, typed)
        except WhichUnit as error:
            if asked_back:
                return said(f"Not taken: {error.says} ({error.hint}).")
            _, semicolon, rest = typed.partition(";")
            self._no_unit = question, error, semicolon + rest
            units = listed([said_unit(unit) for unit in error.units])
            return said(f"{error.number} what? {units}.")

    def stop_choosing(self) -> None:
        self.choosing, self.narrowed = False, ()

    def move_to(self, text: str) -> tuple[Standing | None, Standing]:
        """Make `text` the case; what it was stays to go back to. Raises InputError."""
        before, now = self.standing, stand(self.bench, text, self.name, self.standing)
        if before is not None:
            self._earlier.append((before, self.again))
        self.standing, self.again = now, None
        return before, now

    def go_back(self) -> bool:
        """Undo the last answer; False where there is none in this sitting."""
        self.over = self.asked_gate = False
        self.stop_choosing()
        if not self._earlier:
            return False
        self.standing, self.again = self._earlier.pop()
        return True

    def unsaved(self) -> None:
        """The last answer could not be saved: take it back."""
        if not self.go_back():
            self.standing = None

    def take_over(self, text: str) -> None:
        """Go on with what somebody else made of the case. Raises InputError where it can't be used."""
        self.standing = stand(self.bench, text, self.name)
        self.over = self.asked_gate = False
        self.stop_choosing()
        self.again = None
        self._earlier.clear()


def refused(error: NotEditable | InputError) -> Reply:
    """What is wrong with an answer, in a sentence, and how to mend it."""
    if isinstance(error, NotEditable):
        return said(f"Not taken: {error}.")
    first = error.problems[0]
    mend = f" ({first.hint})" if first.hint else ""
    return said(f"Not taken: {first.says}{mend}.")
