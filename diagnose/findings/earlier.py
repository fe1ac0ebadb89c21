"""What an earlier visit of the same car says about the present one, told as the givens that the book has for it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from diagnose.case.model import Case, Entry, Work
from diagnose.case.visits import at_visit, count, work_at
from diagnose.findings.reading import NotUsable, read_number
from diagnose.findings.words import UNKNOWN, plain
from diagnose.fluid.units import find_unit, kind
from diagnose.rulebook.model import Book
from diagnose.yamlfile import Place, Problems, short

EARLIER, MONTHS = "earlier_mixture", "since_earlier"
MIXTURE = "mixture"
DAYS_IN_MONTH = 365.25 / 12
NOTHING = ("none", "nothing", UNKNOWN)
"""What stands under `work` where nothing was done, or nobody knows."""


def visit_of(whole: Case, number: int, book: Book) -> Case:
    """The case at visit `number`, from 0 up, with the mixture of the visit before, the time since, and what its
    repairs tell, where the book asks for them, the case tells them, and no visit tells them otherwise. Raises
    IndexError; InputError where what was done at a visit can't be read.
    """
    _check_work(whole, book)
    case = at_visit(whole, number)
    if number == 0:
        return case
    told = {entry.name for entry in case.givens}
    added = [e for e in _since(whole, number, case, book) if e.name not in told and e.name in book.quantities]
    if EARLIER not in {entry.name for entry in added}:
        added = []
    added += [entry for entry in _repaired(case, book) if entry.name not in told]
    return replace(case, givens=(*case.givens, *added)) if added else case


def _check_work(whole: Case, book: Book) -> None:
    """Refuse services and causes under `work` that the book does not know, and a mixture that is none."""
    problems = Problems()
    where = f"the rulebook '{book.id}'"
    for work in filter(None, (work_at(whole, number) for number in range(count(whole)))):
        if work.service is not None and work.service.name not in (*book.services, *NOTHING):
            names = (*book.services, *NOTHING)
            problems.unknown_name(work.service.place, "service", work.service.name, names, where)
        for named in work.repaired:
            if named.name not in (*book.causes, *NOTHING):
                problems.unknown_name(named.place, "cause", named.name, (*book.causes, *NOTHING), where)
        if work.mixture and plain(work.mixture) != UNKNOWN:
            try:
                if read_number(work.mixture) is None:
                    says, hint = f"'{short(work.mixture)}' is no number", "write it like 44 % or -29 degC, or 'unknown'"
                    problems.add(work.mixture_place, "not-a-number", says, hint)
            except NotUsable as error:
                problems.add(work.mixture_place, error.check, error.says, error.hint)
    problems.stop_if_any()


def _since(whole: Case, number: int, case: Case, book: Book) -> Iterator[Entry]:
    before = at_visit(whole, number - 1)
    text = left_with(before, work_at(whole, number - 1), book)
    if text:
        yield _entry(EARLIER, text, before.place)
        yield _entry(MONTHS, f"{(case.date - before.date).days / DAYS_IN_MONTH:.1f} months", before.place)


def _repaired(case: Case, book: Book) -> Iterator[Entry]:
    """What the repairs of the visit before tell of the history."""
    for quantity in book.quantities.values() if case.repaired else ():
        for band in quantity.bands:
            if not set(case.repaired).isdisjoint(band.after_repair):
                yield _entry(quantity.id, band.id, case.place)
                break


def left_with(visit: Case, work: Work | None, book: Book) -> str:
    """The mixture, as written, with which a car left: what was read then, or what the work made of it.

    '' where nobody knows: the coolant was changed and not measured, or nobody told what was done.
    """
    if work is None:
        return ""
    if work.mixture and plain(work.mixture) != UNKNOWN:
        return work.mixture if _usable(work.mixture) else ""
    if work.service is not None and changes_coolant(work, book):
        return ""
    read = [e for e in visit.readings if e.name == MIXTURE and not e.taken_at and _usable(e.text)]
    return read[0].text if read else ""


def changes_coolant(work: Work | None, book: Book) -> bool:
    """Whether coolant was drained or added at the end of a visit, or may have been."""
    if work is None or work.service is None or plain(work.service.name) == UNKNOWN:
        return True
    service = book.services.get(work.service.name)
    return service is not None and service.quantities != "none"


def _usable(text: str) -> bool:
    try:
        number = read_number(text)
    except NotUsable:
        return False
    unit = find_unit(number.unit) if number is not None and number.unit else "vol %"
    return number is not None and unit is not None and kind(unit) in ("share by volume", "temperature")


def _entry(name: str, text: str, place: Place) -> Entry:
    return Entry(name, text, "", "", "history", place, place, place)
