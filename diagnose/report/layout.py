"""Lines of plain text: wrapping, hanging indents and columns that fold on a narrow screen."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from functools import lru_cache

WIDTH = 92
_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=%|[A-Za-z]{1,4}\b)")
NARROW = 64
"""Below this many columns a table is written one value under the other."""


def wrap(text: str, width: int, indent: str = "", hang: str | None = None) -> list[str]:
    """`text` folded to `width`; the first line begins with `indent`, the others with `hang`."""
    rest = " " * len(indent) if hang is None else hang
    room = max(width, len(rest) + 12)
    lines = fold(text, room, indent, rest)
    return lines or [indent.rstrip()]


def fold(text: str, width: int, first: str = "", rest: str = "") -> list[str]:
    """Wrapped text in which a number and the unit behind it stay on one line."""
    return list(_fold(text, width, first, rest))


@lru_cache(maxsize=4096)  # steps and cautions of a book return in every case of a batch
def _fold(text: str, width: int, first: str, rest: str) -> tuple[str, ...]:
    folded = textwrap.wrap(glued(text), width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
    return tuple(line.replace("\u00a0", " ") for line in folded)


def glued(text: str) -> str:
    """No-break spaces between numbers and their units."""
    return _NUMBER_AND_UNIT.sub("\u00a0", text)


def bullets(items: Iterable[str], width: int, indent: str = "  ") -> list[str]:
    return [line for item in items for line in wrap(item, width, f"{indent}- ")]


def columns(rows: Sequence[Sequence[str]], width: int, indent: str = "  ") -> list[str]:
    """Rows of cells under a first row of names; columns are as wide as they need, the last one takes the rest."""
    if not rows:
        return []
    if width < NARROW:
        return [line for row in rows[1:] for line in _stacked(rows[0], row, width, indent)]
    room = width - len(indent)
    share = [0.32, 0.25, 0.17]
    widths = [min(max(len(row[i]) for row in rows), int(room * share[i])) for i in range(len(rows[0]) - 1)]
    widths.append(room - sum(widths) - 2 * len(widths))
    lines = []
    for row in rows:
        cells = [fold(cell, size) or [""] for cell, size in zip(row, widths, strict=True)]
        for number in range(max(len(cell) for cell in cells)):
            parts = [
                (cell[number] if number < len(cell) else "").ljust(size)
                for cell, size in zip(cells, widths, strict=True)
            ]
            lines.append((indent + "  ".join(parts)).rstrip())
    return lines


def _stacked(names: Sequence[str], row: Sequence[str], width: int, indent: str) -> list[str]:
    first, *rest = row
    lines = wrap(first, width, indent)
    told = [f"{name}: {cell}" for name, cell in zip(names[1:], rest, strict=True) if cell]
    return lines + [line for each in told for line in wrap(each, width, f"{indent}  ", f"{indent}    ")]
