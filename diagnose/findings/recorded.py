"""All that was recorded of one quantity: what each instrument says, or that nobody knows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from diagnose.case.model import Entry
from diagnose.findings.model import Finding, Interval, Status
from diagnose.findings.names import find_method, find_quantity
from diagnose.findings.reading import NotUsable
from diagnose.findings.shown import show_limits, show_words
from diagnose.findings.taken import Taken, join, take
from diagnose.findings.trust import common_interval, disagree, most_trusted, possible_bands
from diagnose.findings.words import NOT_DONE, UNKNOWN, plain
from diagnose.rulebook.model import Book, Method, Quantity
from diagnose.yamlfile import Problems

ASSUMED = "assumed"
"""What stands as recorded text where a given was assumed because nobody said anything."""
MOST_WORDS = 200
"""So many words are remembered for one quantity."""


class Recorded(NamedTuple):
    """`taken` holds one entry per instrument, in the book's order; none unless the status is known."""

    quantity: Quantity
    status: Status
    taken: tuple[Taken, ...]

    @property
    def trusted(self) -> list[Taken]:
        return most_trusted(list(self.taken), self.quantity)


def read_entries(
    entries: Iterable[Entry],
    book: Book,
    families: Mapping[str, float],
    glycols: tuple[str, ...],
    problems: Problems,
) -> dict[str, Recorded]:
    """Entries of a case by quantity; those that can't be used are reported and left out."""
    status: dict[str, Status] = {}
    repeats: dict[str, dict[str, list[Taken]]] = {}
    for entry in entries:
        quantity = find_quantity(entry, book, problems)
        if quantity is None:
            continue
        method = find_method(entry, quantity, problems)
        said = plain(entry.text)
        if said in (UNKNOWN, NOT_DONE):
            told: Status = "unknown" if said == UNKNOWN else "not_done"
            status[quantity.id] = told if status.get(quantity.id, "not_done") == "not_done" else status[quantity.id]
            continue
        try:
            taken = _take(entry, quantity, method, families, glycols)
        except NotUsable as error:
            problems.add(error.place or entry.place, error.check, error.says, error.hint)
            continue
        status[quantity.id] = "known"
        repeats.setdefault(quantity.id, {}).setdefault(taken.method, []).append(taken)
    found = {}
    for name, is_known in status.items():
        quantity = book.quantities[name]
        by_method = repeats.get(name, {})
        order = [method.id for method in quantity.methods] or [""]
        taken_by = tuple(join(by_method[method], quantity) for method in order if method in by_method)
        found[name] = Recorded(quantity, is_known, taken_by)
    return found


def _take(
    entry: Entry, quantity: Quantity, method: Method | None, families: Mapping[str, float], glycols: tuple[str, ...]
) -> Taken:
    """take(), which for a word without circumstances gives the same in every case."""
    if not quantity.in_words or entry.taken_at:
        return take(entry, quantity, method, families, glycols)
    key = (method.id if method is not None else "", entry.text, tuple(families), glycols)
    known = quantity.remembered.get(key)
    if not isinstance(known, Taken):
        known = take(entry, quantity, method, families, glycols)
        _remember(quantity, key, known)
    return known._replace(place=entry.place)


def _remember(quantity: Quantity, key: tuple[object, ...], value: object) -> None:
    if len(quantity.remembered) >= MOST_WORDS:
        quantity.remembered.clear()
    quantity.remembered[key] = value


def assume(quantity: Quantity, families: Mapping[str, float]) -> Recorded:
    """What the book assumes of a given about which the case says nothing."""
    known = quantity.remembered.get(tuple(families))
    if not isinstance(known, Recorded):
        known = _assume(quantity, families)
        _remember(quantity, tuple(families), known)
    return known


def _assume(quantity: Quantity, families: Mapping[str, float]) -> Recorded:
    even = tuple(1.0 if band.id == quantity.assume else 0.0 for band in quantity.bands)
    shown = f"{show_words([quantity.assume])} ({ASSUMED})"
    taken = Taken("", ASSUMED, shown, None, False, dict.fromkeys(families, even), None)
    return Recorded(quantity, "known", (taken,))


