"""A case and a book to findings: every reading put into bands, derived quantities computed."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.case.model import Case
from diagnose.findings.compute import compute
from diagnose.findings.model import Findings
from diagnose.findings.names import find_families, find_state
from diagnose.findings.recorded import ASSUMED, Recorded, assume, read_entries, settle
from diagnose.fluid.freezing import GLYCOLS
from diagnose.rulebook.model import Book
from diagnose.yamlfile import Problems

MANY = 100
"""After this many problems the rest of a case is not read."""

BASE_GLYCOL = "base_glycol"
"""The given that tells which glycol freezing points are read for; its bands are called as the glycols are."""


def find(case: Case, book: Book) -> Findings:
    """Put the readings of a case into the bands of a book. Raises InputError with every problem found.

    A given about which the case says nothing is what the book assumes of it. A mixture is read for the base
    glycol of the car, for the assumed one where the case says nothing of it, and for both where somebody
    asked and nobody knows, or where a scale was read that the assumed one does not fit.
    """
    problems = Problems(limit=MANY)
    families = find_families(case, book, problems)
    state = find_state(case, book, problems)
    givens = read_entries(case.givens, book, families, GLYCOLS, problems)
    for quantity in book.assumed:
        if quantity.id not in givens:
            givens[quantity.id] = assume(quantity, families)
    glycols = _glycols(case, givens, book)
    readings = read_entries(case.readings, book, families, glycols, problems)
    problems.stop_if_any()
    # a scale that was told settles nothing as long as the glycol under it is only assumed
    open_scale = frozenset({"scale"} if _assumed(givens) else ())
    found = readings | compute(book, families, {**givens, **readings}, glycols)
    return Findings(
        case=case,
        families=families,
        found={name: settle(found[name], families, open_scale) for name in book.in_order(found)},
        givens={name: settle(givens[name], families) for name in book.in_order(givens)},
        state=state,
        unused=_unused(readings, book),
        glycols=glycols,
    )


def _glycols(case: Case, givens: Mapping[str, Recorded], book: Book) -> tuple[str, ...]:
    """The glycols that may be in the car."""
    quantity, record = book.quantities.get(BASE_GLYCOL), givens.get(BASE_GLYCOL)
    if quantity is None or record is None or record.status != "known":
        return GLYCOLS
    shares = next(iter(record.taken[0].shares.values()))
    said = {band.id for band, share in zip(quantity.bands, shares, strict=True) if share > 0}
    if _assumed(givens):
        scales = {each.text for entry in case.readings for each in entry.taken_at if each.name == "scale"}
        said |= scales & set(GLYCOLS)
    return tuple(glycol for glycol in GLYCOLS if glycol in said) or GLYCOLS


def _assumed(givens: Mapping[str, Recorded]) -> bool:
    """Whether the glycol is only what the book assumes."""
    record = givens.get(BASE_GLYCOL)
    return record is not None and record.status == "known" and record.taken[0].recorded == ASSUMED


def _unused(readings: Mapping[str, Recorded], book: Book) -> tuple[str, ...]:
    """Readings whose quantity no rule's condition and no formula of the book asks for."""
    unused = {name for name, record in readings.items() if record.status == "known"} - book.asked
    return tuple(book.in_order(unused))
