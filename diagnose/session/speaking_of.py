"""Which tests somebody may mean who wants to take one."""

from __future__ import annotations

import re

from diagnose.findings.words import plain
from diagnose.rulebook.model import Book, Test

FEW = 3
"""Shorter words are looked for at the beginning of a test's name only."""


def speaking_of(typed: str, book: Book) -> list[Test]:
    """The tests that are called so; else those in which the words stand, as words or else as a part of one.

    They are looked for in the names of the tests, and only where none has them in what is read and asked.
    """
    said = plain(typed)
    tests = list(book.tests.values())
    exact = [test for test in tests if said in (plain(test.id), plain(test.label))]
    if exact or not said:
        return exact
    if len(said) < FEW:
        return [test for test in tests if plain(test.label).startswith(said) or plain(test.id).startswith(said)]
    words = re.compile(rf"\b{re.escape(said)}\b")
    named = [test for test in tests if words.search(plain(test.label))]
    if named:
        return named
    whole = [test for test in tests if any(words.search(text) for text in _about(test, book))]
    return whole or [test for test in tests if any(said in text for text in _about(test, book))]


def _about(test: Test, book: Book) -> list[str]:
    texts = [test.id, test.label]
    for each in test.yields:
        quantity = book.quantities[each.quantity]
        texts += [quantity.id, quantity.label, quantity.ask]
        method = quantity.method(each.method)
        texts += [method.label, method.ask] if method is not None else []
    return [plain(text) for text in texts]
