"""What an explored tree costs, and how far it is worth drawing: backward induction with a charge for each question.

Where the drawing ends before the program does, somebody has to give the readings to the program: that costs minutes.
A question is drawn where this is dearer than the charge, and at the beginning of a way in any case. The charge is
additive over the states, so the choice is exact for what was explored.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.graph.explore import Asked, Spot

HANDOVER = 10.0
"""Minutes it takes to go on with the program at the end of a way: judgement."""
CHARGE = 0.03
"""Minutes, on average over all cars with this entry, that a drawn question must save."""
MOST_QUESTIONS = 20
"""A tree with more questions is drawn with a higher charge."""
STEP = 1.05
BEGIN, COMMON = 2, 0.05
"""So many questions of a way are drawn whatever they save, the first always, the next where so many cars come to it:
who is handed over at once has been taught nothing."""


def charge_for(root: Asked) -> float:
    """The least charge, raised step by step, with which a tree can still be read."""
    charge = CHARGE
    while len(list(questions(root, charge))) > MOST_QUESTIONS and charge < HANDOVER:
        charge *= STEP
    return charge


def drawn(spot: Spot, charge: float) -> bool:
    """Whether it pays to draw the question here."""
    if spot.asked is None:
        return False
    begins = spot.depth == 0 or (spot.depth < BEGIN and spot.reach >= COMMON)
    return begins or _asking(spot, spot.asked, charge) < spot.reach * HANDOVER


def questions(asked: Asked, charge: float) -> Iterator[Spot]:
    """The spots whose question is drawn, from the entry on."""
    for each in asked.followed:
        if drawn(each.spot, charge) and each.spot.asked is not None:
            yield each.spot
            yield from questions(each.spot.asked, charge)


def _beyond(spot: Spot, charge: float) -> float:
    """What the drawing costs from here on beyond the program itself, times reach: handing over, and questions drawn.

    The tests are the program's own, so their minutes are the same either way.
    """
    if not spot.offers:
        return 0.0
    if spot.asked is None or not drawn(spot, charge):
        return spot.reach * HANDOVER
    return _asking(spot, spot.asked, charge)


def _asking(spot: Spot, asked: Asked, charge: float) -> float:
    """Answers that were not followed are handed over."""
    return charge + spot.reach * asked.other * HANDOVER + sum(_beyond(each.spot, charge) for each in asked.followed)


def minutes_drawn(asked: Asked, charge: float) -> float:
    """What the drawn tree costs on average, without the charge."""
    total = 0.0
    for each in asked.followed:
        spot = each.spot
        if spot.asked is not None and drawn(spot, charge):
            total += spot.reach * (spot.asked.minutes + spot.asked.other * spot.asked.beyond.stop)
            total += minutes_drawn(spot.asked, charge)
        else:
            total += spot.reach * spot.stakes.stop
    return total


def minutes_live(asked: Asked, known: bool) -> float:
    """What the live program costs as far as it was followed; beyond, as if all were known, or as if it stopped."""
    total = 0.0
    for each in asked.followed:
        spot = each.spot
        stakes = spot.stakes if spot.asked is None else spot.asked.beyond
        beyond = stakes.known if known else stakes.stop
        if spot.asked is not None:
            total += spot.reach * (spot.asked.minutes + spot.asked.other * beyond) + minutes_live(spot.asked, known)
        else:
            total += spot.reach * (beyond if spot.offers else spot.stakes.stop)
    return total


def leaving(asked: Asked, charge: float) -> float:
    """The share of cars that leave the drawn tree where the program would ask on."""
    total = 0.0
    for each in asked.followed:
        spot = each.spot
        if spot.asked is not None and drawn(spot, charge):
            total += spot.reach * spot.asked.other + leaving(spot.asked, charge)
        elif spot.offers:
            total += spot.reach
    return total
