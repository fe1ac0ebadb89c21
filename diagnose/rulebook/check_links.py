"""Links between causes and bands: each one can be read in one way only, and the numbers fit together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnose.rulebook.model import FAMILY, Condition, Link, Quantity, Rule
from diagnose.rulebook.words import percent
from diagnose.yamlfile import Problems

MAX_SUM = 0.995
"""Some systems with a cause still read normal, so its bands can't add up to more."""


@dataclass(frozen=True, slots=True)
class PlacedLink:
    """A link with the band it speaks of, and the givens under which it is in force."""

    link: Link
    rule: Rule
    quantity: Quantity
    band: str
    givens: tuple[Condition, ...]


def check_links(
    rules: Mapping[str, Rule], quantities: Mapping[str, Quantity], free: set[str], problems: Problems
) -> None:
    """`free` holds givens and what follows from them alone."""
    raw = {name: q.id for q in quantities.values() for name in q.instead_of}
    by_pair: dict[tuple[str, str], list[PlacedLink]] = {}
    for rule in rules.values():
        if not rule.seen_with:
            continue
        spot = _spot(rule, quantities, free, raw, problems)
        if spot is None:
            continue
        quantity, band = spot
        givens = tuple(c for c in rule.when if c.quantity in free or c.quantity == FAMILY)
        for link in rule.seen_with:
            if link.how_often.value < quantity.healthy.get(band, 0.0):
                says = (
                    f"'{link.how_often.text}' is less than the {percent(quantity.healthy[band])} of healthy systems "
                    f"that show '{quantity.id}: {band}'"
                )
                hint = "choose a higher word, or leave the link out: the cause does not speak for this band"
                problems.add(link.how_often.place, "below-baseline", says, hint)
            by_pair.setdefault((link.cause, quantity.id), []).append(PlacedLink(link, rule, quantity, band, givens))
    for (cause, name), links in by_pair.items():
        _check_twice(cause, name, links, problems)
        _check_sum(cause, name, links, problems)


def _spot(
    rule: Rule, quantities: Mapping[str, Quantity], free: set[str], raw: Mapping[str, str], problems: Problems
) -> tuple[Quantity, str] | None:
    """The quantity and the band of which the rule's links speak."""
    evidence = [c for c in rule.when if c.quantity in quantities and c.quantity not in free]
    if len(evidence) != 1 or len(evidence[0].bands) != 1:
        if any(c.quantity not in quantities and c.quantity != FAMILY for c in rule.when):
            return None
        if len(evidence) == 1 and not evidence[0].bands:
            return None
        says = f"the rule '{rule.id}' links causes, so 'when' must name one band of one reading"
        hint = "split the rule, or conclude a pattern first and link the causes to that"
        problems.add(rule.when[0].place if rule.when else rule.place, "one-band-per-link", says, hint)
        return None
    quantity, band = quantities[evidence[0].quantity], evidence[0].bands[0]
    if quantity.id in raw:
        says = f"causes can't be linked to '{quantity.id}', since '{raw[quantity.id]}' carries its evidence"
        problems.add(evidence[0].place, "counted-twice", says, f"link them to '{raw[quantity.id]}'")
        return None
    if band == quantity.normal:
        says = f"'{band}' is the normal band of '{quantity.id}'; causes are linked to the others"
        hint = "a normal reading speaks against every cause linked to the other bands, without a rule"
        problems.add(evidence[0].place, "link-to-normal", says, hint)
        return None
    return quantity, band


def _check_twice(cause: str, name: str, links: list[PlacedLink], problems: Problems) -> None:
    for index, later in enumerate(links):
        for earlier in links[:index]:
            if earlier.band == later.band and _together((*earlier.givens, *later.givens)):
                says = f"'{cause}' is linked to '{name}: {later.band}' twice at once"
                hint = f"the other link is in rule '{earlier.rule.id}' at {earlier.link.place}; keep one"
                problems.add(later.link.place, "linked-twice", says, hint)
                break


def _check_sum(cause: str, name: str, links: list[PlacedLink], problems: Problems) -> None:
    """The sum over links that can be in force at once, one for each band, must leave room for normal readings."""
    by_band: dict[str, list[PlacedLink]] = {}
    for placed in links:
        by_band.setdefault(placed.band, []).append(placed)
    too_many = _over(list(by_band.values()), ())
    if too_many:
        last = max(too_many, key=lambda placed: placed.link.place)
        total = percent(sum(placed.link.how_often.value for placed in too_many))
        rules = ", ".join(sorted({placed.rule.id for placed in too_many}))
        says = f"the bands of '{name}' seen with '{cause}' add up to {total}, more than {percent(MAX_SUM)}"
        problems.add(last.link.how_often.place, "links-sum", says, f"lower a word in one of the rules {rules}")


def _over(bands: list[list[PlacedLink]], chosen: tuple[PlacedLink, ...]) -> tuple[PlacedLink, ...]:
    """Links that can be in force at once and add up to more than MAX_SUM, `chosen` among them; () where none do."""
    total = sum(placed.link.how_often.value for placed in chosen)
    if total > MAX_SUM + 1e-9:
        return chosen
    if total + sum(max(p.link.how_often.value for p in band) for band in bands) <= MAX_SUM + 1e-9:
        return ()
    for placed in bands[0]:
        if _together(c for one in (*chosen, placed) for c in one.givens):
            found = _over(bands[1:], (*chosen, placed))
            if found:
                return found
    return _over(bands[1:], chosen)


def _together(conditions: Iterable[Condition]) -> bool:
    """Whether all conditions on givens can hold in one car."""
    left: dict[str, set[str]] = {}
    for condition in conditions:
        bands = left.setdefault(condition.quantity, set(condition.bands))
        bands &= set(condition.bands)
        if not bands:
            return False
    return True
