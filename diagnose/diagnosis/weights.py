"""What speaks for and against a cause: its odds with all findings over its odds with one left out.

A finding is left out with all its instruments; in a group of quantities the others stay. Weights
of evidence (I. J. Good, Probability and the Weighing of Evidence, 1950) are the logarithms of
these factors; here they explain the posterior and are not what it is reckoned from.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import log, prod

import numpy as np

from diagnose.diagnosis.arrays import Floats, Indexes, steady
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.model import Weight
from diagnose.diagnosis.posterior import Posterior, Seen, combine, see

CUT = 1e-8
"""Hypotheses below this move no factor by more than a few percent (measured on the cases of the shipped book)."""
NEARLY_CERTAIN = 0.01
"""Where a cause is absent with less than this, the cut goes down with it: what speaks against it is in small sets."""
NEAR_ONE = (0.8, 1.25)
"""Factors between these say nothing that is worth a line."""
LEAST_DOUBT = 1e-7
LIMIT = 1e6
"""Larger factors, up or down, are told as this."""
_ROUNDING = 1e-14


def weigh_findings(posterior: Posterior, causes: Sequence[int]) -> Mapping[int, tuple[Weight, ...]]:
    """For each of the causes what every finding does to its odds, the strongest first."""
    if not causes or not posterior.seen:
        return dict.fromkeys(causes, ())
    doubt = min(1.0, *(1 - posterior.chances[list(causes)]))
    focus = Focus.above(posterior, CUT * min(1.0, max(doubt, LEAST_DOUBT) / NEARLY_CERTAIN))
    holding = [focus.holding(cause) for cause in causes]
    names: list[str] = []
    held: list[Floats] = []
    totals: list[float] = []
    for seen in posterior.seen:
        for number, (present, total) in _left_out(posterior, seen, focus, holding, causes):
            names.append(seen.block.quantities[number].id)
            held.append(present)
            totals.append(total)
    odds = _odds(_held(focus.weights, holding), focus.total)
    before = _odds(np.array(held), np.array(totals)[:, None])
    factors = np.clip(odds / before, 1 / LIMIT, LIMIT)
    bands = {name: band_read(posterior, name) for name in names}
    return {cause: _told(posterior, cause, bands, factors[:, column]) for column, cause in enumerate(causes)}


def _odds(present: Floats, total: Floats | float) -> Floats:
    """Kept off zero and infinity, so that what is certain with a finding and without it has the factor 1."""
    return np.maximum(present / total, _ROUNDING) / np.maximum((total - present) / total, _ROUNDING)


def _held(weights: Floats, holding: Sequence[Indexes]) -> Floats:
    """The weight of each cause."""
    return np.array([weights.take(places).sum() for places in holding])


def _left_out(
    posterior: Posterior, seen: Seen, focus: Focus, holding: Sequence[Indexes], causes: Sequence[int]
) -> Iterator[tuple[int, tuple[Floats, float]]]:
    """The weight of each cause, and of everything, with one finding of a block left out; both on one scale."""
    if seen.likelihood.min() <= 0:
        # hypotheses that a finding excludes come back without it, so it can't be divided out
        yield from ((number, _without(posterior, seen, number, causes)) for number in seen.witnesses)
        return
    block, patterns = seen.block, seen.likelihood.shape[1]
    places = seen.places.take(focus.places)
    without_block = focus.weights / seen.likelihood.ravel().take(places)
    if len(seen.witnesses) == 1:
        number = next(iter(seen.witnesses))
        outside = focus.outside / seen.outside[number]
        yield number, (_held(without_block, holding), float(without_block.sum()) + outside)
        return
    rows, pattern = np.divmod(places, patterns)
    few, local = block.few(rows)
    local = local * patterns + pattern
    for number in seen.witnesses:
        others = {part: likelihood for part, likelihood in seen.by_part.items() if part != number}
        weights = without_block * block.likelihood(seen.tables, others, few).ravel().take(local)
        outside = focus.outside / seen.outside[number]
        yield number, (_held(weights, holding), float(weights.sum()) + outside)


def _without(posterior: Posterior, seen: Seen, number: int, causes: Sequence[int]) -> tuple[Floats, float]:
    """The same reckoned anew from the prior."""
    others = {part: each for part, each in seen.witnesses.items() if part != number}
    fewer = see(posterior.belief, seen.block, seen.tables, others, posterior.sure) if others else None
    rest = [fewer if each is seen else each for each in posterior.seen]
    weights, outside = combine(posterior.prior, [each for each in rest if each is not None])
    return posterior.belief.chances(weights, posterior.sure)[list(causes)], float(weights.sum()) + outside


def _told(posterior: Posterior, cause: int, bands: Mapping[str, str], factors: Floats) -> tuple[Weight, ...]:
    low, high = NEAR_ONE
    kept = [(name, factor) for name, factor in zip(bands, factors.tolist(), strict=True) if not low < factor < high]
    kept.sort(key=lambda pair: (-steady(abs(log(pair[1]))), pair[0]))
    return tuple(
        Weight(name, bands[name], factor, _rules(posterior, cause, name, bands[name], factor)) for name, factor in kept
    )


def band_read(posterior: Posterior, name: str) -> str:
    """The band that all instruments together make most likely."""
    quantity = posterior.belief.book.quantities[name]
    shares = [witness.shares for witness in posterior.evidence.witnesses(name)]
    together = [prod(column) for column in zip(*shares, strict=True)]
    if not any(together):
        together = [sum(column) for column in zip(*shares, strict=True)]
    return quantity.bands[together.index(max(together))].id


def _rules(posterior: Posterior, cause: int, name: str, band: str, factor: float) -> tuple[str, ...]:
    """The rules in force that stand behind a weight.

    What speaks for a cause are rules that link the band to it or to what it leads to; what speaks
    against it are rules that make it show another band, or that link this band to other causes.
    """
    belief = posterior.belief
    links = [link for link in belief.links[name] if link.rule in posterior.firings.in_force]
    own = belief.causes[cause]
    story = {own, *belief.follows[own]}
    if factor > 1:
        found = [link.rule for link in links if link.band == band and link.cause in story]
    else:
        found = [link.rule for link in links if link.band != band and link.cause in story]
        found = found or [link.rule for link in links if link.band == band]
    return tuple(dict.fromkeys(found))
