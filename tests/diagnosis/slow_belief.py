"""The same belief reckoned the slow way, in plain Python and from the story told in words.

Nothing is imported from the package but the book's model. Every set of causes is written out; in
each, every way in which the causes may have got far, act, and push is written out too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from itertools import combinations, product
from math import exp, log, prod

from diagnose.rulebook.model import Book, Quantity

Present = frozenset[str]
NOT_IN_BOOK = frozenset({"not in this book"})


def hypotheses(book: Book, impossible: Iterable[str] = (), proven: Iterable[str] = ()) -> list[Present]:
    """All sets of up to three causes and those of four with an arc inside, proven ones not counted."""
    free = [name for name in book.causes if name not in set(impossible) | set(proven)]
    arcs = {frozenset((c.id, arc.cause)) for c in book.causes.values() for arc in c.leads_to}
    sets = [frozenset(s) for size in range(4) for s in combinations(free, size)]
    fours = [frozenset(s) for s in combinations(free, 4)]
    sets += [four for four in fours if any(arc <= four for arc in arcs)]
    return [each | frozenset(proven) for each in sets]


def prior(book: Book, present: Present, own: Mapping[str, float], impossible: Iterable[str] = ()) -> float:
    """P(exactly these causes), each brought about by itself or by a present parent."""
    total = 1.0
    for name in book.causes:
        if name in impossible:
            continue
        absent = 1 - own[name]
        for parent in present:
            for arc in book.causes[parent].leads_to:
                if arc.cause == name:
                    absent *= 1 - arc.how_often.value
        total *= 1 - absent if name in present else absent
    return total


def words(book: Book, quantity: Quantity, in_force: Iterable[str]) -> dict[str, dict[str, float]]:
    """What each linked cause alone shows: its words, a healthy system's share for the rest, normal what is left."""
    named: dict[str, dict[str, float]] = {}
    for rule in book.rules.values():
        for condition in rule.when:
            if rule.seen_with and condition.quantity == quantity.id and rule.id in set(in_force):
                for link in rule.seen_with:
                    named.setdefault(link.cause, {})[condition.bands[0]] = link.how_often.value
    found = {}
    for cause, bands in named.items():
        alone = {band.id: bands.get(band.id, quantity.healthy[band.id]) for band in quantity.bands}
        alone[quantity.normal] = 1 - sum(share for band, share in alone.items() if band != quantity.normal)
        found[cause] = alone
    return found


def strength(quantity: Quantity, alone: Mapping[str, float]) -> float:
    return 1 - alone[quantity.normal] / quantity.healthy[quantity.normal]


def shows(
    quantity: Quantity, alone: Mapping[str, Mapping[str, float]], far: Present, reach: Mapping[str, float]
) -> dict[str, float]:
    """P(band) where exactly the causes in `far` have got this far."""
    causes = sorted(far & set(alone))
    if quantity.combine == "worst_wins":
        return _worst(quantity, alone, causes, reach)
    q = {cause: strength(quantity, alone[cause]) for cause in causes}
    pushes = {cause: _pushes(quantity, alone[cause], q[cause]) for cause in causes}
    found = dict.fromkeys(quantity.healthy, 0.0)
    order = [band.id for band in quantity.bands]
    middle = order.index(quantity.normal)
    for acting in _subsets(causes):
        chance = prod(q[c] / reach[c] if c in acting else 1 - q[c] / reach[c] for c in causes)
        if chance == 0:
            continue
        if not acting:
            for band, share in quantity.healthy.items():
                found[band] += chance * share
            continue
        who = _who_is_first(tuple(q[c] for c in acting))
        for pushed in product(*(pushes[c].items() for c in acting)):
            likely = chance * prod(share for _, share in pushed)
            bands = [band for band, _ in pushed]
            sides = {order.index(band) > middle for band in bands}
            cancelled = quantity.cancel if quantity.combine == "balance" and len(sides) == 2 else 0.0
            found[quantity.normal] += likely * cancelled
            for share, band in zip(who, bands, strict=True):
                found[band] += likely * (1 - cancelled) * share
    return found


def _pushes(quantity: Quantity, alone: Mapping[str, float], q: float) -> dict[str, float]:
    if q == 0:
        return {}
    push = {b: (alone[b] - (1 - q) * quantity.healthy[b]) / q for b in alone if b != quantity.normal}
    return {band: share for band, share in push.items() if share > 0}


