"""Which rules fired, and on what."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

from diagnose.findings.model import Findings
from diagnose.rulebook.model import Ban, Condition, Rule

FiringState = Literal["fires", "may_fire"]


class Firing(NamedTuple):
    """`may_fire`: the rule would fire in some of the bands that a straddling reading allows."""

    rule: Rule
    state: FiringState
    on: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Firings:
    """`findings` are those of the case, with the patterns that rules concluded added.

    `in_force` holds the ids of rules whose conditions on givens and family hold; only their
    links count in the belief. `engine` names the matcher that was used.
    """

    engine: str
    findings: Findings
    fired: tuple[Firing, ...]
    in_force: frozenset[str]
    concluded_by: Mapping[str, tuple[str, ...]]

    def sure(self) -> tuple[Firing, ...]:
        return tuple(firing for firing in self.fired if firing.state == "fires")

    def standing(self) -> tuple[Firing, ...]:
        """Those that surely fire and whose advice is neither followed already nor beside the point."""
        return tuple(firing for firing in self.sure() if not self._is_moot(firing.rule))

    def deciding(self) -> tuple[Firing, ...]:
        """Those that decide on the coolant, surely or perhaps, and are not beside the point."""
        return tuple(f for f in self.fired if f.rule.decides and not self._is_moot(f.rule))

    @property
    def ended_by(self) -> Rule | None:
        """The rule with which the book ends for this car."""
        return next((rule for rule, ban in self.bans() if ban.everything), None)

    def bans(self) -> tuple[tuple[Rule, Ban], ...]:
        """The rules that forbid something on this car, with what they forbid."""
        rules = [firing.rule for firing in self.standing()]
        return tuple((rule, rule.forbids) for rule in rules if rule.forbids is not None)

    def _is_moot(self, rule: Rule) -> bool:
        return any(self.findings.surely(condition) for condition in rule.moot_when)
