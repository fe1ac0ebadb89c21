"""Where something stands, and what is wrong there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple


class Place(NamedTuple):
    """A file with the line and column (both from 1) at which a value begins.

    A named tuple, since every word of a book has one and tuples are made fastest.
    """

    file: str
    line: int = 1
    column: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One sentence on what is wrong, where, and a hint on how to mend it.

    `check` is a stable id in kebab case, such as ``unknown-name``.
    """

    place: Place
    check: str
    says: str
    hint: str = ""

    def __str__(self) -> str:
        head = f"{self.place}: {self.check}: {self.says}"
        return f"{head}\n    hint: {self.hint}" if self.hint else head


class InputError(Exception):
    """Input that can't be used; carries every problem found, sorted by place."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(set(problems)))
        super().__init__("\n".join(str(p) for p in self.problems))


class Problems:
    """Collects problems while reading goes on, so that all come at once.

    With a `limit`, adding that many raises InputError there and then: rubbish is not read to its end.
    """

    def __init__(self, limit: int | None = None) -> None:
        self._found: list[Problem] = []
        self._limit = limit

    def add(self, place: Place, check: str, says: str, hint: str = "") -> None:
        self.extend((Problem(place, check, _one_line(says), _one_line(hint)),))

    def extend(self, problems: Iterable[Problem]) -> None:
        self._found.extend(problems)
        if self._limit is not None and len(self._found) >= self._limit:
            raise InputError(self._found)

    def unknown_name(self, place: Place, kind: str, name: str, known: Iterable[str], listed: str = "") -> None:
        """Report that no `kind` is called `name`, with the nearest known name as a hint.

        `listed` says where the known names stand, such as ``causes.yaml``.
        """
        where = f"the names stand in {listed}" if listed else ""
        self.add(place, "unknown-name", f"no {kind} is called '{short(name)}'", did_you_mean(name, known, where))

    def __bool__(self) -> bool:
        return bool(self._found)

    def __len__(self) -> int:
        return len(self._found)

    def __iter__(self) -> Iterator[Problem]:
        return iter(self._found)

    def stop_if_any(self) -> None:
        """Raise InputError when anything was collected."""
        if self._found:
            raise InputError(self._found)


def _one_line(text: str) -> str:
    """A message on one line, even where it quotes a text of several lines or of great length."""
    line = " ".join(text.split()) if "\n" in text else text
    return line if len(line) <= 600 else f"{line[:597]}..."


def short(text: str) -> str:
    """`text` as a message can quote it: one line, at most 60 characters."""
    line = " ".join(text.split())
    return line if len(line) <= 60 else f"{line[:57]}..."


def did_you_mean(name: str, known: Iterable[str], otherwise: str = "") -> str:
    """A hint: the known name nearest to `name` where there is one, followed by `otherwise`."""
    from difflib import get_close_matches  # not needed as long as nothing is wrong

    close = get_close_matches(short(name), list(known), n=1, cutoff=0.7)
    return " ".join(filter(None, (f"did you mean '{close[0]}'?" if close else "", otherwise)))
