"""What a check of a whole book is, and what it finds."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeAlias

from diagnose.vet.whole_book import WholeBook
from diagnose.yamlfile import Place

Where: TypeAlias = tuple[str, str]
"""An entry of a book by its kind (source, family, quantity, cause, test, service, caution, rule) and its id."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong, and how to mend it. It may be excused at any of `entries`."""

    place: Place
    says: str
    hint: str
    entries: tuple[Where, ...]


@dataclass(frozen=True, slots=True)
class Check:
    """`id` is stable, in kebab case; `asks` is one line that says what the check asks of a book."""

    id: str
    asks: str
    find: Callable[[WholeBook], Iterable[Fault]]
