"""Every cause as the findings leave it: how probable, as a root or as a consequence, listed or not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.model import LISTED, CauseState, Suspect, Weight
from diagnose.diagnosis.posterior import Posterior, weigh
from diagnose.diagnosis.weights import weigh_findings
from diagnose.rulebook.model import FAMILY

RAISED = 1.5
"""A cause is a suspect when the findings make it this much more probable than it was without them."""
WORTH_LISTING = 0.03
"""Below this a cause is not worth a line on paper, however much it rose."""
PROBABLE = 0.5
"""More likely than not."""
IN_STORY = 0.5
"""A consequence belongs to the story of a root when it is more likely than not, given the root."""
CUT = 1e-6
"""Hypotheses below this have no say in which root a consequence belongs to."""


def suspects_of(posterior: Posterior) -> tuple[Suspect, ...]:
    """All causes of the book: roots by rank, each followed by its consequences, then the others."""
    return _Ranking(posterior).suspects()


class _Ranking:
    def __init__(self, posterior: Posterior) -> None:
        self._posterior = posterior
        self._belief = posterior.belief
        self._focus = Focus.above(posterior, CUT)
        self._chance: dict[str, float] = dict(zip(self._belief.causes, posterior.chances.tolist(), strict=True))
        history = posterior.history
        prior = posterior.prior if not posterior.proven else self._belief.prior(history)
        self._prior: dict[str, float] = dict(zip(self._belief.causes, prior.chances.tolist(), strict=True))
        self._before = self._prior
        if history.before is not None:  # the complaint speaks for a cause as a reading does
            before = self._belief.prior(history._replace(own=history.before, complaints=()))
            self._before = dict(zip(self._belief.causes, before.chances.tolist(), strict=True))
        self._parents: dict[str, list[str]] = {name: [] for name in self._belief.causes}
        for arc in self._belief.chains.arcs:
            self._parents[self._belief.causes[arc.child]].append(self._belief.causes[arc.parent])
        self._root_share = {name: self._as_root(name) for name in self._belief.causes}
        self._state = {name: self._judge(name) for name in self._belief.causes}
        self._listed = [n for n in self._belief.causes if self._state[n] in LISTED]
        self._roots = sorted((n for n in self._listed if self._is_root(n)), key=self._rank)
        self._stories = {name: self._story(name) for name in self._roots}

    def suspects(self) -> tuple[Suspect, ...]:
        open_ones = [name for name in self._listed if name not in self._posterior.proven]
        weights = dict(weigh_findings(self._posterior, self._belief.places(open_ones)))
        if self._posterior.proven:
            # what the readings say about a proven cause is told as if it were not proven
            unproven = weigh(self._belief, self._posterior.firings, proofs=False)
            weights |= weigh_findings(unproven, self._posterior.sure)
        return tuple(self._suspect(name, weights) for name in self._order())

    def _order(self) -> list[str]:
        shown: dict[str, None] = {}
        for root in self._roots:
            shown.update(dict.fromkeys([root, *(n for n in self._stories[root] if n in self._listed)]))
        shown.update(dict.fromkeys(sorted(self._listed, key=self._falling)))
        rest = [n for n in self._belief.causes if n not in shown]
        rest.sort(key=lambda n: (self._state[n] == "impossible", self._falling(n)))
        return [*shown, *rest]

    def _falling(self, name: str) -> float:
        """The most probable first; those that differ in the last digits only stay in the order of the book."""
        return -round(self._chance[name], 12)

    def _judge(self, name: str) -> CauseState:
        if name in self._posterior.proven:
            return "proven"
        if name in self._posterior.history.impossible:
            return "impossible"
        chance, prior = self._chance[name], self._before[name]
        if chance < WORTH_LISTING or not _raised(chance, prior):
            return "unlikely"
        return "probable" if chance >= PROBABLE else "possible"

    def _as_root(self, name: str) -> float:
        """P(present, and none of its declared parents present)."""
        parents = self._parents[name]
        if not parents:
            return self._chance[name]
        if not set(parents).isdisjoint(self._posterior.proven):
            return 0.0
        child, above = self._belief.index[name], self._belief.places(parents)
        by_itself = self._belief.chains.alone(child, above, self._posterior.sure)
        return float(self._posterior.weights.take(by_itself).sum())

    def _is_root(self, name: str) -> bool:
        """Whether it is more likely here by itself than through any one listed parent."""
        if not self._parents[name]:
            return True
        own, place = self._root_share[name], self._belief.index[name]
        return all(
            own >= self._focus.share(place, self._belief.index[parent])
            for parent in self._parents[name]
            if parent in self._listed
        )

    def _rank(self, name: str) -> tuple[float, bool, float]:
        """Shares that are the same on paper don't order; then a fault comes before a misreading."""
        share = self._root_share[name]
        return -round(share, 2), self._belief.book.causes[name].kind == "misread", -round(share, 12)

    def _story(self, root: str) -> tuple[str, ...]:
        """What most likely followed from this root, nearest first."""
        if not self._belief.follows[root]:
            return ()
        weights = self._focus.weights * self._focus.held(self._belief.index[root])
        by_itself = weights
        for parent in self._parents[root]:
            by_itself = by_itself * ~self._focus.held(self._belief.index[parent])
        weights = by_itself if by_itself.any() else weights
        total = float(weights.sum())
        found: dict[str, None] = {}
        waiting = [root]
        for name in waiting:
            for arc in self._belief.book.causes[name].leads_to:
                if arc.cause in found:
                    continue
                share = float(weights[self._focus.held(self._belief.index[arc.cause])].sum())
                if 0 < total * IN_STORY <= share:
                    found[arc.cause] = None
                    waiting.append(arc.cause)
        return tuple(found)

    def _roots_of(self, name: str) -> tuple[str, ...]:
        """The listed roots from which it may follow: those whose story holds it, or else its listed ancestors."""
        told = tuple(root for root in self._roots if name in self._stories[root])
        return told or tuple(root for root in self._roots if name in self._belief.follows[root])

    def _suspect(self, name: str, weights: Mapping[int, Sequence[Weight]]) -> Suspect:
        posterior = self._posterior
        is_root = name in self._roots
        return Suspect(
            cause=self._belief.book.causes[name],
            probability=self._chance[name],
            as_root=self._root_share[name],
            prior=self._prior[name],
            state=self._state[name],
            root=is_root,
            roots=() if is_root or name not in self._listed else self._roots_of(name),
            story=self._stories.get(name, ()),
            weights=tuple(weights.get(self._belief.index[name], ())),
            proven_by=posterior.proven.get(name, ()),
            ruled_out_by=_ruled_out_by(posterior, posterior.history.impossible.get(name, "")),
            history=posterior.history.moved.get(name),
        )


def _raised(chance: float, prior: float) -> bool:
    """Whether the findings speak for it. Above one half the odds count: nothing rises from 70 % by half again."""
    if chance >= RAISED * prior:
        return True
    return chance >= PROBABLE and chance * (1 - prior) >= RAISED * prior * (1 - chance)


def _ruled_out_by(posterior: Posterior, given: str) -> str:
    if not given:
        return ""
    if given == FAMILY:
        families = posterior.belief.book.families
        return "coolant family: " + " or ".join(families[n].label if n in families else n for n in posterior.families())
    finding = posterior.firings.findings.get(given)
    return f"{finding.quantity.label}: {finding.shown}" if finding is not None else given
