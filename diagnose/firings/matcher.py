"""What every matcher does, so that one can be checked against the other."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol, TypeAlias

Rules: TypeAlias = Mapping[str, frozenset[str]]
"""Rule ids, each with the terms that must all hold for the rule to fire."""


class Matcher(Protocol):
    """Compiled once from Rules. A term stands for one condition and either holds or does not.

    `fire` gives the ids of the rules whose terms all hold; a rule without terms always fires,
    and terms that no rule asks for change nothing.
    """

    name: str

    def fire(self, terms: frozenset[str]) -> frozenset[str]: ...


class EngineUnavailable(Exception):
    """The rule engine was asked for by name and can't be used; the message says why in one sentence."""


class EngineFailure(RuntimeError):
    """The rule engine did not finish a case. A fault of the program, never of its input."""
