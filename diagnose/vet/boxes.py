"""Boxes over the bands of several quantities: what a set of rules leaves uncovered.

A box holds a set of bands for each column, as bits; a rule covers a box of its own, in which the
columns it does not ask for are whole. After Calvanese and others, "Semantics and analysis of DMN
decision tables", BPM 2016: rules are boxes, and what is missing is what no box covers.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice
from typing import TypeAlias

Box: TypeAlias = tuple[int, ...]
"""For each column the bands that it holds; no column is empty."""
Cover: TypeAlias = Mapping[int, int]
"""The columns that a rule asks for, each with the bands it takes."""

MOST = 400
"""No more boxes than this are looked at; a table with more holes is reported by some of them."""


def uncovered(whole: Box, covers: Iterable[Cover]) -> list[Box]:
    """What is left of a box, in boxes that share nothing, merged where they differ in one column only."""
    return merged(list(islice(_left(whole, list(covers)), MOST)))


def widened(box: Box, whole: Box, covers: Iterable[Cover]) -> Box:
    """A box that no cover reaches, made as wide as it can be, column by column."""
    against = list(covers)
    found = list(box)
    for column, bands in enumerate(whole):
        others = bands & ~found[column]
        for cover in against:
            if others & cover.get(column, bands) and all(found[c] & b for c, b in cover.items() if c != column):
                others &= ~cover.get(column, bands)
        found[column] |= others
    return tuple(found)


def is_covered(whole: Box, covers: Iterable[Cover]) -> bool:
    """Whether nothing is left of a box."""
    return next(_left(whole, list(covers)), None) is None


def inside(whole: Box, cover: Cover) -> Box | None:
    """The part of a box that a rule covers; None where they share nothing."""
    part = tuple(bands & cover.get(column, bands) for column, bands in enumerate(whole))
    return part if all(part) else None


def _left(whole: Box, covers: Sequence[Cover]) -> Iterator[Box]:
    """Cuts off what covers take, the one that takes most first; what none of them takes is left.

    A box that one cover takes whole is done with, so that holes which others leave in it are never looked at.
    """
    waiting: list[tuple[Box, Sequence[Cover]]] = [(whole, covers)]
    while waiting:
        box, against = waiting.pop()
        touching = [cover for cover in against if inside(box, cover) is not None]
        if not touching:
            yield box
            continue
        cover = min(touching, key=lambda cover: _stick_out(box, cover))
        rest = list(box)
        for column, bands in cover.items():
            outside = rest[column] & ~bands
            if outside:
                waiting.append(((*rest[:column], outside, *rest[column + 1 :]), touching))
                rest[column] &= bands


def _stick_out(box: Box, cover: Cover) -> tuple[int, int]:
    """In how many columns, and by how many bands, a box goes beyond a cover."""
    beyond = [(box[column] & ~bands).bit_count() for column, bands in cover.items()]
    return sum(count > 0 for count in beyond), sum(beyond)


def merged(boxes: list[Box]) -> list[Box]:
    """Boxes that differ in one column only become one, until no two do."""
    found = list(dict.fromkeys(boxes))
    for column in range(len(found[0]) if found else 0):
        together: dict[tuple[int, ...], int] = {}
        for box in found:
            rest = box[:column] + box[column + 1 :]
            together[rest] = together.get(rest, 0) | box[column]
        found = [(*rest[:column], bands, *rest[column:]) for rest, bands in together.items()]
    return found if len(found) == len(boxes) else merged(found)
