"""What a rulebook says, once read. Names are resolved, numbers are converted, places are kept.

Probabilities are fractions from 0 to 1, times are minutes, and every edge of a band is in the
unit of its quantity. Nothing here knows how the knowledge is used.
"""

from __future__ import annotations

from diagnose.rulebook.model.book import Book, Change
from diagnose.rulebook.model.cause import Arc, Cause, CauseKind, ComesBack, PriorWhen, Repair
from diagnose.rulebook.model.common import (
    DAY,
    FAMILY,
    Amount,
    Citation,
    Condition,
    Drive,
    Excuse,
    MayDrive,
    Scale,
    Source,
    SourceKind,
    Word,
)
from diagnose.rulebook.model.quantity import (
    Band,
    Combine,
    Edges,
    Family,
    Formula,
    Instrument,
    Limits,
    Method,
    NoteAsked,
    Quantity,
    ReadAs,
    Role,
    Term,
)
from diagnose.rulebook.model.reckoning import Draining, Reckoning
from diagnose.rulebook.model.rule import Ban, Example, Link, Rule
from diagnose.rulebook.model.teaching import CardGroup, Entry, Lesson, Misconception, plain_label
from diagnose.rulebook.model.work import WANTING, Caution, Passage, RepairWork, Service, State, Test, Yield

__all__ = [
    "DAY",
    "FAMILY",
    "WANTING",
    "Amount",
    "Arc",
    "Ban",
    "Band",
    "Book",
    "CardGroup",
    "Cause",
    "CauseKind",
    "Caution",
    "Change",
    "Citation",
    "Combine",
    "ComesBack",
    "Condition",
    "Draining",
    "Drive",
    "Edges",
    "Entry",
    "Example",
    "Excuse",
    "Family",
    "Formula",
    "Instrument",
    "Lesson",
    "Limits",
    "Link",
    "MayDrive",
    "Method",
    "Misconception",
    "NoteAsked",
    "Passage",
    "PriorWhen",
    "Quantity",
    "ReadAs",
    "Reckoning",
    "Repair",
    "RepairWork",
    "Role",
    "Rule",
    "Scale",
    "Service",
    "Source",
    "SourceKind",
    "State",
    "Term",
    "Test",
    "Word",
    "Yield",
    "plain_label",
]