_NOT_KNOWN = {"unknown": "not known", "not_done": "not done"}


def settle(recorded: Recorded, families: Mapping[str, float], not_settled_by: frozenset[str] = frozenset()) -> Finding:
    """The finding: what each instrument says, what is possible by the most trusted, and whether they agree.

    A circumstance in `not_settled_by` rules out no misreading in this case.
    """
    if len(recorded.taken) == 1:
        (one,) = recorded.taken
        if recorded.quantity.in_words and recorded.quantity.formula is None and not one.told:
            return _word(recorded.quantity, one, families)
        return _from_one(recorded.quantity, one, families, not_settled_by)
    quantity, taken, trusted = recorded.quantity, recorded.taken, recorded.trusted
    return Finding(
        quantity=quantity,
        status=recorded.status,
        readings=tuple(each.reading(families, _settled(each, quantity, not_settled_by)) for each in taken),
        possible=possible_bands(trusted, quantity, families) if trusted else (),
        interval=common_interval(trusted),
        shown=_NOT_KNOWN.get(recorded.status) or "; ".join(_with_tool(each, quantity) for each in taken),
        limits_shown=show_limits(quantity, families),
        disagree=disagree(list(taken), families),
        derived=any(not each.method and quantity.role == "derived" for each in taken),
        by_glycol=_by_glycol(trusted),
    )


def _word(quantity: Quantity, taken: Taken, families: Mapping[str, float]) -> Finding:
    """_from_one() of a word, which but for its place is the same in every case."""
    key = (taken.method, taken.shown, *families.items())
    known = quantity.remembered.get(key)
    if not isinstance(known, Finding):
        known = _from_one(quantity, taken, families, frozenset())
        _remember(quantity, key, known)
    (reading,) = known.readings
    return known._replace(readings=(reading._replace(recorded=taken.recorded, place=taken.place),))


def _from_one(
    quantity: Quantity, taken: Taken, families: Mapping[str, float], not_settled_by: frozenset[str]
) -> Finding:
    """The finding where one instrument was used, as nearly always: it is trusted and disagrees with none."""
    reading = taken.reading(families, _settled(taken, quantity, not_settled_by))
    return Finding(
        quantity=quantity,
        status="known",
        readings=(reading,),
        possible=tuple(band.id for band, share in zip(quantity.bands, reading.shares, strict=True) if share > 0),
        interval=taken.interval,
        shown=_with_tool(taken, quantity),
        limits_shown=show_limits(quantity, families),
        disagree=False,
        derived=not taken.method and quantity.role == "derived",
        by_glycol=taken.by_glycol,
        together=taken.together,
    )


def _settled(taken: Taken, quantity: Quantity, not_by: frozenset[str]) -> tuple[str, ...]:
    """The misreadings that the circumstances of a reading rule out."""
    if not taken.told:
        return ()
    method = quantity.method(taken.method)
    told = [name for name in taken.told if name not in not_by]
    return tuple(cause for name in told for cause in method.settles.get(name, ())) if method is not None else ()


def _by_glycol(trusted: list[Taken]) -> dict[str, Interval]:
    """For each glycol what the trusted readings share; empty where it makes no difference."""
    if not any(each.by_glycol for each in trusted):
        return {}
    named = dict.fromkeys(glycol for each in trusted for glycol in each.by_glycol)
    held = {
        glycol: common_interval([each._replace(interval=each.by_glycol.get(glycol, each.interval)) for each in trusted])
        for glycol in named
    }
    return {glycol: interval for glycol, interval in held.items() if interval is not None}


def _with_tool(taken: Taken, quantity: Quantity) -> str:
    """The tool is named for numbers, and wherever there is a choice of tools."""
    method = quantity.method(taken.method)
    if method is None or (quantity.in_words and len(quantity.methods) == 1):
        return taken.shown
    return f"{taken.shown}, {method.label}" + (f", {taken.read}" if taken.read else "")
