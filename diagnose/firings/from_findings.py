"""Findings to firings: which rules fire, which may, and what they conclude."""

from __future__ import annotations

from dataclasses import replace

from diagnose.findings.model import Finding, Findings
from diagnose.firings.matcher import EngineUnavailable, Matcher, Rules
from diagnose.firings.model import Firing, Firings
from diagnose.firings.patterns import about_the_car, patterns_of
from diagnose.firings.plain import PlainMatcher
from diagnose.firings.terms import Terms, term
from diagnose.rulebook.model import Book

MATCHERS = ("auto", "durable", "plain")


class RuleEngine:
    """A book's rules, compiled once. `name` says which matcher works them, and why where it is not the usual one.

    `which`: ``durable`` and ``plain`` name a matcher; ``auto`` takes durable-rules where it can
    be used and the plain matcher elsewhere. Raises EngineUnavailable where ``durable`` can't be used.
    """

    def __init__(self, book: Book, which: str = "auto") -> None:
        self._book = book
        self._terms = Terms(book)
        self._stages = patterns_of(book)
        self._in_force_when = {
            rule.id: frozenset(term(condition) for condition in rule.when if about_the_car(condition, book))
            for rule in book.rules.values()
        }
        rules = {rule.id: frozenset(map(term, rule.when)) for rule in book.rules.values()}
        self._matcher, self.name = choose(rules, which)

    def run(self, findings: Findings) -> Firings:
        """Every rule that fires or may fire, with the patterns they conclude added to the findings.

        What is not known gives a rule nothing to hold on to: not measured is not normal.
        """
        sure, may = self._terms.of(findings)
        fires, may_fire = self._match(sure, may)
        concluded_by: dict[str, tuple[str, ...]] = {}
        for stage in self._stages:
            settled: list[Finding] = []
            for pattern in stage:
                recorded = findings.found.get(pattern.quantity.id)
                if recorded is not None and recorded.status == "known":
                    continue
                finding = pattern.settle(fires, may_fire, findings)
                if finding is not None:
                    settled.append(finding)
                    decided = fires if not fires.isdisjoint(rule.id for rule in pattern.rules) else may_fire
                    concluded_by[pattern.quantity.id] = tuple(rule.id for rule in pattern.rules if rule.id in decided)
            if settled:
                findings = self._with(findings, settled)
                before = len(sure) + len(may)
                for finding in settled:
                    self._terms.add(finding, sure, may)
                if len(sure) + len(may) > before:
                    fires, may_fire = self._match(sure, may)
        return Firings(
            engine=self.name,
            findings=findings,
            fired=tuple(
                Firing(rule, "fires" if rule.id in fires else "may_fire", rule.when)
                for rule in self._book.rules.values()
                if rule.id in fires or rule.id in may_fire
            ),
            in_force=frozenset(rule for rule, terms in self._in_force_when.items() if terms <= sure),
            concluded_by={name: rules for name, rules in concluded_by.items() if rules},
        )

    def _match(self, sure: set[str], may: set[str]) -> tuple[frozenset[str], frozenset[str]]:
        """The rules that fire, and those that fire only in some of the bands that a straddling reading allows."""
        fires = self._matcher.fire(frozenset(sure))
        if may == sure:
            return fires, frozenset()
        return fires, self._matcher.fire(frozenset(may)) - fires

    def _with(self, findings: Findings, added: list[Finding]) -> Findings:
        found = {**findings.found, **{finding.quantity.id: finding for finding in added}}
        return replace(findings, found={name: found[name] for name in self._book.in_order(found)})


def choose(rules: Rules, which: str) -> tuple[Matcher, str]:
    """A matcher for the rules, and its name with the reason where it is not the usual one."""
    if which not in MATCHERS:
        raise ValueError(f"a matcher is one of {', '.join(MATCHERS)}, not '{which}'")
    if which == "plain":
        return PlainMatcher(rules), f"{PlainMatcher.name} (chosen)"
    try:
        matcher = _durable(rules)
    except EngineUnavailable as error:
        if which == "durable":
            raise
        return PlainMatcher(rules), f"{PlainMatcher.name} ({error})"
    return matcher, matcher.name


def _durable(rules: Rules) -> Matcher:
    try:
        from diagnose.firings.durable import DurableMatcher
    except ModuleNotFoundError:
        raise EngineUnavailable("durable-rules is not installed") from None
    except ImportError:
        raise EngineUnavailable("durable-rules was built without the setting that README.md gives") from None
    return DurableMatcher(rules)
