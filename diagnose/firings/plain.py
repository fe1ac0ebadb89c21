"""The matcher in plain Python: the other's check, and the one for work on whole books."""

from __future__ import annotations

from collections import Counter, defaultdict

from diagnose.firings.matcher import Rules


class PlainMatcher:
    """Looks only at rules whose rarest term holds."""

    name = "plain matcher"

    def __init__(self, rules: Rules) -> None:
        asked = Counter(term for terms in rules.values() for term in terms)
        self._always = frozenset(rule for rule, terms in rules.items() if not terms)
        self._by_rarest: defaultdict[str, list[tuple[frozenset[str], str]]] = defaultdict(list)
        for rule, terms in rules.items():
            if terms:
                rarest = min(terms, key=lambda term: (asked[term], term))
                self._by_rarest[rarest].append((terms, rule))

    def fire(self, terms: frozenset[str]) -> frozenset[str]:
        found = {
            rule for term in terms & self._by_rarest.keys() for needed, rule in self._by_rarest[term] if needed <= terms
        }
        return self._always | found
