"""Rules as reasoning: a mechanism counts once, proof is rare, and a near miss is near."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from diagnose.rulebook.formula import inputs
from diagnose.rulebook.model import FAMILY, Book, Example, Rule
from diagnose.vet.check import Fault
from diagnose.vet.whole_book import WholeBook

ALIKE = 0.8
"""Two sentences that share this much of their words tell one mechanism."""
CHEMICAL = "chemical"
"""The principle of a method that shows a colour."""

_WORD = re.compile(r"[^\W_]+")


def repeated_reasons(whole: WholeBook) -> Iterator[Fault]:
    """Family copies of a rule, and the same thought in other rules."""
    for rule, first in first_told(whole.book).items():
        if rule != first:
            copy, told = whole.book.rules[rule], whole.book.rules[first]
            says = f"the 'because' of '{rule}' tells the mechanism of '{first}' again ({told.place})"
            hint = "say what is different here, or make one rule of both"
            yield Fault(copy.place, says, hint, (("rule", rule), ("rule", first)))


def mechanisms(book: Book) -> int:
    """How many different mechanisms the rules tell."""
    return len(set(first_told(book).values()))


def first_told(book: Book) -> dict[str, str]:
    """Each rule with the first rule whose `because` tells the same (itself where none does)."""
    first: dict[str, str] = {}
    words = {rule.id: frozenset(_WORD.findall(rule.because.casefold())) for rule in book.rules.values()}
    for rule, own in words.items():
        same = (earlier for earlier in first if first[earlier] == earlier and _alike(own, words[earlier]))
        first[rule] = next(same, rule)
    return first


def _alike(one: frozenset[str], other: frozenset[str]) -> bool:
    return len(one & other) >= ALIKE * len(one | other)


def easy_proofs(whole: WholeBook) -> Iterator[Fault]:
    """A colour turns for breath, dye and exhaust in the bay as well; proof needs a second principle, or eyes."""
    for rule in whole.book.rules.values():
        behind = readings_behind(rule, whole.book) if rule.proves else frozenset()
        for name in behind if len(behind) == 1 else ():
            methods = [m.id for m in whole.book.quantities[name].methods if m.principle == CHEMICAL]
            if methods:
                says = f"'{rule.id}' proves '{rule.proves}' by one colour: '{name}' by the method '{methods[0]}'"
                hint = "ask for a reading by another principle too, or leave 'proves' out"
                yield Fault(rule.place, says, hint, (("rule", rule.id),))


def readings_behind(rule: Rule, book: Book) -> frozenset[str]:
    """The readings on which a rule stands, through formulas and patterns."""
    found: set[str] = set()
    waiting = [condition.quantity for condition in rule.when]
    seen: set[str] = set()
    while waiting:
        name = waiting.pop()
        if name in seen or name == FAMILY:
            continue
        seen.add(name)
        quantity = book.quantities[name]
        if quantity.role == "reading":
            found.add(name)
        elif quantity.formula is not None:
            waiting += sorted(inputs(quantity.formula))
        elif quantity.role == "pattern":
            rules = (r for r in book.rules.values() if r.concludes and r.concludes.quantity == name)
            waiting += [condition.quantity for concluding in rules for condition in concluding.when]
    return frozenset(found)


def far_misses(whole: WholeBook) -> Iterator[Fault]:
    """What teaches where a rule ends is a case that lies just beyond: one reading differs."""
    for rule in whole.book.rules.values():
        for silent in rule.silent:
            if not any(_one_differs(silent, fires) for fires in rule.fires):
                says = f"the silent example of '{rule.id}' differs in more than one reading from every one that fires"
                hint = "copy the example that fires and change one reading"
                yield Fault(silent.place, says, hint, (("rule", rule.id),))


def _one_differs(one: Example, other: Example) -> bool:
    return len(_names(set(_pairs(one)) ^ set(_pairs(other)))) == 1


def _pairs(example: Example) -> Iterator[tuple[str, str]]:
    return ((name, text) for name, text, _ in example.readings)


def _names(pairs: Iterable[tuple[str, str]]) -> set[str]:
    return {name for name, _ in pairs}
