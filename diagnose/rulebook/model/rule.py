"""Rules: what is seen with which cause, and what follows from it."""

from __future__ import annotations

from typing import NamedTuple

from diagnose.rulebook.model.common import Citation, Condition, Drive, Word
from diagnose.yamlfile import Place


class Link(NamedTuple):
    """How often a system with `cause` alone shows the band that the rule's `when` names."""

    cause: str
    how_often: Word
    place: Place


class Example(NamedTuple):
    """Readings, as a case would record them, under which the rule fires or stays silent."""

    readings: tuple[tuple[str, str, Place], ...]
    place: Place


class Ban(NamedTuple):
    """The states of the car that it is not brought into (part of its state, value), and tests that are not done.

    `everything`: the book ends here; nothing is tested, no cause is looked for and nothing is mended.
    """

    states: tuple[tuple[str, str], ...]
    tests: tuple[str, ...]
    everything: bool
    place: Place


class Rule(NamedTuple):
    """One piece of reasoning. `theme` is the name of its file.

    `when` holds with every condition. A rule with `seen_with` has exactly one condition on a
    reading, derived quantity or pattern, with exactly one band; its other conditions are givens.
    `forbids` says what is not done to a car on which it fires. What it says, also of driving, what it decides
    and what it forbids no longer count once one of `moot_when` holds.
    `cautions` are those that its advice needs beside the ones of the tests it asks for. `first` is what is known, or
    was asked for in vain, before what it decides is settled.
    """

    id: str
    title: str
    theme: str
    lesson: str
    when: tuple[Condition, ...]
    seen_with: tuple[Link, ...]
    next: tuple[str, ...]
    concludes: Condition | None
    decides: str
    proves: str
    drive: Drive | None
    says: str
    because: str
    limits: str
    sources: tuple[Citation, ...]
    fires: tuple[Example, ...]
    silent: tuple[Example, ...]
    place: Place
    moot_when: tuple[Condition, ...] = ()
    cautions: tuple[str, ...] = ()
    forbids: Ban | None = None
    first: tuple[str, ...] = ()
