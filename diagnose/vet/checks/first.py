"""Causes that no set of findings puts first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import chain

from diagnose.diagnosis.contradiction import Contradiction
from diagnose.diagnosis.model import Suspect
from diagnose.diagnosis.posterior import weigh
from diagnose.diagnosis.suspects import suspects_of
from diagnose.rulebook.model import FAMILY, Book, Cause, Condition
from diagnose.vet.check import Fault
from diagnose.vet.picture import Picture, Told
from diagnose.vet.whole_book import WholeBook

ROUNDS = 6
"""So many findings are changed, one after the other, before a cause is given up."""


def never_first(whole: WholeBook) -> Iterator[Fault]:
    """Tries the cause's own picture, then changes finding after finding in its favour.

    What is reported was searched for and not found; that nothing could put it first is not proven.
    """
    reached = {link.cause for links in whole.belief.links.values() for link in links}
    for cause in whole.book.causes.values():
        if cause.id not in reached and not _fooled(cause, whole.book):
            continue  # reported as one that no rule reaches
        rival = _Search(cause, whole).rival()
        if rival is not None:
            says = f"no set of findings was found that puts '{cause.id}' first"
            says += f": '{rival}' comes before it" if rival else ": none raises it enough to be listed"
            hint = f"link a finding that speaks for '{cause.id}'" + (f" and not for '{rival}'" if rival else "")
            hint += ", or raise one of its words"
            yield Fault(cause.place, says, hint, (("cause", cause.id),))


class _Search:
    def __init__(self, cause: Cause, whole: WholeBook) -> None:
        self._cause = cause
        self._whole = whole
        self._book = whole.book
        self._links = whole.belief.links

    def rival(self) -> str | None:
        """What comes first in the best picture that was found; None where it is the cause itself."""
        own = self._own_picture()
        normal = {name: (("", self._book.quantities[name].normal),) for name in self._links}
        pictures = [own, replace(own, found={**normal, **own.found})]
        judged = []
        for picture in pictures:
            judged.append((*self._judge(picture), picture))
            if judged[-1][1] == self._cause.id:
                return None
        lead, rival, picture = max(judged, key=lambda each: each[0])
        for _ in range(ROUNDS):
            better = [(*self._judge(changed), changed) for changed in self._changes(picture, rival)]
            best = max(better, key=lambda each: each[0], default=(lead, rival, picture))
            if best[0] <= lead:
                break
            lead, rival, picture = best
            if rival == self._cause.id:
                return None
        return rival

    def _judge(self, picture: Picture) -> tuple[float, str]:
        """How far the cause leads before the other roots (below 0: it does not), and which comes first ('': none)."""
        try:
            posterior = weigh(self._whole.belief, self._whole.engine.run(picture.findings(self._book)))
        except Contradiction:
            return -2.0, ""
        suspects = suspects_of(posterior)
        own = next(suspect for suspect in suspects if suspect.cause.id == self._cause.id)
        others = [suspect for suspect in suspects if _counts(suspect) and suspect is not own]
        first = max(others, key=lambda suspect: suspect.as_root, default=None)
        before = first.as_root if first is not None else 0.0
        if _counts(own) and own.as_root > before:
            return own.as_root - before, self._cause.id
        return own.as_root - before - (not _counts(own)), first.cause.id if first is not None else ""

    def _own_picture(self) -> Picture:
        """The band that speaks most for the cause in every quantity it shows in, and the history that favours it."""
        found: dict[str, Told] = {}
        for name, links in self._links.items():
            own = [link for link in links if link.cause == self._cause.id]
            if own:
                found[name] = (("", max(own, key=lambda link: self._speaks(name, link.band)).band),)
        for quantity in self._book.quantities.values():
            for method in quantity.methods if quantity.role == "reading" else ():
                if self._cause.id in method.fooled_by:
                    others = [other.id for other in quantity.methods if self._cause.id not in other.fooled_by]
                    wrong = [band.id for band in quantity.bands if band.id != quantity.normal]
                    fooled = found[quantity.id][0][1] if quantity.id in found else (wrong or [quantity.normal])[0]
                    right = [(other, quantity.normal) for other in others[:1]]
                    found[quantity.id] = ((method.id, fooled), *right)
        facts = list(self._cause.only_when)
        common = max(self._cause.prior_when, key=lambda prior: prior.how_common.value, default=None)
        if common is not None and common.how_common.value > self._cause.how_common.value:
            facts += common.when
        return Picture(found, _givens(facts, self._book), _families(facts))

    def _speaks(self, name: str, band: str) -> float:
        """How much of what shows this band is this cause, by how common the causes are."""
        causes = self._book.causes
        shows = dict.fromkeys(causes, 0.0)
        for link in self._links[name]:
            if link.band == band:
                shows[link.cause] = max(shows[link.cause], link.how_often * causes[link.cause].how_common.value)
        return shows[self._cause.id] / (sum(shows.values()) + self._book.quantities[name].healthy[band])

    def _changes(self, picture: Picture, rival: str) -> Iterator[Picture]:
        """The picture with one finding changed, among those that either of the two shows in."""
        for name, links in self._links.items():
            if {self._cause.id, rival}.isdisjoint(link.cause for link in links):
                continue
            if name in picture.found:
                yield picture.without(name)
            for band in self._book.quantities[name].bands:
                if picture.found.get(name) != (("", band.id),):
                    yield picture.with_finding(name, band.id)


def _counts(suspect: Suspect) -> bool:
    return suspect.root and suspect.state in ("proven", "probable", "possible")


def _fooled(cause: Cause, book: Book) -> bool:
    methods = chain.from_iterable(quantity.methods for quantity in book.quantities.values())
    return any(cause.id in method.fooled_by for method in methods)


def _givens(facts: Iterable[Condition], book: Book) -> dict[str, str]:
    asked = (fact for fact in facts if fact.quantity != FAMILY)
    return {fact.quantity: fact.bands[0] for fact in asked if book.quantities[fact.quantity].role == "given"}


def _families(facts: Iterable[Condition]) -> tuple[str, ...]:
    return next((fact.bands for fact in facts if fact.quantity == FAMILY), ())
