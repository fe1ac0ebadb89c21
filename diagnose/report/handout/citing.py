"""Sources on paper: numbered in the order of the book, listed once at the end of a sheet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnose.rulebook.model import Book, Citation, Source


class Sources:
    """The sources that one sheet cites."""

    def __init__(self, book: Book, cited: Iterable[Citation]) -> None:
        names = {citation.source for citation in cited}
        self._numbers = {name: n for n, name in enumerate((name for name in book.sources if name in names), 1)}
        self._book = book

    def told(self, citations: Sequence[Citation]) -> str:
        """'[2] table 1, [5]', in the order of the numbers, each place once."""
        places: dict[int, dict[str, None]] = {}
        for citation in citations:
            places.setdefault(self._numbers[citation.source], {})[citation.at] = None
        told = [(number, "; ".join(filter(None, places[number]))) for number in sorted(places)]
        return ", ".join(f"[{number}] {at}".strip() for number, at in told)

    def listed(self) -> list[dict[str, str]]:
        return [{"number": f"[{n}]", "text": source_text(self._book.sources[s])} for s, n in self._numbers.items()]


def source_text(source: Source) -> str:
    year = f", {source.year}" if source.year else ""
    return f"{source.title}. {source.publisher[:1].upper()}{source.publisher[1:]}{year}: {source.where}."
