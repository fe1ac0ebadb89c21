"""What a diagnosis costs when the testing stops: the repairs that are done, and the causes that are left in.

A repair is done where leaving its causes in would cost more than the repair, on average: P x harm > repair
(J. Kalagnanam and M. Henrion, UAI 1990, for one cause; here for each repair by itself). So the cost of a belief is
the sum, over the repairs, of min(repair, harm), in minutes. A repair that was done for nothing costs the same.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from diagnose.diagnosis.arrays import Flags, Floats, Indexes, steady
from diagnose.diagnosis.focus import Focus
from diagnose.rulebook.model import Book, Cause

SMALL = 200_000
"""So many multiplications at once; for more the library would start threads, which cost more than they save."""
SERVICE = "the coolant service"
"""The repair that all causes share which the coolant service itself cures."""


class Losses(NamedTuple):
    """Minutes that each choice costs under each hypothesis.

    `matrix` has a row for each hypothesis and one more for a cause that is not in the book (it costs the same
    whatever is done, so nothing), a column for each choice. The choices of one repair stand together, leaving it
    first; `starts` tells where each repair begins, `repairs` names them and `causes` what each of them cures.
    """

    matrix: Floats
    starts: Indexes
    repairs: tuple[str, ...]
    causes: tuple[tuple[str, ...], ...]

    def of(self, mass: Floats) -> float:
        """The cost of a belief, in minutes times the weight of `mass`."""
        return float(self.best(mass[None, :])[0])

    def best(self, masses: Floats) -> Floats:
        """The cost of each row of `masses`, every repair chosen at its best."""
        if not len(self.starts):
            return np.zeros(len(masses))
        costs = np.empty((len(masses), self.matrix.shape[1]))
        step = max(1, SMALL // self.matrix.size)
        for start in range(0, len(masses), step):
            np.matmul(masses[start : start + step], self.matrix, out=costs[start : start + step])
        found: Floats = np.minimum.reduceat(costs, self.starts, axis=1).sum(axis=1)
        return found

    def chosen(self, mass: Floats) -> tuple[str, ...]:
        """The repairs that are done under this belief, the one that spares most first."""
        costs = mass @ self.matrix
        ends = [*self.starts[1:].tolist(), self.matrix.shape[1]]
        spares = {
            name: steady(float(costs[start] - costs[start:end].min()))
            for name, start, end in zip(self.repairs, self.starts.tolist(), ends, strict=True)
        }
        return tuple(sorted((name for name, spared in spares.items() if spared > 0), key=lambda name: -spares[name]))


def repair_of(cause: Cause) -> str:
    """The repair that cures a cause; causes with the same one need not be parted."""
    return SERVICE if cause.repair.by_service else cause.repair.same_repair or cause.id


def losses(book: Book, causes: Sequence[str], focus: Focus, index: Mapping[str, int]) -> Losses:
    """The losses of the chosen causes of a book, under the hypotheses of a focus."""
    groups: dict[str, list[str]] = {}
    for name in causes:
        groups.setdefault(repair_of(book.causes[name]), []).append(name)
    columns: list[Floats] = []
    starts = []
    for members in groups.values():
        held = [(book.causes[name], focus.held(index[name])) for name in members]
        starts.append(len(columns))
        columns += _service(held) if book.causes[members[0]].repair.by_service else _repair(held)
    rows = len(focus.places)
    matrix = np.zeros((rows + 1, len(columns)))
    for number, column in enumerate(columns):
        matrix[:rows, number] = column
    # a cause that is not in the book is not cured by any of them: what is done for it is done for nothing
    for start, end in zip(starts, [*starts[1:], len(columns)], strict=False):
        for number in range(start + 1, end):
            matrix[rows, number] = columns[number].min()
    return Losses(matrix, np.array(starts, dtype=np.intp), tuple(groups), tuple(map(tuple, groups.values())))


def _repair(held: Sequence[tuple[Cause, Flags]]) -> list[Floats]:
    """Leave all, or do the repair: it takes as long as the longest of its causes demands."""
    minutes = max(cause.repair.minutes for cause, _ in held)
    return [_left_in(held), np.full_like(held[0][1], minutes, dtype=np.float64)]


def _service(held: Sequence[tuple[Cause, Flags]]) -> list[Floats]:
    """Leave all, or do the service as far as one of its causes demands; a longer one cures what a shorter one does."""
    found = [_left_in(held)]
    for minutes in sorted({cause.repair.minutes for cause, _ in held}):
        rest = [(cause, present) for cause, present in held if cause.repair.minutes > minutes]
        found.append(minutes + (_left_in(rest) if rest else np.zeros_like(found[0])))
    return found


def _left_in(held: Sequence[tuple[Cause, Flags]]) -> Floats:
    """The car comes back once, for the worst of what was left in."""
    found = np.zeros(len(held[0][1]))
    for cause, present in held:
        found = np.maximum(found, cause.comes_back.minutes * present)
    return found
