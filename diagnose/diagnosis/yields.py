"""What a test would tell in this case that is not known yet."""

from __future__ import annotations

from collections.abc import Mapping, Set
from typing import NamedTuple

from diagnose.diagnosis.evidence import Spoiled
from diagnose.diagnosis.excluded import Concluded, still_open
from diagnose.diagnosis.posterior import Posterior
from diagnose.diagnosis.reads import Follower, Read
from diagnose.findings.model import Finding, Findings
from diagnose.findings.recorded import ASSUMED
from diagnose.rulebook.model import Quantity, Test


class Told(NamedTuple):
    """A quantity that would be read anew, what would make it worthless, and the rules by which a pattern comes."""

    quantity: Quantity
    spoiled: Spoiled
    concluded: Concluded = ()


class Yielded(NamedTuple):
    """`evidence` is read, `givens` are asked; `family` tells that the coolant family would be found.

    `facts` are asked too, and nothing can be foretold of them.
    """

    evidence: tuple[Told, ...]
    givens: tuple[Quantity, ...]
    family: bool = False
    facts: tuple[Quantity, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.evidence or self.givens or self.family or self.facts)


NOBODY: Mapping[str, Set[str]] = {}


def yielded(test: Test, posterior: Posterior, doubted: Mapping[str, Set[str]] = NOBODY) -> Yielded:
    """What is left to learn from a test; nothing where it was done by the same or a better method, or nobody knows.

    `doubted` names, by quantity, methods that may be fooled: their readings don't count as taken, and one that is
    taken anew, with the instrument set right, is fooled no more.
    """
    belief, found = posterior.belief, posterior.firings.findings
    quantities, reads = belief.book.quantities, belief.reads[test.id]
    new: dict[str, str] = {}
    evidence: list[Told] = []
    for read in reads.each:
        name = read.quantity.id
        if _is_new(found.found.get(name), read, doubted):
            new[name] = read.method
            if read.tells:
                evidence.append(Told(read.quantity, () if read.method in doubted.get(name, ()) else read.spoiled))
    if new:
        for follower in reads.followers:
            finding = found.found.get(follower.name)
            if (finding is None or finding.status != "known") and _would_follow(follower, found, new):
                rules = still_open(follower.concluded, found, new, belief.book)
                spoiled = posterior.evidence.spoiled(follower.name, new)
                evidence.append(Told(quantities[follower.name], spoiled, rules))
    givens = [quantities[name] for name in reads.givens if _is_open(found.givens.get(name))]
    family = test.finds_family and len(found.families) > 1
    family = family and any(_is_open(found.get(each.quantity)) for each in test.yields)
    facts = [quantities[name] for name in reads.facts if _is_open(found.givens.get(name))]
    return Yielded(tuple(evidence), tuple(givens), family, tuple(facts))


def _is_new(finding: Finding | None, read: Read, doubted: Mapping[str, Set[str]]) -> bool:
    if finding is None or finding.status == "not_done":
        return True
    if finding.status == "unknown" or not finding.quantity.methods:
        return False
    used = {reading.method for reading in finding.readings} - doubted.get(finding.quantity.id, set())
    return read.as_good.isdisjoint(used)


def _is_open(finding: Finding | None) -> bool:
    """Whether nobody was asked for a given, or it was only assumed."""
    if finding is None or finding.status == "not_done":
        return True
    return finding.status == "known" and all(reading.recorded == ASSUMED for reading in finding.readings)


def _would_follow(follower: Follower, found: Findings, new: Mapping[str, str]) -> bool:
    """Whether one of the ways to know it is complete with the new readings."""

    for way in follower.ways:
        for name in way:
            if name not in new and ((finding := found.get(name)) is None or finding.status != "known"):
                break
        else:
            return True
    return False
