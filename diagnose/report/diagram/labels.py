"""The text of boxes and lines, folded to a width; the same lines in every format."""

from __future__ import annotations

import unicodedata
from itertools import pairwise

from diagnose.graph.model import Edge, Node
from diagnose.report.diagram.looks import BOXES, MARKS

BOX_WIDTH = 28
LINE_WIDTH = 24
NOTE_WIDTH = 130


def box_lines(node: Node, width: int = BOX_WIDTH) -> list[str]:
    """The word of the kind, the label, and what else is said."""
    word = BOXES[node.kind].word
    if node.mark and MARKS[node.mark]:
        word = f"{MARKS[node.mark]}: {word}"
    wide = width * 2 if node.kind == "caution" else width
    label = f"{node.label}:" if node.kind == "finding" and node.lines else node.label
    return [word, *(line for text in (label, *node.lines) for line in fold(text, wide))]


def line_word(edge: Edge, width: int = LINE_WIDTH) -> list[str]:
    mark = f"{MARKS[edge.mark]}: " if MARKS[edge.mark] else ""
    text = mark + edge.word
    return fold(text, width if columns(text) <= 4 * width else 2 * width)


def fold(text: str, width: int) -> list[str]:
    """Lines of at most `width` columns; a number stays with its unit, and a longer word is broken."""
    glued = _glue(" ".join(text.split()))
    lines, line = [], ""
    for word in glued.split(" "):
        for piece in _pieces(word, width):
            joined = f"{line} {piece}" if line else piece
            if line and columns(joined) > width:
                lines.append(line)
                line = piece
            else:
                line = joined
    return [each.replace("\u00a0", " ") for each in [*lines, line]] if line or lines else []


def columns(text: str) -> int:
    """Columns that the text takes: wide characters count two, marks that sit on others none."""
    wide = sum(unicodedata.east_asian_width(char) in "WF" for char in text)
    return len(text) + wide - sum(unicodedata.combining(char) > 0 for char in text)


def _glue(text: str) -> str:
    words = text.split(" ")
    glued = words[:1]
    for before, word in pairwise(words):
        number = before[-1:].isdigit() and before.lstrip("-")[:1].isdigit()
        bare = word.rstrip(".,;:)")
        unit = bare == "%" or (bare.isalpha() and len(bare) <= 4)
        glued.append(("\u00a0" if number and unit else " ") + word)
    return "".join(glued)


def _pieces(word: str, width: int) -> list[str]:
    pieces, piece = [], ""
    for char in word:
        if piece and columns(piece + char) > width and not unicodedata.combining(char):
            pieces.append(piece)
            piece = ""
        piece += char
    return [*pieces, piece]
