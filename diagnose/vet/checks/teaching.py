"""What an instructor prints for a class."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.vet.check import Fault
from diagnose.vet.whole_book import WholeBook


def untaught_misconceptions(whole: WholeBook) -> Iterator[Fault]:
    """A misconception is printed with the lessons of its rules; without one no class meets it."""
    rules = whole.book.rules
    for each in whole.book.misconceptions.values():
        if not any(rules[name].lesson for name in each.rules):
            says = f"none of the rules of the misconception '{each.id}' stands in a lesson"
            hint = f"add 'lesson: ...' to '{each.rules[0]}', or name a rule that has one"
            yield Fault(each.place, says, hint, (("misconception", each.id),))
