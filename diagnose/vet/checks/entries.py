"""What decision trees begin with."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.rulebook.model import FAMILY, Condition
from diagnose.vet.check import Fault
from diagnose.vet.whole_book import WholeBook


def sound_entries(whole: WholeBook) -> Iterator[Fault]:
    """A car comes in with something; a tree that begins with normal readings alone has nothing to find."""
    for entry in whole.book.entries.values():
        for start in entry.starts:
            if all(_is_sound(condition, whole) for condition in start):
                names = ", ".join(f"{condition.quantity} {condition.bands[0]}" for condition in start)
                says = f"the entry '{entry.id}' begins with what a sound system shows: {names}"
                hint = "name a band out of the ordinary"
                yield Fault(start[0].place, says, hint, (("entry", entry.id),))


def _is_sound(condition: Condition, whole: WholeBook) -> bool:
    if condition.quantity == FAMILY:
        return True
    quantity = whole.book.quantities[condition.quantity]
    return quantity.role == "given" or quantity.normal == condition.bands[0]
