"""One recorded entry, read for every family that may be in the car; repeats with the same tool joined."""

from __future__ import annotations

from collections.abc import Mapping
from math import inf, isinf
from types import MappingProxyType
from typing import NamedTuple

from diagnose.case.model import Entry
from diagnose.findings.bands import family_shares, mixed, scaled
from diagnose.findings.circumstances import NOTHING_TOLD, Circumstances, circumstances
from diagnose.findings.corrected import correct, needs_correction, refuse_propylene
from diagnose.findings.measured import measure, widened, written_unit
from diagnose.findings.model import Interval, Reading
from diagnose.findings.reading import NotUsable, Number, read_number
from diagnose.findings.shown import show_corrected, show_number, show_words, show_written
from diagnose.findings.words import are_together, find_bands, no_such_answer, words_of
from diagnose.fluid.freezing import TOP_OF_SCALE
from diagnose.rulebook.model import Method, Quantity
from diagnose.yamlfile import Place, short

Shares = Mapping[str, tuple[float, ...]]
"""By family: the likelihood over the bands of the quantity, in their order."""


NOTHING: Mapping[str, Interval] = MappingProxyType({})


class Taken(NamedTuple):
    """What one instrument says; a named tuple, since those are made fastest.

    `interval` is None for words; `one_sided` as in '> 25 gpg'.
    `read` tells what stood on the instrument, where `shown` is that value corrected; `by_glycol` is the
    interval for each glycol, where that matters and nobody knows which it is. `told` are the circumstances
    that the case tells of every reading joined here. `together`: several words that hold at once.
    """

    method: str
    recorded: str
    shown: str
    interval: Interval | None
    one_sided: bool
    shares: Shares
    place: Place | None
    read: str = ""
    by_glycol: Mapping[str, Interval] = NOTHING
    told: tuple[str, ...] = ()
    together: bool = False

    def reading(self, families: Mapping[str, float], settled: tuple[str, ...] = ()) -> Reading:
        return Reading(self.method, self.recorded, self.interval, mixed(self.shares, families), self.place, settled)


def take(
    entry: Entry, quantity: Quantity, method: Method | None, families: Mapping[str, float], glycols: tuple[str, ...]
) -> Taken:
    """Read one entry. Raises NotUsable."""
    name, plus_minus = (method.id, method.plus_minus) if method else ("", 0.0)
    refuse_propylene(method, glycols)
    told = circumstances(entry, quantity, method)
    number = None if quantity.in_words else read_number(entry.text)
    if number is not None:
        unit, _ = written_unit(number, quantity)
        if method is not None and needs_correction(method, unit, told, glycols):
            return _corrected(entry, number, quantity, method, told or NOTHING_TOLD, families, glycols)
        readable = ("ethylene",) if method is not None and method.instrument == "hydrometer" else glycols
        measured = measure(number, quantity, plus_minus, readable)
        shown = show_number(number, measured, quantity, plus_minus)
        one_sided = measured.form == "one_sided"
        shares = family_shares(measured.interval, quantity, families, one_sided)
        by_glycol = {}
        if len(glycols) > 1 and (measured.through or readable != glycols):
            by_glycol = {glycol: measure(number, quantity, plus_minus, (glycol,)).interval for glycol in readable}
        told_names = tuple(each.name for each in entry.taken_at)
        interval = measured.interval
        return Taken(name, entry.text, shown, interval, one_sided, shares, entry.place, "", by_glycol, told_names)
    bands = find_bands(entry.text, quantity)
    if bands and told is not None:
        says = f"'{short(entry.text)}' is a word, and only a number can be corrected"
        raise NotUsable("no-circumstance", says, "write the value that was read", entry.taken_at[0].place)
    if not bands:
        if quantity.in_words and any(char.isdigit() for char in entry.text):
            _refuse_number(entry.text, quantity)
        raise no_such_answer(entry.text, quantity)
    even = scaled([1.0 if band.id in bands else 0.0 for band in quantity.bands])
    together = len(bands) > 1 and are_together(entry.text, quantity)
    shown = show_words(bands, "and" if together else "or")
    by_family = dict.fromkeys(families, even)
    return Taken(name, entry.text, shown, None, False, by_family, entry.place, together=together)


