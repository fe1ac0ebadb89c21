"""What it costs to stop testing, and what no test can spare: over every cause of the book and every hypothesis."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.costs import repair_of
from diagnose.diagnosis.posterior import Posterior, weigh
from diagnose.firings.model import Firings
from diagnose.rulebook.model import Cause


def stakes(belief: Belief, firings: Firings) -> tuple[float, float]:
    """Minutes of repairs and of cars that come back, on average: where testing stops here, and if all were known.

    The costs are those of `costs.py`: for each repair the least of doing it and of leaving its causes in, where the
    car comes back once, for the worst of them. No choice of tests ends below the second figure.
    """
    posterior = weigh(belief, firings)
    groups: dict[str, list[Cause]] = {}
    for cause in belief.book.causes.values():
        groups.setdefault(repair_of(cause), []).append(cause)
    stop = known = 0.0
    for causes in groups.values():
        by_service = causes[0].repair.by_service
        longest = max(cause.repair.minutes for cause in causes)
        back = {cause.id: cause.comes_back.minutes for cause in causes}
        choices = [_worst(back, posterior)]
        for done in {cause.repair.minutes for cause in causes} if by_service else {longest}:
            rest = {c.id: back[c.id] for c in causes if c.repair.minutes > done}
            choices.append(done + _worst(rest, posterior))
        stop += min(choices)
        # whatever is chosen, each cause that is present costs its repair or its coming back
        spared = {c.id: min(back[c.id], c.repair.minutes if by_service else longest) for c in causes}
        known += _worst(spared, posterior)
    return stop, known


def _worst(minutes: Mapping[str, float], posterior: Posterior) -> float:
    """The largest of the minutes of those causes that are present, on average."""
    belief = posterior.belief
    if len(minutes) == 1:
        ((cause, most),) = minutes.items()
        return float(posterior.chances[belief.index[cause]]) * most
    absent = np.ones(belief.sets.count, dtype=np.bool_)
    left, total = float(posterior.weights.sum()), 0.0
    for cause in sorted(minutes, key=lambda name: (-minutes[name], name)):
        place = belief.index[cause]
        if place in posterior.sure:
            return total + left * minutes[cause]
        first = absent & belief.sets.held[place]
        share = float(posterior.weights[first].sum())
        total += share * minutes[cause]
        left -= share
        absent ^= first
    return total
