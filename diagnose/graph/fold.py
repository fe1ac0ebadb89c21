"""What an explored tree costs, and how far it is worth drawing: backward induction with a charge for each question.

The charge is additive over the states, so the choice is exact for what was explored.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.graph.explore import Asked, Spot

CHARGE = 0.5
"""Minutes, on average over all cars with this entry, that a drawn question must save."""
MOST_QUESTIONS = 16
"""A tree with more questions is drawn with a higher charge."""


def charge_for(root: Asked) -> float:
    """The least charge, doubled step by step, with which a tree can still be read."""
    charge = CHARGE
    while sum(1 for spot in spots(root) if spot.asked and drawn(spot, charge)) > 4 * MOST_QUESTIONS:
        charge *= 2
    while len(list(questions(root, charge))) > MOST_QUESTIONS:
        charge *= 2
    return charge


def drawn(spot: Spot, charge: float) -> bool:
    """Whether it pays to draw the question here."""
    return spot.asked is not None and _asking(spot, spot.asked, charge) < spot.reach * spot.stakes.stop


def questions(asked: Asked, charge: float) -> Iterator[Spot]:
    """The spots whose question is drawn, from the entry on."""
    for each in asked.followed:
        if drawn(each.spot, charge) and each.spot.asked is not None:
            yield each.spot
            yield from questions(each.spot.asked, charge)


def spots(asked: Asked) -> Iterator[Spot]:
    for each in asked.followed:
        yield each.spot
        if each.spot.asked is not None:
            yield from spots(each.spot.asked)


def cost(spot: Spot, charge: float) -> float:
    """Minutes from here on, times reach: drawn where that pays, with the charge."""
    stop = spot.reach * spot.stakes.stop
    return stop if spot.asked is None else min(stop, _asking(spot, spot.asked, charge))


def _asking(spot: Spot, asked: Asked, charge: float) -> float:
    """What was not followed is counted as if the answer had told nothing."""
    below = sum(cost(each.spot, charge) for each in asked.followed)
    return spot.reach * (asked.minutes + asked.other * spot.stakes.stop) + below + charge


def minutes_drawn(asked: Asked, charge: float) -> float:
    """What the drawn tree costs on average, without the charge."""
    total = 0.0
    for each in asked.followed:
        spot = each.spot
        if spot.asked is not None and drawn(spot, charge):
            total += spot.reach * (spot.asked.minutes + spot.asked.other * spot.stakes.stop)
            total += minutes_drawn(spot.asked, charge)
        else:
            total += spot.reach * spot.stakes.stop
    return total


def minutes_live(asked: Asked, known: bool) -> float:
    """What the live program costs as far as it was followed; beyond, as if all were known there, or as if it stopped."""
    total = 0.0
    for each in asked.followed:
        spot = each.spot
        beyond = spot.stakes.known if known else spot.stakes.stop
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
