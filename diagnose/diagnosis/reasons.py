"""What the answers of a test would do to the first suspects, and one plain sentence that says why it is done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from diagnose.diagnosis.answers import Answers
from diagnose.diagnosis.arrays import DIGITS, Floats, steady
from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.model import Outlook, Reason

RARE = 0.005
"""An answer less probable than this is not told."""
SAME = 0.01
"""A smaller change of a probability is none on paper."""

LEADS: dict[Reason, str] = {
    "pays": "",
    "decides": "the decision on the coolant waits for it",
    "confirms": "two physical principles must agree before so long a repair",
    "parts": "another cause would need another repair",
    "finds": "the cause has to be found before the coolant is changed",
    "complaint": "the car came in for this, and it is not explained yet",
    "held": "this shows whether what was repaired at the last visit held",
    "before": "once the coolant is out nobody can read it any more",
    "reckons": "what is drained and filled is reckoned from it",
    "first": "this has to be known before the tests that come next may be done",
}


class Prospect(NamedTuple):
    """`parts` are the causes that the answers move apart most, or the one that they move."""

    outlook: tuple[Outlook, ...]
    parts: tuple[str, ...]
    why: str


class Shown(NamedTuple):
    """The suspects (ids and short names) of whom it is told what answers do to them.

    `columns` is 1.0 where one is present, a row for each hypothesis of the focus and one for a cause not in
    the book; `here` is P(present) by the focus, `now` by every hypothesis.
    """

    suspects: tuple[str, ...]
    names: tuple[str, ...]
    columns: Floats
    here: Floats
    now: Floats


def shown(suspects: Sequence[str], now: Mapping[str, float], belief: Belief, focus: Focus) -> Shown:
    """These suspects as the readings leave them; `now` is P(present), as it stands on paper."""
    columns = np.zeros((len(focus.places) + 1, len(suspects)))
    columns[:-1] = focus.columns(belief.places(suspects))
    names = tuple(belief.book.causes[name].short for name in suspects)
    here = focus.weights @ columns[:-1] / focus.total
    return Shown(tuple(suspects), names, columns, here, np.array([now[name] for name in suspects]))


class _Moves(NamedTuple):
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


def prospect(answers: Sequence[Answers], of: Shown, reason: Reason) -> Prospect:
    """The outlook of the quantity whose answers move one of the suspects farthest."""
    if not answers:
        return Prospect((), (), LEADS[reason])
    moves = max((_moves(each, of) for each in answers), key=lambda each: steady(float(each.far.max(initial=0.0))))
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
    parts, says = _says(moves, of)
    why = "; ".join(part for part in (LEADS[reason], says) if part)
    return Prospect(outlook, parts, why or f"shows {quantity.label}")


def _moves(answers: Answers, of: Shown) -> _Moves:
    chance = answers.joint.sum(axis=0)
    kept = np.flatnonzero(chance >= RARE)
    after = (answers.joint.T @ of.columns)[kept] / chance[kept, None]
    return _Moves(answers, tuple(kept.tolist()), chance[kept], of.now, _of_all(after, of))


def _of_all(after: Floats, of: Shown) -> Floats:
    """The suspects after each answer, by every hypothesis: the rest is taken to answer as those of the focus do.

    An answer multiplies the odds of a suspect by P(answer | present) / P(answer | not present); that factor is the
    focus's, the odds it acts on are those that stand on paper. So 'from' is everywhere the same number.
    """
    within = (of.here > 0) & (of.here < 1) & (of.now > 0) & (of.now < 1)
    scale = np.ones_like(of.now)
    scale[within] = (of.now * (1 - of.here))[within] / (of.here * (1 - of.now))[within]
    found = after * scale / (after * scale + 1 - after)
    return np.where((of.now > 0) & (of.now < 1), found, of.now)  # what is proven stays so


def _says(moves: _Moves, of: Shown) -> tuple[tuple[str, ...], str]:
    """The causes that are parted, and the two answers that matter most: how likely they are times how far they lead."""
    changes = moves.after - moves.now
    if not of.suspects or len(moves.bands) < 2 or float(np.abs(changes).max(initial=0.0)) < SAME:
        return (), ""
    first = int(np.argmax(np.round(moves.far, DIGITS)))
    second = int(np.argmax(np.round(moves.chance @ np.abs(changes[:, [first]] - changes), DIGITS)))
    opposed = changes[:, first] * changes[:, second] < 0
    apart = second != first and bool((opposed & (np.abs(changes[:, second]) >= SAME)).any())
    head = f"parts {of.names[first]} from {of.names[second]}" if apart else f"bears on {of.names[first]}"
    told: list[str] = []
    change = changes[:, first]
    up, down = _likeliest(change, moves.chance), _likeliest(-change, moves.chance)
    for answer in (answer for answer in (up, down) if answer is not None):
        who = of.names[first] if not told else "it"
        change_of = _change(who, moves.now[first], moves.after[answer, first])
        told.append(f"{_if(moves, answer, up if told else None)} {change_of}")
        if apart and changes[answer, second] * changes[answer, first] < 0 and abs(changes[answer, second]) >= SAME:
            told[-1] += f" and {_change(of.names[second], moves.now[second], moves.after[answer, second])}"
    parts = (of.suspects[first], of.suspects[second]) if apart else (of.suspects[first],)
    return parts, f"{head}: {'; '.join(told)}" if told else ""


def _likeliest(change: Floats, chance: Floats) -> int | None:
    """The answer that raises most, counted with how likely it is; None where none does."""
    weight = np.where(change >= SAME, change * chance, 0.0)
    return int(np.argmax(np.round(weight, DIGITS))) if weight.max() > 0 else None


def _if(moves: _Moves, answer: int, before: int | None) -> str:
    quantity = moves.answers.quantity
    if before is not None and len(moves.bands) == 2:
        return "if not,"
    subject = "it" if before is not None else quantity.label
    return f"if {subject} is '{quantity.bands[moves.bands[answer]].says}',"


def _change(who: str, now: float, after: float) -> str:
    """'leak rises from 31 to 93 %', then 'it falls to 12 %'."""
    verb = "rises" if after > now else "falls"
    start = "" if who == "it" else f"from {_percent(now)} "
    return f"{who} {verb} {start}to {_percent(after)} %"


def _percent(share: float) -> str:
    if 0 < share < 0.01:
        return "under 1"
    if 0.99 < share < 1:
        return "over 99"
    return f"{round(100 * share)}"
