"""Following the live program from an entry, answer by answer, the ways that most cars take first."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from diagnose.diagnosis.contradiction import Contradiction
from diagnose.diagnosis.foretell import Foresaid, foretell_readings, foretell_test
from diagnose.firings.model import Firings
from diagnose.graph.choice import Offer, Stakes, at_stake, offers, share_of_best
from diagnose.graph.road import Answer, Road, State, after, as_most_are, start_state
from diagnose.graph.tree_model import Ending
from diagnose.plan.model import Plan
from diagnose.rulebook.model import FAMILY, Entry, Test

TOLERANCE = 0.05
"""A test that falls this far short of the best may be drawn where it repeats what a sibling asks."""
BUDGET = 120
"""States worked up for one tree."""
RARE = 0.01
"""An answer less probable than this is not followed."""
MOST_ANSWERS = 10
"""Of the answers of one test, so many are followed at most."""
WORTH_FOLLOWING = 0.003
"""An answer that fewer of all the cars than this give is not followed, however probable it is here."""
GRAVE = 2
"""So many of the rarer answers of one test are followed all the same, where with them something is forbidden on the
car."""
SHOWN = 3
"""So many causes stand in a box at most."""

Progress = Callable[[int, int], None]
"""Called with the number of states worked up and the most there may be."""


@dataclass(slots=True)
class Followed:
    """One answer that was followed."""

    answers: tuple[Answer, ...]
    probability: float
    spot: Spot


@dataclass(slots=True)
class Asked:
    """What is asked at a spot; `other` is the probability of the answers that were not followed. `left` are those of
    them that are no rarer than RARE, with what is known by then; `beyond` is what is at stake after all of them on
    average, as far as `reckon_left` has not asked the engine: taken to cost as much to stop as before. `every` holds
    all that can be answered, with its probability.
    """

    test: str
    asks: str
    minutes: float
    of_best: float
    followed: list[Followed]
    other: float
    beyond: Stakes
    left: list[tuple[float, tuple[Answer, ...], State]] = field(default_factory=list)
    every: list[tuple[frozenset[Answer], float]] = field(default_factory=list)


@dataclass(slots=True)
class Spot:
    """One state of knowledge on the way. `reach` is its probability over all cars with this entry, `depth` the number
    of tests done since.
    """

    answers: tuple[Answer, ...]
    state: State
    reach: float
    offers: tuple[Offer, ...]
    stakes: Stakes
    ending: Ending
    firings: Firings
    asked: Asked | None = None
    depth: int = 0
    siblings: list[Asked] = field(default_factory=list)


@dataclass(slots=True)
class Explored:
    """`complete` is false where the budget ended before all that is worth following was followed."""

    root: Asked
    evaluated: int
    complete: bool


def explore(road: Road, entry: Entry, budget: int = BUDGET, progress: Progress | None = None) -> Explored:
    """Work up what the program would ask of cars that come in with this entry."""
    return _Explorer(road, budget, progress).run(entry)


class _Explorer:
    def __init__(self, road: Road, budget: int, progress: Progress | None) -> None:
        self._road = road
        self._budget = budget
        self._progress = progress
        self._evaluated = 0
        self._known: dict[frozenset[object], tuple[tuple[Offer, ...], Stakes, Ending, Firings]] = {}
        self._waiting: list[tuple[float, int, Spot]] = []
        self._pushed = 0

    def run(self, entry: Entry) -> Explored:
        root = Asked("", "", 0.0, 1.0, [], 0.0, Stakes(0.0, 0.0))
        for answers, share in self._starts(entry):
            spot = self._spot(answers, start_state(self._road.book), share, root)
            if spot is not None:
                root.followed.append(Followed(answers, share, spot))
        while self._waiting:
            if self._evaluated >= self._budget:
                return Explored(root, self._evaluated, complete=False)
            self._ask(heapq.heappop(self._waiting)[2])
        return Explored(root, self._evaluated, complete=True)

    def _starts(self, entry: Entry) -> list[tuple[tuple[Answer, ...], float]]:
        """The ways to begin, with how often each of them is the way a car comes in."""
        empty = self._road.firings((), start_state(self._road.book))
        shares = []
        for start in entry.starts:
            names = tuple(condition.quantity for condition in start if condition.quantity != FAMILY)
            foresaid = foretell_readings(self._road.belief, empty, names)
            wanted = {condition.quantity: condition.bands[0] for condition in start}
            shares.append(sum(a.probability for a in foresaid.answers if _agrees(foresaid, a.bands, wanted)))
        total = sum(shares) or 1.0
        even = 1 / len(shares) if not sum(shares) else 0.0
        most = as_most_are(self._road.book)
        starts = [(*(Answer(c.quantity, c.bands[0]) for c in start), *most) for start in entry.starts]
        return [(answers, share / total + even) for answers, share in zip(starts, shares, strict=True)]

    def _spot(
        self, answers: tuple[Answer, ...], state: State, reach: float, beside: Asked, depth: int = 0
    ) -> Spot | None:
        """Work up one state; None where nothing in the book explains it."""
        key = frozenset([*answers, *state.items()])
        if key not in self._known:
            try:
                firings = self._road.firings(answers, state)
                plan = self._road.plan(firings)
            except Contradiction:
                return None
            found = offers(plan.diagnosis)
            self._known[key] = (found, at_stake(self._road.belief, firings), ending_of(plan, bool(found)), firings)
            self._evaluated += 1
            if self._progress is not None:
                self._progress(self._evaluated, self._budget)
        spot = Spot(answers, state, reach, *self._known[key], depth=depth, siblings=_asked_by(beside))
        if spot.offers:
            self._pushed += 1
            heapq.heappush(self._waiting, (-round(reach, 9), self._pushed, spot))
        return spot

    def _ask(self, spot: Spot) -> None:
        """Ask what the program asks, or what a sibling asks where that is nearly as good."""
        offer = _choose(spot)
        given = offer.asks and self._road.book.quantities[offer.asks].role == "given"
        asks = offer.asks if given else ""
        foresaid = foretell_test(self._road.belief, spot.firings, offer.test, asks)
        if not foresaid.quantities:
            return  # what it yields moves no cause: nothing can be foretold, and the program goes on from here
        of_best = share_of_best(offer, spot.offers)
        asked = Asked(offer.test.id, asks, offer.minutes, of_best, [], 0.0, spot.stakes)
        raw = raw_besides(_raw(offer.test, self._road), spot.answers) if not asks else ()
        state = after(offer.test, spot.state)
        asked.every = [
            (frozenset(self._answers(foresaid, a.bands, offer.test)), a.probability) for a in foresaid.answers
        ]
        grave = GRAVE
        for told in foresaid.answers:  # they come by falling probability
            forbids = grave > 0 and self._forbids(foresaid.quantities, told.bands, spot.firings)
            if told.probability < RARE and not forbids:
                if grave == 0 or told.probability < RARE * RARE:
                    break
                continue
            new = (*raw, *self._answers(foresaid, told.bands, offer.test))
            answers = (*_without(spot.answers, new), *new)
            reach = spot.reach * told.probability
            grave -= forbids
            if forbids or (reach >= WORTH_FOLLOWING and len(asked.followed) < MOST_ANSWERS):
                child = self._spot(answers, state, reach, asked, spot.depth + 1)
                if child is not None:
                    asked.followed.append(Followed(new, told.probability, child))
            else:
                asked.left.append((told.probability, answers, state))
        asked.other = max(0.0, 1 - sum(each.probability for each in asked.followed))
        asked.beyond = Stakes(spot.stakes.stop, _known_beyond(asked, spot.stakes.known))
        spot.asked = asked
        spot.siblings.append(asked)

    def _answers(self, foresaid: Foresaid, bands: Sequence[str], test: Test) -> tuple[Answer, ...]:
        pairs = zip(foresaid.quantities, bands, strict=True)
        return tuple(Answer(name, band, _method(name, test, self._road)) for name, band in pairs)

    def _forbids(self, quantities: Sequence[str], bands: Sequence[str], before: Firings) -> bool:
        """Whether an answer alone brings a rule to fire that forbids something on the car."""
        told = dict(zip(quantities, bands, strict=True))
        stood = {rule.id for rule, _ in before.bans()}
        rules = [r for r in self._road.book.rules.values() if r.forbids is not None and r.id not in stood]
        return any(
            all(told.get(each.quantity) in each.bands for each in rule.when)
            and not any(told.get(each.quantity) in each.bands for each in rule.moot_when)
            for rule in rules
        )


def reckon_left(road: Road, spot: Spot) -> None:
    """Ask the engine what it costs to stop after the answers that were not followed here."""
    asked = spot.asked
    if asked is None or not asked.left:
        return
    stop, rest = 0.0, asked.other
    for share, answers, state in asked.left:
        try:
            stop += share * at_stake(road.belief, road.firings(answers, state)).stop
        except Contradiction:
            continue  # nothing in the book explains it
        rest -= share
    asked.beyond = Stakes((stop + rest * spot.stakes.stop) / asked.other, asked.beyond.known)
    asked.left = []


def _known_beyond(asked: Asked, before: float) -> float:
    """What no test can spare is the same on average before and after an answer; so the followed ones tell the rest."""
    followed = sum(each.probability * each.spot.stakes.known for each in asked.followed)
    return max(0.0, before - followed) / asked.other if asked.other > 0 else before


def _asked_by(beside: Asked) -> list[Asked]:
    """One list for all spots beside each other: what was asked so far at any of them."""
    return beside.followed[0].spot.siblings if beside.followed else []


def _choose(spot: Spot) -> Offer:
    best = spot.offers[0]
    near = [offer for offer in spot.offers if share_of_best(offer, spot.offers) >= 1 - TOLERANCE]
    asked = {sibling.test for sibling in spot.siblings}
    if best.test.id in asked:
        return best
    return next((offer for offer in near if offer.test.id in asked), best)


def _agrees(foresaid: Foresaid, bands: Sequence[str], wanted: dict[str, str]) -> bool:
    return all(wanted.get(name, band) == band for name, band in zip(foresaid.quantities, bands, strict=True))


def _method(name: str, test: Test, road: Road) -> str:
    return dict(road.belief.reads[test.id].readings).get(name, "")


def _raw(test: Test, road: Road) -> tuple[Answer, ...]:
    """Numbers that are read but tell nothing by themselves; what follows from them is told instead."""
    quantities = road.book.quantities
    reads = road.belief.reads[test.id].readings
    return tuple(Answer(n, quantities[n].bands[0].id, m) for n, m in reads if len(quantities[n].bands) == 1)


def raw_besides(raw: Sequence[Answer], known: Sequence[Answer]) -> tuple[Answer, ...]:
    """Those that are not recorded yet."""
    return tuple(answer for answer in raw if answer not in known)


def _without(answers: Sequence[Answer], new: Sequence[Answer]) -> tuple[Answer, ...]:
    """What was known, less what is computed anew."""
    again = {answer.quantity for answer in new if not answer.method}
    return tuple(answer for answer in answers if answer.quantity not in again)


def ending_of(plan: Plan, goes_on: bool) -> Ending:
    """What a box says where the way ends here."""
    roots = [s for s in plan.diagnosis.listed() if s.root]
    sure = [s for s in roots if s.state in ("proven", "probable")] or roots[:2]
    return Ending(
        id="",
        kind="continue" if goes_on else "result",
        causes=tuple((s.cause.id, s.state) for s in sure[:SHOWN]),
        decision=plan.decision.service.id,
        after=plan.decision.after,
        firm=plan.decision.firm,
        drive=plan.may_drive,
    )
