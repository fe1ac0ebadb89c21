"""What each answer of a test would do to the first suspects, and one plain sentence that says why it pays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.diagnosis.answers import Answers
from diagnose.diagnosis.arrays import Floats
from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.model import Outlook

RARE = 0.005
"""An answer less probable than this is not told."""
SAME = 0.01
"""A smaller change of a probability is none on paper."""


@dataclass(frozen=True, slots=True)
class Prospect:
    """`parts` are the causes that the answers move apart most, or the one that they move."""

    outlook: tuple[Outlook, ...]
    parts: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Shown:
    """The suspects (ids and short names) of whom it is told what answers do to them.

    `columns` is 1.0 where one is present, a row for each hypothesis of the focus and one for a cause not in
    the book; `now` is P(present).
    """

    suspects: tuple[str, ...]
    names: tuple[str, ...]
    columns: Floats
    now: Floats


def shown(suspects: Sequence[str], belief: Belief, focus: Focus) -> Shown:
    """These suspects as the readings leave them."""
    columns = np.zeros((len(focus.places) + 1, len(suspects)))
    columns[:-1] = focus.columns(belief.places(suspects))
    names = tuple(belief.book.causes[name].short for name in suspects)
    return Shown(tuple(suspects), names, columns, focus.weights @ columns[:-1] / focus.total)


@dataclass(frozen=True, slots=True)
class _Moves:
    """One quantity's answers that may well come: `after` has a row for each, a column for each suspect."""

    answers: Answers
    bands: tuple[int, ...]
    chance: Floats
    now: Floats
    after: Floats

    @property
    def far(self) -> Floats:
        """How far the answers move each suspect, on average."""
        return self.chance @ np.abs(self.after - self.now)


def prospect(answers: Sequence[Answers], of: Shown) -> Prospect:
    """The outlook of the quantity whose answers move one of the suspects farthest."""
    moves = max((_moves(each, of) for each in answers), key=lambda each: float(each.far.max(initial=0.0)))
    quantity = moves.answers.quantity
    outlook = tuple(
        Outlook(
            answer=f"{quantity.label}: {quantity.bands[band].says}",
            probability=float(chance),
            after=dict(zip(of.suspects, row.tolist(), strict=True)),
            quantity=quantity.id,
            band=quantity.bands[band].id,
        )
        for band, chance, row in zip(moves.bands, moves.chance, moves.after, strict=True)
    )
    parts, why = _why(moves, of.suspects, of.names)
    return Prospect(outlook, parts, why)


def _moves(answers: Answers, of: Shown) -> _Moves:
    chance = answers.joint.sum(axis=0)
    kept = np.flatnonzero(chance >= RARE)
    after = (answers.joint.T @ of.columns)[kept] / chance[kept, None]
    return _Moves(answers, tuple(kept.tolist()), chance[kept], of.now, after)


def _why(moves: _Moves, suspects: Sequence[str], names: Sequence[str]) -> tuple[tuple[str, ...], str]:
    quantity = moves.answers.quantity
    changes = moves.after - moves.now
    if not suspects or len(moves.bands) < 2 or float(np.abs(changes).max()) < SAME:
        return (), f"shows {quantity.label}"
    first = int(np.argmax(moves.far))
    second = int(np.argmax(moves.chance @ np.abs(changes[:, [first]] - changes)))
    opposed = changes[:, first] * changes[:, second] < 0
    apart = second != first and bool((opposed & (np.abs(changes[:, second]) >= SAME)).any())
    head = f"parts {names[first]} from {names[second]}" if apart else f"bears on {names[first]}"
    lead, other = _leading(changes[:, first], moves.chance)
    told = _change(names[first], moves.now[first], moves.after[lead, first], first=True)
    rest = _change("it", moves.now[first], moves.after[other, first], first=False)
    says = [f"'{quantity.bands[band].says}'" for band in moves.bands]
    otherwise = "if not" if len(moves.bands) == 2 else f"if it is {says[other]}"
    why = f"{head}: if {quantity.label} is {says[lead]}, {told}; {otherwise}, {rest}"
    return ((suspects[first], suspects[second]) if apart else (suspects[first],)), why


def _leading(change: Floats, chance: Floats) -> tuple[int, int]:
    """The answer that raises a cause most (or lowers it, where none raises it), and the usual one of the others."""
    lead = int(np.argmax(change)) if change.max() >= SAME else int(np.argmin(change))
    against = np.where(change * change[lead] < 0, chance, -1.0)
    against[lead] = -2.0
    if against.max() < 0:
        against = chance.copy()
        against[lead] = -1.0
    return lead, int(np.argmax(against))


def _change(who: str, now: float, after: float, first: bool) -> str:
    """'leak rises from 31 to 93 %', then 'it falls to 12 %'."""
    if abs(after - now) < SAME:
        return f"{who} stays at {_percent(after)} %"
    verb = "rises" if after > now else "falls"
    start = f"from {_percent(now)} " if first else ""
    return f"{who} {verb} {start}to {_percent(after)} %"


def _percent(share: float) -> str:
    if 0 < share < 0.01:
        return "under 1"
    if 0.99 < share < 1:
        return "over 99"
    return f"{round(100 * share)}"
