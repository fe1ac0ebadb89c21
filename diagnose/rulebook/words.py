"""Frequencies: words of the book's own scales, or percentages."""

from __future__ import annotations

import re

from diagnose.rulebook.model import Scale, Word
from diagnose.yamlfile import MapNode, Node, Place, Problems, TextNode, did_you_mean, short

_PERCENT = re.compile(r"([0-9]+(?:\.[0-9]*)?|\.[0-9]+) ?%")


def percent(share: float) -> str:
    """0.125 as '12.5 %', for messages."""
    return f"{round(share * 100, 2):g} %"


def percentage(text: str) -> float | None:
    """'12 %' as 0.12; None for anything else."""
    match = _PERCENT.fullmatch(text.strip())
    return float(match[1]) / 100 if match else None


def read_scale(node: Node | None, name: str, place: Place, problems: Problems) -> Scale:
    """A scale such as `how_often`, its words growing from rarest to most common."""
    if node is None:
        says = f"this book has no scale '{name}'"
        problems.add(place, "missing-key", says, f"add '{name}:' with words and percentages to rulebook.yaml")
        return Scale(())
    if not isinstance(node, MapNode) or not node.pairs:
        says = f"'{name}' is a mapping of words to percentages"
        problems.add(node.place, "wrong-shape", says, "write lines such as 'often: 55 %'")
        return Scale(())
    words: list[tuple[str, float]] = []
    for key, value in node:
        share = _share(value, problems)
        if share is None:
            continue
        if not 0 < share < 1:
            says = f"'{key.text}' must lie between 0 % and 100 %"
            problems.add(value.place, "not-a-frequency", says, "0 % and 100 % leave no room for doubt")
        elif words and share <= words[-1][1]:
            says = f"'{key.text}' is not more than '{words[-1][0]}' before it"
            problems.add(value.place, "scale-order", says, "list the words from rarest to most common")
        words.append((key.text, share))
    return Scale(tuple(words))


def read_word(node: Node, scale: Scale, problems: Problems, *, zero: bool = False, whole: bool = False) -> Word | None:
    """The frequency at `node`; `zero` and `whole` allow 0 % and 100 %. None when it can't be read."""
    if not isinstance(node, TextNode):
        problems.add(node.place, "wrong-shape", "a frequency is a word or a percentage, not a list or a mapping")
        return None
    text = node.text.strip()
    value = scale.value(text)
    if value is None:
        value = percentage(text)
    if value is None:
        words = [word for word, _ in scale.words]
        ways = f"write a percentage such as 12 %, or one of: {', '.join(words)}" if words else "write it as '12 %'"
        says = f"'{short(text)}' is neither a word of the scale nor a percentage"
        problems.add(node.place, "not-a-frequency", says, did_you_mean(text, words, ways))
        return None
    if value > 1 or (value == 1 and not whole) or (value == 0 and not zero):
        hint = "a percentage above 0 % and below 100 % leaves room for doubt"
        problems.add(node.place, "not-a-frequency", f"{text} can't be used here", hint)
        return None
    return Word(text, value, node.place)


def _share(node: Node, problems: Problems) -> float | None:
    text = node.text if isinstance(node, TextNode) else ""
    share = percentage(text)
    if share is None:
        problems.add(node.place, "not-a-frequency", f"'{short(text)}' is not a percentage", "write it as '12 %'")
    return share
