"""The few hypotheses that carry nearly all of the probability, for everything that is asked many times."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diagnose.diagnosis.arrays import Flags, Floats, Indexes
from diagnose.diagnosis.posterior import Posterior


class Focus:
    """Hypotheses above a cut, by `places`; `weights` are theirs and `outside` is that of a cause not in the book.

    `present` has a row for each hypothesis and a column for each cause of the book.
    """

    def __init__(self, posterior: Posterior, places: Indexes) -> None:
        belief = posterior.belief
        self.places = places
        self.weights: Floats = posterior.weights[places]
        self.outside = posterior.not_in_book
        self.total = float(self.weights.sum()) + self.outside
        count = len(belief.causes)
        present = np.zeros((len(places), count + 1), dtype=np.bool_)
        present[np.arange(len(places)), belief.sets.members[:, places]] = True
        self.present: Flags = present[:, :count]
        self.present[:, list(posterior.sure)] = True

    @classmethod
    def above(cls, posterior: Posterior, cut: float) -> Focus:
        """The hypotheses with more than `cut` of the probability each, and always the most probable one."""
        places = np.flatnonzero(posterior.weights > min(cut, float(posterior.weights.max()) / 2))
        return cls(posterior, places)

    def share(self, *causes: int) -> float:
        """P(all of these causes are present)."""
        held = np.logical_and.reduce([self.present[:, cause] for cause in causes])
        return float(self.weights[held].sum()) / self.total

    def columns(self, causes: Sequence[int]) -> Floats:
        """1.0 where the cause is present: a row for each hypothesis, a column for each of the causes."""
        return self.present[:, list(causes)].astype(np.float64)
