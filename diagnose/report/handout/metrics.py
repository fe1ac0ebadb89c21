"""How wide a text is in the shipped typeface, read from the font file itself (OpenType: cmap, hhea, hmtx)."""

from __future__ import annotations

import re
import struct
from functools import cache
from itertools import pairwise

from diagnose.report.paper.press import FONTS
from diagnose.report.paper.signs import with_signs

FILES = {False: "LiberationSans-Regular.ttf", True: "LiberationSans-Bold.ttf"}


def width(text: str, size: float, bold: bool = False) -> float:
    """Points; without kerning, which only ever makes a line a little shorter."""
    advances = _advances(bold)
    return sum(advances.get(char, advances[" "] * 2) for char in text) * size


def fold(text: str, room: float, size: float, bold: bool = False) -> list[str]:
    """Lines no wider than `room` points. A number stays with its unit; a word that is too long is broken."""
    lines: list[str] = []
    line = ""
    for word in glue(text).split(" "):
        for piece in _pieces(word, room, size, bold):
            joined = f"{line} {piece}" if line else piece
            if line and width(joined, size, bold) > room:
                lines.append(line)
                line = piece
            else:
                line = joined
    return [*lines, line] if line else lines


def widest(text: str, size: float, bold: bool = False) -> float:
    """The width of the longest piece that should not be broken."""
    return max((width(word, size, bold) for word in glue(text).split(" ")), default=0.0)


def glue(text: str) -> str:
    """As it is printed: units with their signs, and no-break spaces within '200 mg/L', '50 vol %', '30 000'."""
    words = _SPACE.split(with_signs(text.strip(" \t\n")))
    glued = words[:1]
    for before, word in pairwise(words):
        glued.append(("\u00a0" if _belongs(before, word.rstrip(".,;:)")) else " ") + word)
    return "".join(glued)


def _belongs(before: str, bare: str) -> bool:
    """Whether a word goes with the number before it."""
    if bare == "%":
        return before[-1:].isdigit() or before in ("vol", "mass")
    if _THOUSANDS.fullmatch(bare) and _HEAD.fullmatch(before):
        return True
    return before[-1:].isdigit() and bare not in _WORDS and _UNIT.fullmatch(bare) is not None


_SPACE = re.compile(r"[ \t\n]+")
_UNIT = re.compile(r"(°?[^\W\d_]{1,4})(/[^\W\d_]{1,3})?")
_HEAD, _THOUSANDS = re.compile(r"\(?[1-9][0-9]{0,2}"), re.compile(r"[0-9]{3}")
_WORDS = frozenset(("to", "or", "and", "of", "in", "on", "at", "is", "the", "for", "from", "by", "as", "are", "says"))


def lacks(text: str) -> str:
    """The characters that the typeface has no picture for."""
    advances = _advances(False)
    return "".join(sorted({char for char in text if char not in advances and not char.isspace()}))


def _pieces(word: str, room: float, size: float, bold: bool) -> list[str]:
    pieces, piece = [], ""
    for char in word:
        if piece and width(piece + char, size, bold) > room:
            pieces.append(piece)
            piece = ""
        piece += char
    return [*pieces, piece]


@cache
def _advances(bold: bool) -> dict[str, float]:
    """Width of every character as a share of the size of the type."""
    data = (FONTS / FILES[bold]).read_bytes()
    head, hhea, hmtx = (_table(data, name) for name in (b"head", b"hhea", b"hmtx"))
    per_em = struct.unpack_from(">H", data, head + 18)[0]
    long_ones = struct.unpack_from(">H", data, hhea + 34)[0]
    found = {}
    for code, glyph in _characters(data).items():
        at = hmtx + 4 * min(glyph, long_ones - 1)
        found[chr(code)] = struct.unpack_from(">H", data, at)[0] / per_em
    return found


def _characters(data: bytes) -> dict[int, int]:
    """The glyph of each character, from the table's part in format 4."""
    cmap = _table(data, b"cmap")
    for number in range(struct.unpack_from(">H", data, cmap + 2)[0]):
        at = cmap + struct.unpack_from(">I", data, cmap + 8 + 8 * number)[0]
        if struct.unpack_from(">H", data, at)[0] == 4:
            return _format_4(data, at)
    raise ValueError("the typeface has no character map in format 4")


def _format_4(data: bytes, at: int) -> dict[int, int]:
    count = struct.unpack_from(">H", data, at + 6)[0] // 2
    ends = struct.unpack_from(f">{count}H", data, at + 14)
    starts = struct.unpack_from(f">{count}H", data, at + 16 + 2 * count)
    deltas = struct.unpack_from(f">{count}H", data, at + 16 + 4 * count)
    offsets_at = at + 16 + 6 * count
    found = {}
    for number, (low, high, delta) in enumerate(zip(starts, ends, deltas, strict=True)):
        offset = struct.unpack_from(">H", data, offsets_at + 2 * number)[0]
        for code in range(low, min(high, 0xFFFE) + 1):
            glyph = code
            if offset:
                glyph = struct.unpack_from(">H", data, offsets_at + 2 * number + offset + 2 * (code - low))[0]
            if glyph or not offset:
                glyph = (glyph + delta) & 0xFFFF
            if glyph:
                found[code] = glyph
    return found


def _table(data: bytes, name: bytes) -> int:
    for number in range(struct.unpack_from(">H", data, 4)[0]):
        tag, _, offset, _ = struct.unpack_from(">4sIII", data, 12 + 16 * number)
        if tag == name:
            return int(offset)
    raise ValueError(f"the typeface has no table {name!r}")
