"""Which characters the shipped typeface has: what it lacks can't stand in a PNG or a PDF."""

from __future__ import annotations

import struct
from functools import cache

from diagnose.graph.model import Graph
from diagnose.report.diagram.refused import Refused
from diagnose.report.paper.press import FONTS


def check(graph: Graph, form: str) -> None:
    """Raises Refused where a text has a character that would be drawn as an empty box."""
    told = [(node.id, text) for node in graph.nodes for text in (node.label, *node.lines)]
    told += [(f"{edge.source} to {edge.target}", edge.word) for edge in graph.edges]
    told += [("the notes", text) for text in (graph.title, *graph.notes)]
    for where, text in told:
        for char in text:
            if char not in glyphs() and not char.isspace():
                says = f"the typeface of {form} has no character '{char}' (U+{ord(char):04X}), which stands in {where}"
                raise Refused(says, "write svg, which every viewer draws with the fonts it has")


@cache
def glyphs() -> frozenset[str]:
    """All characters of Liberation Sans, read from its character map (OpenType, table `cmap`, format 4)."""
    data = (FONTS / "LiberationSans-Regular.ttf").read_bytes()
    start = _table(data, b"cmap")
    for number in range(struct.unpack_from(">H", data, start + 2)[0]):
        offset = start + struct.unpack_from(">HHI", data, start + 4 + 8 * number)[2]
        if struct.unpack_from(">H", data, offset)[0] == 4:
            return frozenset(map(chr, _format_4(data, offset)))
    return frozenset()


def _table(data: bytes, name: bytes) -> int:
    for number in range(struct.unpack_from(">H", data, 4)[0]):
        tag, _, offset, _ = struct.unpack_from(">4sIII", data, 12 + 16 * number)
        if tag == name:
            return int(offset)
    raise ValueError(f"the typeface has no table {name!r}")


def _format_4(data: bytes, offset: int) -> list[int]:
    count = struct.unpack_from(">H", data, offset + 6)[0] // 2
    ends = struct.unpack_from(f">{count}H", data, offset + 14)
    starts = struct.unpack_from(f">{count}H", data, offset + 16 + 2 * count)
    return [code for low, high in zip(starts, ends, strict=True) for code in range(low, high + 1) if code != 0xFFFF]
