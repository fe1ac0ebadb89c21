"""Everything that is reckoned from the readings of a case."""

from __future__ import annotations

from diagnose.diagnosis.model import Diagnosis
from diagnose.plan.balance import cooling, loss, say_balance
from diagnose.plan.known import known
from diagnose.plan.litres import litres, refill
from diagnose.plan.model import Decision, Numbers
from diagnose.plan.protection import boiling, frost, say_protection
from diagnose.plan.repairs import drains
from diagnose.plan.two_gauges import gauges, say_gauges
from diagnose.rulebook.model import Book


def numbers(diagnosis: Diagnosis, decision: Decision, book: Book) -> Numbers | None:
    """None where the book has no positions to reckon from."""
    found = known(diagnosis, book)
    if found is None:
        return None
    frosts, boilings = frost(found), boiling(found)
    lost, shrunk, both = loss(found), cooling(found), gauges(found)
    return Numbers(
        mixture=found.mixture,
        frost=frosts,
        boiling=boilings,
        loss=lost,
        cooling=shrunk,
        gauges=both,
        litres=litres(decision, found, frosts),
        refill=refill(found, frosts) if drains(diagnosis) and decision.service.quantities == "none" else None,
        says=(*say_protection(found, frosts, boilings), *say_gauges(both), *say_balance(found, lost, shrunk)),
    )
