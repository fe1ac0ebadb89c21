"""What to do: the service decision, the order of work, cautions, and what to tell the customer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from diagnose.diagnosis.model import Diagnosis
from diagnose.rulebook.model import Caution, MayDrive, Service

StepKind = Literal["safety", "test", "repair", "service", "verify", "next_check"]


@dataclass(frozen=True, slots=True)
class Step:
    """`title` says what; `lines` how; `ref` is the id of the test, cause or service it comes from."""

    kind: StepKind
    title: str
    lines: tuple[str, ...]
    ref: str


@dataclass(frozen=True, slots=True)
class Decision:
    """`service` is done `after` the cause is found and repaired where that is not empty.

    `because` are sentences, `rules` the ids of the rules that decided (or may decide).
    `firm`: the deciding rules fired; otherwise a straddling reading has to be taken again first.
    """

    service: Service
    because: tuple[str, ...]
    rules: tuple[str, ...]
    firm: bool
    after: str


@dataclass(frozen=True, slots=True)
class Plan:
    diagnosis: Diagnosis
    decision: Decision
    steps: tuple[Step, ...]
    cautions: tuple[Caution, ...]
    may_drive: MayDrive
    drive_because: str
    tell_customer: tuple[str, ...]
    next_check: date | None
    next_check_says: str
    not_known: tuple[str, ...]
