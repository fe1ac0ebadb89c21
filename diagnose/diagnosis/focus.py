"""The few hypotheses that carry nearly all of the probability, for everything that is asked many times."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diagnose.diagnosis.arrays import Flags, Floats, Indexes
from diagnose.diagnosis.posterior import Posterior


class Focus:
    """Hypotheses above a cut, by `places`; `weights` are theirs and `outside` is that of a cause not in the book."""

    def __init__(self, posterior: Posterior, places: Indexes) -> None:
        self.places = places
        self.weights: Floats = posterior.weights.take(places)
        self.outside = posterior.not_in_book
        self.total = float(self.weights.sum()) + self.outside
        self._held = posterior.belief.sets.held
        self._sure = frozenset(posterior.sure)
        self._known: dict[int, Flags] = {}

    @classmethod
    def above(cls, posterior: Posterior, cut: float) -> Focus:
        """The hypotheses with more than `cut` of the probability each, and always the most probable one."""
        places = np.flatnonzero(posterior.weights > min(cut, float(posterior.weights.max()) / 2))
        return cls(posterior, places)

    def narrowed(self, posterior: Posterior, cut: float) -> Focus:
        """Of these hypotheses, those above a higher cut."""
        if not len(self.places):
            return self
        return Focus(posterior, self.places[self.weights > min(cut, float(self.weights.max()) / 2)])

    def held(self, cause: int) -> Flags:
        """For each hypothesis, whether the cause is present."""
        if cause not in self._known:
            proven = cause in self._sure
            self._known[cause] = np.ones(len(self.places), np.bool_) if proven else self._held[cause].take(self.places)
        return self._known[cause]

    def holding(self, cause: int) -> Indexes:
        """Where, among these hypotheses, stand those in which the cause is present."""
        return np.flatnonzero(self.held(cause))

    def share(self, *causes: int) -> float:
        """P(all of these causes are present)."""
        weights = self.weights
        for cause in causes:
            weights = weights * self.held(cause)
        return float(weights.sum()) / self.total

    def columns(self, causes: Sequence[int]) -> Floats:
        """1.0 where the cause is present: a row for each hypothesis, a column for each of the causes."""
        found = np.empty((len(self.places), len(causes)))
        for column, cause in enumerate(causes):
            found[:, column] = self.held(cause)
        return found
