"""What every function of this package raises on input that can't be."""

from __future__ import annotations


class Impossible(ValueError):
    """An amount, mixture, unit or instrument that can't be; the message is one sentence that says what and why."""
