"""A case file to a Case. Names are kept as written; findings/from_case asks whether a book knows them."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

from diagnose.case.model import Case, Circumstance, Entry, Expect, Named, Outcome, Visit, Work
from diagnose.yamlfile import InputError, Node, Place, Problem, Problems, Record, TextNode, read_file, read_text, short

SECTIONS = ("car", "system", "history", "complaint")
"""The sections that hold givens: facts about the car, and what the customer says."""

REPAIRS = ("held", "came_back", "left_open")
"""What only a later visit may expect: how the repairs of the visit before turned out."""

COMPENSATED = ("yes", "no", "unknown")
SCALES = ("ethylene", "propylene", "acid")
"""What may stand under `compensated` and `scale` of a reading."""

MAX_BYTES = 200_000
"""A case is a page of text; a file far beyond that is something else."""

MANY = 100
"""After this many problems the rest of a case is not read."""


def read_case(path: Path, shown_as: str | None = None) -> Case:
    """Read one case file; `shown_as` is how places name it. Raises InputError with every problem found."""
    try:
        node = read_file(path, shown_as or str(path), MAX_BYTES)
    except InputError as error:
        text = path.read_text("utf-8-sig") if any(p.check == "syntax" for p in error.problems) else ""
        raise InputError(_better_hint(problem, text) for problem in error.problems) from None
    return _case(node)


def case_from_text(text: str, name: str) -> Case:
    """Read a case from YAML text; `name` stands for the file in every place. Raises InputError."""
    try:
        node = read_text(text, name, MAX_BYTES)
    except InputError as error:
        raise InputError(_better_hint(problem, text) for problem in error.problems) from None
    return _case(node)


def _case(node: Node) -> Case:
    problems = Problems(limit=MANY)
    record = Record(node, problems, "case")
    case = Case(
        id=record.ident(),
        date=_date(record, problems),
        title=record.text("title"),
        book=record.text("book", required=False),
        families=_families(record, problems),
        givens=tuple(entry for section in SECTIONS for entry in _section(record, section, problems)),
        readings=record.records("readings", "reading", _reading),
        state=_section(record, "state", problems),
        note=record.text("note", required=False),
        expect=record.record("expect", "expect", _expect),
        outcome=record.record("outcome", "outcome", _outcome),
        place=record.place,
        visits=record.records("visits", "visit", _visit),
        work=record.record("work", "work", _work),
        in_hand=record.text("in_hand", required=False),
    )
    record.done()
    _refuse_disorder(case, problems)
    problems.stop_if_any()
    return case


def _visit(record: Record) -> Visit:
    problems = record.problems
    families = _families(record, problems)
    return Visit(
        date=_date(record, problems),
        families=families if record.has("family") else None,
        givens=tuple(entry for section in SECTIONS for entry in _section(record, section, problems)),
        readings=record.records("readings", "reading", _reading),
        state=_section(record, "state", problems),
        note=record.text("note", required=False),
        work=record.record("work", "work", _work),
        place=record.place,
        expect=record.record("expect", "expect", lambda one: _expect(one, later=True)),
        outcome=record.record("outcome", "outcome", _outcome),
    )


def _work(record: Record) -> Work:
    return Work(
        service=_one(record, "service"),
        repaired=_names(record, "repaired"),
        mixture=record.text("mixture", required=False),
        note=record.text("note", required=False),
        place=record.place,
        mixture_place=record.place_of("mixture"),
    )


def _refuse_disorder(case: Case, problems: Problems) -> None:
    before = case.date
    for visit in case.visits:
        if visit.date < before and date.min not in (visit.date, before):
            says = f"the visit of {visit.date} stands behind one of {before}"
            problems.add(visit.place, "bad-date", says, "write the visits in the order of their dates")
        before = visit.date


def _date(record: Record, problems: Problems) -> date:
    text = record.text("date")
    if re.fullmatch(r"\d{4}-\d\d-\d\d", text):
        try:
            return date.fromisoformat(text)
        except ValueError:
            says = f"'{text}' is not in the calendar"
            problems.add(record.place_of("date"), "bad-date", says, "check the month and the day")
    elif text:
        says = f"'{short(text)}' is not a date"
        problems.add(record.place_of("date"), "bad-date", says, "write year-month-day, such as 2026-03-12")
    return date.min


def _families(record: Record, problems: Problems) -> tuple[Named, ...]:
    names = _names(record, "family")
    if [named.name for named in names] == ["unknown"]:
        return ()
    for named in names:
        if named.name == "unknown":
            hint = "write either the families it may be, or 'unknown' alone"
            problems.add(named.place, "bad-family", "'unknown' stands among families", hint)
    return names


def _section(record: Record, section: str, problems: Problems) -> tuple[Entry, ...]:
    node = record.node(section)
    if section == "complaint" and isinstance(node, TextNode):
        text = record.text(section)
        return (_entry(section, text, section, node.place, node.place),) if text else ()
    entries = []
    for key, value in record.pairs(section):
        if not isinstance(value, TextNode):
            says = f"'{short(key.text)}' takes plain text here, not a list or a mapping"
            problems.add(value.place, "wrong-shape", says, "write one value, or 'this or that'")
        elif not value.text.strip():
            hint = "fill it in, write 'unknown', or delete the line"
            problems.add(value.place, "empty-value", f"'{short(key.text)}' is empty", hint)
        else:
            entries.append(_entry(key.text, value.text.strip(), section, value.place, key.place))
    return tuple(entries)


def _entry(name: str, text: str, section: str, place: Place, name_place: Place) -> Entry:
    return Entry(name, text, "", "", section, place, name_place, place)


def _reading(record: Record) -> Entry:
    return Entry(
        name=record.ident("quantity"),
        text=_value(record),
        method=record.text("method", required=False),
        note=record.text("note", required=False),
        section="readings",
        place=record.place_of("value"),
        name_place=record.place_of("quantity"),
        method_place=record.place_of("method"),
        taken_at=_circumstances(record),
    )


def _circumstances(record: Record) -> tuple[Circumstance, ...]:
    """How it was taken, as far as the case tells."""
    told = {
        "sample": record.text("sample", required=False),
        "compensated": record.choice("compensated", COMPENSATED),
        "zero": record.text("zero", required=False),
        "scale": record.choice("scale", SCALES),
    }
    return tuple(Circumstance(name, text, record.place_of(name)) for name, text in told.items() if text)


def _value(record: Record) -> str:
    node = record.node("value")
    if node is None or isinstance(node, TextNode):
        return record.text("value")
    hint = "write one reading for each; repeats with the same tool are joined"
    record.problems.add(node.place, "wrong-shape", "a reading has one value", hint)
    return ""


def _expect(record: Record, later: bool = False) -> Expect:
    for key in () if later else REPAIRS:
        if record.has(key):
            says = f"'{key}' can't be expected of the first visit: nothing was repaired before it"
            record.problems.add(record.place_of(key), "too-early", says, "write it in the 'expect' of a later visit")
    return Expect(
        first=_one(record, "first"),
        followers=_names(record, "followers"),
        includes=_names(record, "includes"),
        excludes=_names(record, "excludes"),
        impossible=_names(record, "impossible"),
        decision=_one(record, "decision"),
        next=_names(record, "next"),
        place=record.place,
        held=_names(record, "held"),
        came_back=_names(record, "came_back"),
        left_open=_names(record, "left_open"),
    )


def _outcome(record: Record) -> Outcome:
    return Outcome(
        causes=_names(record, "causes", required=True),
        known_by=record.text("known_by"),
        note=record.text("note", required=False),
        place=record.place,
    )


def _one(record: Record, key: str) -> Named | None:
    name = record.ident(key, required=False)
    return Named(name, record.place_of(key)) if name else None


def _names(record: Record, key: str, required: bool = False) -> tuple[Named, ...]:
    return tuple(Named(node.text.strip(), node.place) for node in record.texts(key, required) if node.text.strip())


def _better_hint(problem: Problem, text: str) -> Problem:
    """A hint that only makes sense for a case: an empty one, and '> 25' which YAML takes for folded text."""
    hint = problem.hint
    if problem.check == "empty":
        hint = "a case needs at least 'id', 'date' and 'title'"
    elif problem.check == "syntax":
        line = text.splitlines()[problem.place.line - 1 : problem.place.line]
        found = re.search(r":\s*(>\s*=?\s*[\d.][^,}#]*)", "".join(line))
        hint = f'put it in quotes: "{found[1].strip()}"' if found else hint
    return Problem(problem.place, problem.check, problem.says, hint)
