"""What this shop has: tools on hand, minutes that differ from the book's, and what an hour costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnose.rulebook.model import Test


@dataclass(frozen=True, slots=True)
class Shop:
    """`tools` are those on hand (None: every tool of the book). `minutes` and `wait` stand in place of the book's.

    `day_away` is what a day costs, in minutes of work, of every answer for which nobody stands by (None: as the book).
    `labour_rate` is what an hour costs in `currency`; None where nobody said.
    """

    title: str = ""
    tools: frozenset[str] | None = None
    minutes: Mapping[str, float] = field(default_factory=dict)
    wait: Mapping[str, float] = field(default_factory=dict)
    day_away: float | None = None
    labour_rate: float | None = None
    currency: str = ""

    def lacks(self, test: Test) -> tuple[str, ...]:
        """The tools of a test that are not on hand."""
        return () if self.tools is None else tuple(tool for tool in test.tools if tool not in self.tools)

    def here(self, test: Test) -> Test:
        """The test with this shop's own minutes."""
        away = self.day_away is not None and test.day_away is not None
        if test.id not in self.minutes and test.id not in self.wait and not away:
            return test
        minutes, day_away = self.minutes.get(test.id, test.minutes), self.day_away if away else test.day_away
        return test._replace(minutes=minutes, wait=self.wait.get(test.id, test.wait), day_away=day_away)

    def costs(self, minutes: float) -> str:
        """'45 EUR' for so many minutes of work; nothing where no rate is known."""
        if self.labour_rate is None:
            return ""
        return f"{minutes / 60 * self.labour_rate:.0f} {self.currency}".strip()


EVERY_TOOL = Shop()
"""A shop that has whatever the book asks for."""