@cache
def _who_is_first(q: tuple[float, ...]) -> tuple[float, ...]:
    """Where all of these act within the time, who was first; by Simpson's rule over the time of the first."""
    rates = [-log(1 - each) for each in q]
    steps = 2000
    found = []
    for number, rate in enumerate(rates):
        total = 0.0
        for step in range(steps + 1):
            t = step / steps
            value = rate * exp(-rate * t) / q[number]
            for other, (slower, chance) in enumerate(zip(rates, q, strict=True)):
                if other != number:
                    value *= 1 - (1 - exp(-slower * t)) / chance
            total += value * (1 if step in (0, steps) else 4 if step % 2 else 2)
        found.append(total / (3 * steps))
    return tuple(found)


def _worst(
    quantity: Quantity, alone: Mapping[str, Mapping[str, float]], causes: Sequence[str], reach: Mapping[str, float]
) -> dict[str, float]:
    order = [quantity.normal, *(band.id for band in quantity.bands if band.id != quantity.normal)]
    each = [[quantity.healthy[band] for band in order]]
    for cause in causes:
        own, before = [], 0.0
        for number in range(len(order)):
            healthy = sum(quantity.healthy[band] for band in order[: number + 1])
            up_to = sum(alone[cause][band] for band in order[: number + 1]) / healthy
            own.append(up_to - before)
            before = up_to
        own = [share / reach[cause] for share in own]
        own[0] = 1 - sum(own[1:])
        each.append(own)
    found = dict.fromkeys(quantity.healthy, 0.0)
    for levels in product(range(len(order)), repeat=len(each)):
        found[order[max(levels)]] += prod(own[level] for own, level in zip(each, levels, strict=True))
    return found


def posterior(
    book: Book,
    seen: Mapping[str, Sequence[tuple[str, Mapping[str, float]]]],
    own: Mapping[str, float] | None = None,
    impossible: Iterable[str] = (),
    in_force: Iterable[str] | None = None,
    proven: Iterable[str] = (),
) -> dict[Present, float]:
    """P(set | readings) for every hypothesis."""
    own = own or {name: cause.how_common.value for name, cause in book.causes.items()}
    rules = tuple(book.rules if in_force is None else in_force)
    sets = hypotheses(book, impossible, proven)
    before = {present: prior(book, present, own, impossible) for present in sets}
    outside = 0.0 if tuple(proven) else book.not_in_book.value
    scale = (1 - outside) / sum(before.values())
    weights = {present: share * scale * likelihood(book, present, seen, rules) for present, share in before.items()}
    if outside:
        strange = 1.0
        for name, readings in seen.items():
            quantity = book.quantities[name]
            strange *= sum(
                (0.5 * quantity.healthy[band.id] + 0.5 / len(quantity.bands))
                * _read(quantity, band.id, readings, NOT_IN_BOOK)
                for band in quantity.bands
            )
        weights[NOT_IN_BOOK] = outside * strange
    total = sum(weights.values())
    return {present: share / total for present, share in weights.items()}


def likelihood(
    book: Book, present: Present, seen: Mapping[str, Sequence[tuple[str, Mapping[str, float]]]], rules: Sequence[str]
) -> float:
    total = 1.0
    groups: dict[str, list[Quantity]] = {}
    for quantity in book.quantities.values():
        if words(book, quantity, book.rules):
            groups.setdefault(quantity.moves_together or f"only {quantity.id}", []).append(quantity)
    for members in groups.values():
        alone = {quantity.id: words(book, quantity, rules) for quantity in members}
        reach: dict[str, float] = {}
        for quantity in members:
            for cause, bands in alone[quantity.id].items():
                reach[cause] = max(reach.get(cause, 0.0), strength(quantity, bands))
        if len(members) == 1:
            reach = dict.fromkeys(reach, 1.0)
        linked = sorted(present & set(reach))
        over_far = 0.0
        for far in _subsets(linked):
            share = prod(reach[c] if c in far else 1 - reach[c] for c in linked)
            for quantity in members:
                if quantity.id in seen:
                    bands = shows(quantity, alone[quantity.id], frozenset(far), reach)
                    share *= sum(bands[b] * _read(quantity, b, seen[quantity.id], present) for b in bands)
            over_far += share
        total *= over_far
    return total


def _read(
    quantity: Quantity, band: str, readings: Sequence[tuple[str, Mapping[str, float]]], present: Present
) -> float:
    """P(all readings | the true band): an instrument that is fooled shows anything."""
    total = 1.0
    for method, bands in readings:
        fools = next(each.fooled_by for each in quantity.methods if each.id == method)
        flat = 1 / len(quantity.bands)
        total *= flat if present & set(fools) else bands.get(band, 0.0) / sum(bands.values())
    return total


def marginals(posterior: Mapping[Present, float], names: Iterable[str]) -> dict[str, float]:
    return {name: sum(share for present, share in posterior.items() if name in present) for name in names}


def _subsets(items: Sequence[str]) -> list[tuple[str, ...]]:
    return [chosen for size in range(len(items) + 1) for chosen in combinations(items, size)]
