"""What the live program would do next, and what is at stake where it stops: the one place that asks it."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.diagnosis.model import Diagnosis
from diagnose.rulebook.model import Test

LEAST_MINUTES = 1.0
"""Even a glance costs this much."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A test the program offers, best first. `asks` names the quantity that tells most of all it yields.

    `worth` is the program's own measure, per minute spent; `minutes` include waiting and the way to it.
    """

    test: Test
    asks: str
    minutes: float
    worth: float


def offers(diagnosis: Diagnosis) -> tuple[Offer, ...]:
    """The tests that the program offers, in its order; none where it stops."""
    return tuple(
        Offer(
            test=choice.test,
            asks=choice.outlook[0].quantity if choice.outlook else "",
            minutes=choice.minutes,
            worth=choice.bits / max(choice.minutes, LEAST_MINUTES),
        )
        for choice in diagnosis.next_tests
    )


def at_stake(diagnosis: Diagnosis) -> float:
    """Minutes that are lost on average where work begins with what is known now.

    A cause is treated or left, whichever costs less: treated in vain it costs its repair, left in
    it costs what it takes when it comes back. Causes are counted one by one.
    """
    return sum(
        min((1 - s.probability) * s.cause.repair.minutes, s.probability * s.cause.comes_back.minutes)
        for s in diagnosis.suspects
        if s.state != "impossible"
    )
