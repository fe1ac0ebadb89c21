"""The matcher on durable_rules: the one place that knows the library exists, and its traps."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from itertools import count
from threading import Lock
from typing import Any

from durable import engine

from diagnose.firings.durable_layout import Ruleset, lay_out
from diagnose.firings.matcher import EngineFailure, Rules

OPENED = "opened_"
CLOSED = "closed_"
LAST = 65_535
"""The lowest priority there is; the engine reads it as an unsigned 16-bit number."""


class QuietHost(engine.Host):  # type: ignore[misc]
    """A host that starts no timer threads, which could run actions behind our back."""

    def _run(self) -> None:
        pass


class DurableMatcher:
    """Rules become flat conjunctions over one fact a case; everything is built once.

    Safe to share between threads. Raises EngineUnavailable for rules that the engine can't
    hold, and EngineFailure where a case was not worked to its end.
    """

    name = "durable-rules"

    def __init__(self, rules: Rules) -> None:
        # An action counts as hung after ten seconds by this clock, and then locks its case.
        # Ours only remember a name, so time stands still: a computer put to sleep spoils nothing.
        engine._unix_now = lambda: 0.0
        self._always = frozenset(rule for rule, terms in rules.items() if not terms)
        # Rules with the same terms share one conjunction: the engine takes only 256 that end alike.
        self._sharing: defaultdict[frozenset[str], list[str]] = defaultdict(list)
        for rule, terms in rules.items():
            if terms:
                self._sharing[terms].append(rule)
        # Terms may hold any character; the engine gives `id`, `sid` and `$s` a meaning of their own.
        every_term = sorted({term for terms in self._sharing for term in terms})
        self._property = {term: f"t{number}" for number, term in enumerate(every_term)}
        self._layout = tuple((f"rules{number}", each) for number, each in enumerate(lay_out(self._sharing)))
        self._fired: set[str] = set()
        self._stages: set[str] = set()
        self._lock = Lock()
        self._sids = count()
        self._host = QuietHost({name: self._definition(ruleset) for name, ruleset in self._layout})

    def fire(self, terms: frozenset[str]) -> frozenset[str]:
        found = set(self._always)
        with self._lock:
            for name, ruleset in self._layout:
                holding = terms & ruleset.terms
                if holding:
                    fact = {self._property[term]: 1 for term in holding}
                    fact |= {_gate(number): 1 for number in range(len(ruleset.gates))}
                    found |= self._work(name, fact)
        return frozenset(found)

    def _definition(self, ruleset: Ruleset) -> dict[str, Any]:
        rules: dict[str, Any] = {OPENED: {"all": [{"m": {OPENED: 1}}], "run": _remember(self._stages, [OPENED])}}
        for number, gate in enumerate(ruleset.gates):
            for path in gate.conjunctions:
                tests = [{_gate(number): 1}, *({self._property[term]: 1} for term in path)]
                run = _remember(self._fired, self._sharing[frozenset(path)])
                rules[f"r{len(rules)}"] = {"all": [{"m": {"$and": tests}}], "run": run}
        rules[CLOSED] = {"all": [{"m": {CLOSED: 1}}], "pri": LAST, "run": _remember(self._stages, [CLOSED])}
        return rules

    def _work(self, name: str, fact: dict[str, int]) -> frozenset[str]:
        """One case in one ruleset: opened, worked, closed, forgotten."""
        sid = str(next(self._sids))
        self._fired.clear()
        self._stages.clear()
        try:
            # A case in which nothing ever fired must not be deleted (the engine frees wild memory).
            self._tell(name, {"sid": sid, OPENED: 1})
            self._tell(name, {"sid": sid, CLOSED: 1, **fact})
            exception = self._host.get_state(name, sid).get("exception")
        finally:
            # At most 1,024 cases may be open, and one more crashes the process.
            self._host.delete_state(name, sid)
        if exception or self._stages != {OPENED, CLOSED}:
            raise EngineFailure(f"durable-rules did not work a case to its end: {exception or 'rules were left over'}")
        return frozenset(self._fired)

    def _tell(self, name: str, fact: dict[str, Any]) -> None:
        try:
            self._host.assert_fact(name, fact)
        except (engine.MessageNotHandledException, engine.MessageObservedException):
            pass  # what did not fire is seen at the end
        except Exception as error:
            raise EngineFailure(f"durable-rules refused a fact: {error}") from error


def _remember(into: set[str], names: list[str]) -> Callable[[Any], None]:
    """An action of exactly one parameter: with a second one the engine would wait for a callback."""

    def remember(_: Any) -> None:
        into.update(names)

    return remember


def _gate(number: int) -> str:
    return f"g{number}"
