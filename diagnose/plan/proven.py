"""The one place that says how sure a cause is: 'proven' is a word for what a rule has proven and for nothing else."""

from __future__ import annotations

from diagnose.diagnosis.model import Suspect


def is_proven(suspect: Suspect) -> bool:
    return suspect.state == "proven"


def in_words(suspect: Suspect) -> str:
    """'proven', 'probable, not proven', 'possible, not proven', 'unlikely'."""
    if suspect.state in ("probable", "possible"):
        return f"{suspect.state}, not proven"
    return suspect.state
