"""Firings to a diagnosis: causes in order, what speaks for and against each, and what to test next."""

from __future__ import annotations

from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.choice import choose_tests
from diagnose.diagnosis.model import Diagnosis, Suspect, Verdict
from diagnose.diagnosis.posterior import weigh
from diagnose.diagnosis.shop import EVERY_TOOL, Shop
from diagnose.diagnosis.suspects import suspects_of
from diagnose.firings.model import Firings


def diagnose(firings: Firings, belief: Belief, shop: Shop = EVERY_TOOL, rollout: bool = False) -> Diagnosis:
    """Pure: the same firings give the same diagnosis. Raises Contradiction (an InputError).

    `rollout` follows each of the best tests to the end before one is chosen, which takes longer.
    """
    posterior = weigh(belief, firings)
    suspects = suspects_of(posterior)
    if firings.ended_by is not None:
        return Diagnosis(firings, tuple(map(_not_judged, suspects)), 0.0, 0.0, (), (), Verdict("ended"), shop=shop)
    chosen = choose_tests(posterior, suspects, shop, rollout)
    return Diagnosis(
        firings=firings,
        suspects=suspects,
        nothing_wrong=posterior.nothing_wrong,
        not_in_book=posterior.not_in_book,
        next_tests=chosen.next_tests,
        later=chosen.later,
        verdict=chosen.verdict,
        repair_first=chosen.repair_first,
        unconfirmed=chosen.unconfirmed,
        complaint=chosen.complaint,
        shop=shop,
    )


def _not_judged(suspect: Suspect) -> Suspect:
    """As it is where the book ends: nothing is said of it."""
    apart = suspect._replace(probability=0.0, as_root=0.0, state="not_judged", root=False, roots=(), story=())
    return apart._replace(weights=(), proven_by=(), ruled_out_by="", history=None)
