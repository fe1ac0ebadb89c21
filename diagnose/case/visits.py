"""A case as it stood at one of its visits."""

from __future__ import annotations

from dataclasses import replace

from diagnose.case.model import Case, Entry, Work

LASTING = ("car", "system")
"""Sections that hold from visit to visit; history, complaint and readings are told anew each time."""


def count(case: Case) -> int:
    return 1 + len(case.visits)


def at_visit(case: Case, number: int) -> Case:
    """The case at visit `number`, from 0 (the first) up: its date, its readings, the car as it was known then.

    Raises IndexError where there is no such visit.
    """
    if number == 0:
        return replace(case, visits=())
    visit = case.visits[number - 1]
    lasting: dict[str, Entry] = {entry.name: entry for entry in case.givens if entry.section in LASTING}
    families = case.families
    for earlier in case.visits[:number]:
        lasting |= {entry.name: entry for entry in earlier.givens if entry.section in LASTING}
        families = families if earlier.families is None else earlier.families
    told = tuple(entry for entry in visit.givens if entry.section not in LASTING)
    before = work_at(case, number - 1)
    return replace(
        case,
        date=visit.date,
        families=families,
        givens=(*lasting.values(), *told),
        readings=visit.readings,
        state=visit.state,
        note=visit.note,
        expect=visit.expect,
        outcome=visit.outcome,
        place=visit.place,
        visits=(),
        work=visit.work,
        repaired=tuple(named.name for named in before.repaired) if before is not None else (),
    )


def work_at(case: Case, number: int) -> Work | None:
    """What was done at the end of visit `number`."""
    return case.work if number == 0 else case.visits[number - 1].work