def _corrected(
    entry: Entry,
    number: Number,
    quantity: Quantity,
    method: Method,
    told: Circumstances,
    families: Mapping[str, float],
    glycols: tuple[str, ...],
) -> Taken:
    """A reading corrected for how it was taken, its interval with the correction's doubt and the resolution."""
    unit, _ = written_unit(number, quantity)
    if unit != "SG":
        measure(number, quantity, 0.0, glycols)  # refuses what can't stand on any scale
    each = correct(number, unit, method, told, glycols)
    plain = hull([_open_ended(one.doubt) for one in each])
    assert plain is not None
    interval = widened(plain, 0.0, quantity)
    one_sided = number.form == "one_sided" or isinf(plain.high)
    shares = family_shares(interval, quantity, families, one_sided)
    shown = show_corrected(each, number.form, quantity, method.plus_minus, glycols)
    read = f"read {show_written(number, unit)}{told.said}"
    by_glycol = {one.glycol: widened(_open_ended(one.doubt), 0.0, quantity) for one in each} if len(glycols) > 1 else {}
    told_names = tuple(each.name for each in entry.taken_at)
    return Taken(method.id, entry.text, shown, interval, one_sided, shares, entry.place, read, by_glycol, told_names)


def _open_ended(doubt: Interval) -> Interval:
    """What surely lies beyond the scale begins at its end."""
    return Interval(TOP_OF_SCALE, inf, False, False) if isinf(doubt.low) else doubt


def join(repeats: list[Taken], quantity: Quantity) -> Taken:
    """Repeats with the same tool as one reading that holds them all: a repeat adds no second witness."""
    if len(repeats) == 1:
        return repeats[0]
    ordered = sorted(repeats, key=lambda taken: (_ends(taken.interval), taken.recorded))
    interval = hull([taken.interval for taken in ordered if taken.interval is not None])
    one_sided = any(taken.one_sided for taken in ordered)
    families = ordered[0].shares
    if interval is not None and all(taken.interval is not None for taken in ordered):
        shares = family_shares(interval, quantity, families, one_sided)
    else:
        shares = {family: _any_of([taken.shares[family] for taken in ordered]) for family in families}
    return Taken(
        method=ordered[0].method,
        recorded="; ".join(taken.recorded for taken in ordered),
        shown=" and ".join(dict.fromkeys(taken.shown for taken in ordered)),
        interval=interval,
        one_sided=one_sided,
        shares=shares,
        place=min(taken.place for taken in ordered if taken.place is not None),
        read=" and ".join(dict.fromkeys(taken.read for taken in ordered if taken.read)),
        by_glycol=_joined_by_glycol(ordered),
        told=tuple(name for name in ordered[0].told if all(name in taken.told for taken in ordered)),
    )


def _joined_by_glycol(taken: list[Taken]) -> dict[str, Interval]:
    named = dict.fromkeys(glycol for each in taken for glycol in each.by_glycol)
    held = {g: hull([i for each in taken if (i := each.by_glycol.get(g, each.interval)) is not None]) for g in named}
    return {glycol: interval for glycol, interval in held.items() if interval is not None}


def hull(intervals: list[Interval]) -> Interval | None:
    """The smallest interval that holds all of them."""
    if not intervals:
        return None
    low = min(intervals, key=lambda each: (each.low, not each.low_in))
    high = max(intervals, key=lambda each: (each.high, each.high_in))
    return Interval(low.low, high.high, low.low_in, high.high_in)


def _any_of(shares: list[tuple[float, ...]]) -> tuple[float, ...]:
    return scaled([max(column) for column in zip(*shares, strict=True)])


def _ends(interval: Interval | None) -> tuple[float, float]:
    return (interval.low, interval.high) if interval is not None else (0.0, 0.0)


def _refuse_number(text: str, quantity: Quantity) -> None:
    if read_number(text) is not None:
        says = f"{quantity.label} is told in words, not as '{short(text)}'"
        raise NotUsable("not-a-word", says, f"write one of: {', '.join(words_of(quantity))}")
