"""Firings to a diagnosis: causes in order, what speaks for and against each, and what to test next."""

from __future__ import annotations

from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.choice import choose_tests
from diagnose.diagnosis.model import Diagnosis
from diagnose.diagnosis.posterior import weigh
from diagnose.diagnosis.suspects import suspects_of
from diagnose.firings.model import Firings


def diagnose(firings: Firings, belief: Belief) -> Diagnosis:
    """Pure: the same firings give the same diagnosis. Raises Contradiction (an InputError)."""
    posterior = weigh(belief, firings)
    suspects = suspects_of(posterior)
    chosen = choose_tests(posterior, suspects)
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
    )
