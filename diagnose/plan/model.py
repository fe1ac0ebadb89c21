"""What to do: the service decision, the order of work, cautions, and what to tell the customer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal, NamedTuple

from diagnose.diagnosis.model import Diagnosis
from diagnose.fluid.boiling import Boiling
from diagnose.fluid.correction import Correction
from diagnose.fluid.expansion import Shrinkage
from diagnose.fluid.gauges import Gauges
from diagnose.fluid.loss import Loss
from diagnose.fluid.measure import Measure
from diagnose.fluid.protection import Protection
from diagnose.fluid.replacement import Replacement
from diagnose.rulebook.model import Caution, Draining, MayDrive, Rule, Service

Driving = MayDrive | Literal["not known"]
StepKind = Literal["safety", "test", "drain", "repair", "fill", "service", "verify", "next_check"]


class Step(NamedTuple):
    """`title` says what; `lines` how; `ref` is the id of the test, cause or service it comes from."""

    kind: StepKind
    title: str
    lines: tuple[str, ...]
    ref: str


class Decision(NamedTuple):
    """`service` is done `after` the cause is found and repaired where that is not empty.

    `because` are sentences, `rules` the ids of the rules that decided (or may decide).
    `firm`: the deciding rules fired; otherwise a straddling reading has to be taken again first, and `confirmed` is
    what is done where it is confirmed.
    """

    service: Service
    because: tuple[str, ...]
    rules: tuple[str, ...]
    firm: bool
    after: str
    confirmed: Service | None = None


class Target(NamedTuple):
    """The mixture aimed for, vol %. `climate` tells that the coldest night asks for more than the usual,
    `short` that even the most that counts as good does not keep the margin.
    """

    mixture: float
    climate: bool
    short: bool


class Refills(NamedTuple):
    """Draining and filling, for one way of draining."""

    draining: Draining
    reckoned: Replacement


class Litres(NamedTuple):
    """What to drain and to pour in, in L, or in L for each litre of capacity where `capacity` is not known.

    `correction` or `refills` (the recommended way of draining first) is filled, by the service decided for.
    `says` are the lines for the service's step, the recommended way first.
    """

    capacity: Measure | None
    target: Target
    correction: Correction | None
    refills: tuple[Refills, ...]
    says: tuple[str, ...]


class Numbers(NamedTuple):
    """What is reckoned from the readings; a part is empty where something that it needs is not known.

    `frost` and `boiling` hold one result for each glycol that the coolant may hold. `says` are the
    sentences of the work-up on protection, boiling, loss, level, and what two gauges say together.
    `litres` are those of the service; `refill` those after a repair that drains, where the service fills nothing.
    """

    mixture: Measure | None
    frost: tuple[Protection, ...]
    boiling: tuple[Boiling, ...]
    loss: Loss | None
    cooling: Shrinkage | None
    gauges: Gauges | None
    litres: Litres | None
    says: tuple[str, ...]
    refill: Litres | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """`numbers` is None where the book has no positions to reckon from.

    `bear_in_mind` are the rules that fired with something to say to the technician, the weightiest first. `notes` are
    what was noted beside readings and on the case, for the workshop.
    """

    diagnosis: Diagnosis
    decision: Decision
    steps: tuple[Step, ...]
    cautions: tuple[Caution, ...]
    may_drive: Driving
    drive_because: str
    tell_customer: tuple[str, ...]
    next_check: date | None
    next_check_says: str
    not_known: tuple[str, ...]
    numbers: Numbers | None = None
    bear_in_mind: tuple[Rule, ...] = ()
    notes: tuple[str, ...] = ()
