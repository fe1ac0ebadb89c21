"""What an instructor prints for a class."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.vet.check import Fault
from diagnose.vet.whole_book import WholeBook


def empty_lessons(whole: WholeBook) -> Iterator[Fault]:
    """A lesson that no rule names is never printed."""
    taught = {rule.lesson for rule in whole.book.rules.values()}
    for lesson in whole.book.lessons.values():
        if lesson.id not in taught:
            says = f"no rule stands in the lesson '{lesson.id}'"
            hint = f"write 'lesson: \"{lesson.id}\"' at a rule, or delete it"
            yield Fault(lesson.place, says, hint, (("lesson", lesson.id),))


def untaught_misconceptions(whole: WholeBook) -> Iterator[Fault]:
    """A misconception is printed with the lessons of its rules; without one no class meets it."""
    rules = whole.book.rules
    for each in whole.book.misconceptions.values():
        if not any(rules[name].lesson for name in each.rules):
            says = f"none of the rules of the misconception '{each.id}' stands in a lesson"
            hint = f"add 'lesson: ...' to '{each.rules[0]}', or name a rule that has one"
            yield Fault(each.place, says, hint, (("misconception", each.id),))
