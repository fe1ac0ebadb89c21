"""What a test would tell in this case that is not known yet."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass

from diagnose.diagnosis.evidence import Spoiled, better_than, spoiled_by
from diagnose.diagnosis.posterior import Posterior
from diagnose.diagnosis.reads import Follower
from diagnose.findings.model import Finding, Findings
from diagnose.findings.recorded import ASSUMED
from diagnose.rulebook.model import Quantity, Test


@dataclass(frozen=True, slots=True)
class Told:
    """A quantity that would be read anew, and what would make that reading worthless."""

    quantity: Quantity
    spoiled: Spoiled


@dataclass(frozen=True, slots=True)
class Yielded:
    """`evidence` is read, `givens` are asked."""

    evidence: tuple[Told, ...]
    givens: tuple[Quantity, ...]

    def __bool__(self) -> bool:
        return bool(self.evidence or self.givens)


NOBODY: Mapping[str, Set[str]] = {}


def yielded(test: Test, posterior: Posterior, doubted: Mapping[str, Set[str]] = NOBODY) -> Yielded:
    """What is left to learn from a test; nothing where it was done by the same or a better method, or nobody knows.

    `doubted` names, by quantity, methods that may be fooled: their readings don't count as taken, and one that is
    taken anew, with the instrument set right, is fooled no more.
    """
    belief, found = posterior.belief, posterior.firings.findings
    quantities, reads = belief.book.quantities, belief.reads[test.id]
    new = {name: method for name, method in reads.readings if _is_new(found.found.get(name), method, doubted)}
    read = [(quantities[name], method) for name, method in new.items() if name in belief.links]
    evidence = [
        Told(quantity, () if method in doubted.get(quantity.id, ()) else spoiled_by(quantity, method))
        for quantity, method in read
    ]
    if new:
        for follower in reads.followers:
            finding = found.found.get(follower.name)
            if (finding is None or finding.status != "known") and _would_follow(follower, found, new):
                evidence.append(Told(quantities[follower.name], posterior.evidence.spoiled(follower.name, new)))
    givens = [quantities[name] for name in reads.givens if _is_open(found.givens.get(name))]
    return Yielded(tuple(evidence), tuple(givens))


def _is_new(finding: Finding | None, method: str, doubted: Mapping[str, Set[str]]) -> bool:
    if finding is None or finding.status == "not_done":
        return True
    if finding.status == "unknown" or not finding.quantity.methods:
        return False
    as_good = {method, *better_than(finding.quantity, method)}
    used = {reading.method for reading in finding.readings} - doubted.get(finding.quantity.id, set())
    return as_good.isdisjoint(used)


def _is_open(finding: Finding | None) -> bool:
    """Whether nobody was asked for a given, or it was only assumed."""
    if finding is None or finding.status == "not_done":
        return True
    return finding.status == "known" and all(reading.recorded == ASSUMED for reading in finding.readings)


def _would_follow(follower: Follower, found: Findings, new: Mapping[str, str]) -> bool:
    """Whether one of the ways to know it is complete with the new readings."""

    def known(name: str) -> bool:
        finding = found.get(name)
        return name in new or (finding is not None and finding.status == "known")

    return any(all(known(name) for name in way) for way in follower.ways)
