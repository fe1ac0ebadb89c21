"""What the live program would do next, and what it costs to stop: the one place that asks it."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.model import FOR_THE_WORK, Diagnosis
from diagnose.diagnosis.stakes import stakes
from diagnose.firings.model import Firings
from diagnose.rulebook.model import Test

LEAST_MINUTES = 1.0
"""Even a glance costs this much."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A test the program offers. `asks` names the quantity that tells most of all it yields.

    `worth` is the program's own measure, minutes saved for each minute spent; it is None for a test that is
    offered whatever it saves, which no other may take the place of. `minutes` include the way to it and waiting, as it
    counts.
    """

    test: Test
    asks: str
    minutes: float
    worth: float | None


@dataclass(frozen=True, slots=True)
class Stakes:
    """Minutes of repairs and of cars that come back, on average: where testing stops, and if all were known."""

    stop: float
    known: float


def offers(diagnosis: Diagnosis) -> tuple[Offer, ...]:
    """The tests that the program offers, in its order; none where it stops.

    A question of which nothing can be foretold, such as the age of the fill, is asked at the car and not drawn, nor is
    what is read for the work only; nor is the coolant family looked for, since the limits on the lines are those of
    whatever family is in the car.
    """
    return tuple(
        Offer(
            test=choice.test,
            asks=choice.outlook[0].quantity if choice.outlook else "",
            minutes=choice.counted,
            worth=choice.saves / max(choice.counted, LEAST_MINUTES) if choice.reason == "pays" else None,
        )
        for choice in diagnosis.next_tests
        if choice.outlook and choice.reason not in FOR_THE_WORK
    )


def share_of_best(offer: Offer, offered: tuple[Offer, ...]) -> float:
    """How near a test comes to the program's first one: 1 for the first, 0 where it may not take its place."""
    best = offered[0]
    if offer.test.id == best.test.id:
        return 1.0
    if not best.worth or offer.worth is None:
        return 0.0
    return min(1.0, offer.worth / best.worth)


def at_stake(belief: Belief, firings: Firings) -> Stakes:
    """What it costs to stop here, and what can't be spared by any test."""
    return Stakes(*stakes(belief, firings))
