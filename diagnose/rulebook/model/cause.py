"""Causes: how common each is, what it leads to, how it is repaired and what comes back."""

from __future__ import annotations

from typing import Literal, NamedTuple

from diagnose.rulebook.model.common import Citation, Condition, Drive, Word
from diagnose.yamlfile import Place

CauseKind = Literal["fault", "misread", "elsewhere"]


class PriorWhen(NamedTuple):
    when: tuple[Condition, ...]
    how_common: Word
    because: str
    place: Place


class Arc(NamedTuple):
    """How often the cause that holds this arc brings about `cause`."""

    cause: str
    how_often: Word
    because: str
    place: Place


class Repair(NamedTuple):
    """`dismantling` is the part of `minutes` spent taking the engine or car apart.

    `by_service`: the coolant service that the rules decide for is the repair; nothing else has to be mended.
    `opens`: the work opens the cooling system; `drains`: the coolant has to come out for it. `proof` are the quantities
    whose readings show whether it is cured; where none are named, all that the cause shows in.
    `customer` completes "we ..." in the customer's words; '' where the book has none.
    """

    what: str
    part: str
    minutes: float
    dismantling: float
    cured_when: str
    same_repair: str
    place: Place
    by_service: bool = False
    opens: bool = True
    drains: bool = False
    customer: str = ""
    proof: tuple[str, ...] = ()


class ComesBack(NamedTuple):
    minutes: float
    because: str


class Cause(NamedTuple):
    """`kind` misread: an instrument was fooled; elsewhere: the coolant is not the problem."""

    id: str
    label: str
    short: str
    kind: CauseKind
    how_common: Word
    prior_when: tuple[PriorWhen, ...]
    only_when: tuple[Condition, ...]
    leads_to: tuple[Arc, ...]
    mechanism: str
    repair: Repair
    comes_back: ComesBack
    drive: Drive
    customer: str
    cautions: tuple[str, ...]
    sources: tuple[Citation, ...]
    place: Place
