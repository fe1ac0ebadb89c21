"""What a set of causes shows: for each quantity, the probability of every band.

Words mean what they say: a cause alone shows each band as often as its rules say, and the bands
that it does not name as often as a healthy system. From that the strength of the cause is solved,
q = 1 - (1 - sum of its abnormal bands) / (1 - sum of the healthy abnormal bands),
and several causes are put together as the quantity says.

First to act: each cause acts with probability q, at a time of its own (a Poisson event of rate
-ln(1 - q) within the time that passed); the first that acts decides the band, and where none
acts the system reads as a healthy one does. For causes outside a group this is
P(band | S) = exp(-L) healthy + (1 - exp(-L)) / L x sum of L_c d_c(band), with L the sum of rates.
Balance: the same, but where one cause pushes above the normal band and another below it, they
cancel with probability `cancel` and the system reads normal. A cause does not cancel itself.
Worst wins: each cause, and the healthy system, gives a band by itself, and the worst one is read
(a noisy maximum in the order of the bands, the normal band first).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from diagnose.diagnosis.arrays import Floats, Indexes
from diagnose.rulebook.model import Combine

MOST = 0.995
"""Some systems with a cause still read normal: abnormal bands add up to this at most."""


class Shown(NamedTuple):
    """One quantity under the rules in force.

    `healthy` has a column for each band; `alone` a row for each linked cause besides: what a
    system with that cause alone shows. `strength` is q for each linked cause.
    """

    combine: Combine
    cancel: float
    normal: int
    healthy: Floats
    alone: Floats
    strength: Floats


def shown(combine: Combine, cancel: float, normal: int, healthy: Floats, words: Floats) -> Shown:
    """`words` has a row for each cause and a column for each band; nan where no rule in force links the two."""
    named = ~np.isnan(words)
    named[:, normal] = False
    rest = np.where(named, 0.0, healthy)
    rest[:, normal] = 0.0
    said = np.where(named, words, 0.0)
    room = np.maximum(MOST - said.sum(axis=1), 0.0)
    total = rest.sum(axis=1)
    # bands that no rule names give way where the named ones leave no room for them
    rest *= np.where(total > room, room / np.where(total > 0, total, 1.0), 1.0)[:, None]
    alone = said + rest
    alone[:, normal] = 1 - alone.sum(axis=1)
    strength = np.clip(1 - alone[:, normal] / healthy[normal], 0.0, MOST)
    return Shown(combine, cancel, normal, healthy, alone, strength)


def table(of: Shown, reach: Floats, members: Indexes) -> Floats:
    """P(band | the causes of a set, all of which have got this far): a row for each set.

    `members` has a column for each set and holds rows of `of.alone`; len(alone) fills free places.
    `reach` is, for each cause, the probability that it has got as far as this group of quantities.
    """
    if of.combine == "worst_wins":
        return _worst_wins(of, reach, members)
    return _first_to_act(of, reach, members)


def _worst_wins(of: Shown, reach: Floats, members: Indexes) -> Floats:
    order = [of.normal, *(band for band in range(len(of.healthy)) if band != of.normal)]
    below = np.cumsum(of.healthy[order])
    below[-1] = 1.0
    each = np.cumsum(of.alone[:, order], axis=1) / np.where(below > 0, below, 1.0)
    each = np.minimum(1 - (1 - each) / reach[:, None], 1.0)
    each[:, -1] = 1.0
    each = np.vstack((each, np.ones(len(order))))
    at_most = np.tile(below, (members.shape[1], 1))
    for column in members:
        at_most *= each[column]
    found = np.empty_like(at_most)
    found[:, order] = np.diff(at_most, axis=1, prepend=0.0)
    return np.maximum(found, 0.0)


def _first_to_act(of: Shown, reach: Floats, members: Indexes) -> Floats:
    bands = len(of.healthy)
    q = of.strength
    pushes = of.alone - (1 - q)[:, None] * of.healthy
    pushes[:, of.normal] = 0.0
    pushes = np.maximum(pushes, 0.0)
    total = pushes.sum(axis=1, keepdims=True)
    pushes = np.divide(pushes, total, out=np.zeros_like(pushes), where=total > 0)
    causes = _Causes(
        rate=np.append(-np.log1p(-q), 0.0),
        acts=np.append(q / reach, 0.0),
        reach=np.append(reach, 1.0),
        pushes=np.vstack((pushes, np.zeros(bands))),
    )
    nobody = np.prod(1 - causes.acts[members], axis=0)
    found: Floats = nobody[:, None] * of.healthy
    first = causes.first(members, None)
    if of.combine == "balance" and of.cancel > 0:
        sides = (slice(0, of.normal), slice(of.normal + 1, bands))
        for side, other in (sides, sides[::-1]):
            opposed = causes.pushes[:, other].sum(axis=1)
            kept = (1 - of.cancel) * first + of.cancel * causes.first(members, opposed)
            for column, share in zip(members, kept, strict=True):
                found[:, side] += share[:, None] * causes.pushes[column, side]
        found[:, of.normal] = 0.0
        found[:, of.normal] = np.maximum(1 - found.sum(axis=1), 0.0)
        return found
    for column, share in zip(members, first, strict=True):
        found += share[:, None] * causes.pushes[column]
    return found


class _Causes(NamedTuple):
    """`rate` is -ln(1 - q), `acts` the probability of acting for a cause that has got this far."""

    rate: Floats
    acts: Floats
    reach: Floats
    pushes: Floats

    def first(self, members: Indexes, opposed: Floats | None) -> Floats:
        """For each place of a set: P(that member is the first to act, and no other pushes to the opposed side).

        With the first acting at time t (0 to 1), another member j does not spoil it with probability
        steady_j + fading_j exp(-rate_j t); the product over the others is multiplied out and
        integrated term by term.
        """
        beyond = np.zeros_like(self.rate) if opposed is None else opposed
        steady = 1 - 1 / self.reach + beyond * np.exp(-self.rate) / self.reach
        fading = (1 - beyond) / self.reach
        simple = not steady.any()
        found = np.empty(members.shape)
        for place, column in enumerate(members):
            terms = [(self.rate[column] / self.reach[column], self.rate[column])]
            for other, beside in enumerate(members):
                if other == place:
                    continue
                grown = [(share * fading[beside], rate + self.rate[beside]) for share, rate in terms]
                terms = grown if simple else grown + [(share * steady[beside], rate) for share, rate in terms]
            found[place] = sum(share * _mean_of_fading(rate) for share, rate in terms)
        return found


def _mean_of_fading(rate: Floats) -> Floats:
    """The integral of exp(-rate t) from 0 to 1."""
    return np.divide(-np.expm1(-rate), rate, out=np.ones_like(rate), where=rate > 0)
