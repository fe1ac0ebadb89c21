"""What is printed for a class: lessons, cards, trees, misconceptions."""

from __future__ import annotations

from typing import NamedTuple

from diagnose.rulebook.model.common import Citation, Condition
from diagnose.yamlfile import Place


class Lesson(NamedTuple):
    """What a class is taught in one go: the rules that name it, the themes in `themes` first and in that order."""

    id: str
    title: str
    place: Place
    themes: tuple[str, ...] = ()


class CardGroup(NamedTuple):
    """Tests whose cards are printed under one heading, in this order."""

    title: str
    tests: tuple[str, ...]
    place: Place


class Entry(NamedTuple):
    """A symptom with which the work begins: a decision tree is drawn for each.

    `starts` are the ways to begin; in each, every condition holds and names exactly one band.
    """

    id: str
    label: str
    starts: tuple[tuple[Condition, ...], ...]
    place: Place


class Misconception(NamedTuple):
    """What people in the trade believe, and what is true instead; `rules` reason from what is true."""

    id: str
    belief: str
    truth: str
    because: str
    rules: tuple[str, ...]
    sources: tuple[Citation, ...]
    place: Place


def plain_label(theme: str) -> str:
    """The name of a theme's file, as words."""
    plain = theme.replace("-", " ").replace("_", " ")
    return plain[:1].upper() + plain[1:]
