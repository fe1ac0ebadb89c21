"""How much an answer tells about the suspects: the mutual information of the two, in bits.

Shannon's measure, H(answer) + H(suspects) - H(both). What is asked about is which of the listed roots
are present; where there are none yet, which causes at all. So a common fault that has nothing to do
with the complaint, or a consequence that will be mended with its root, draws no tests to itself.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diagnose.diagnosis.arrays import Floats, Indexes
from diagnose.diagnosis.focus import Focus

_TINY = 1e-300


class Question:
    """Which of the suspects are present. Rows are the hypotheses of a focus, and one more: not in the book."""

    def __init__(self, focus: Focus, suspects: Sequence[int]) -> None:
        self.mass: Floats = np.append(focus.weights, focus.outside) / focus.total
        self._order: Indexes | None = None
        if suspects:
            code = np.zeros(len(self.mass), dtype=np.intp)
            code[-1] = -1
            for cause in suspects:
                code[:-1] = 2 * code[:-1] + focus.held(cause)
            self._order = np.argsort(code, kind="stable")
            ordered = code[self._order]
            self._starts = np.flatnonzero(np.append(True, ordered[1:] != ordered[:-1]))

    def bits(self, joint: Floats) -> float:
        """What the answers tell; `joint` is P(hypothesis and answer), a column for each answer."""
        if self._order is not None:
            joint = np.add.reduceat(joint.take(self._order, axis=0), self._starts, axis=0)
        return max(0.0, _entropy(joint.sum(axis=0)) + _entropy(joint.sum(axis=1)) - _entropy(joint))


def _entropy(shares: Floats) -> float:
    """In bits."""
    return float(-np.vdot(shares, np.log2(np.maximum(shares, _TINY))))
