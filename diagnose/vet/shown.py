"""A vetted book, on screen and as JSON. FORMAT grows with every change of shape."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable

from diagnose.rulebook.checks import CHECKS as READ_CHECKS
from diagnose.vet.model import Vetting
from diagnose.vet.registry import every_check
from diagnose.yamlfile import Problem

FORMAT = 1


def text(vetting: Vetting) -> str:
    """Every problem with its place, then one line that sums up."""
    parts = [str(problem) for problem in vetting.problems]
    return "\n".join([*parts, *([""] if parts else []), *_summary(vetting)]) + "\n"


def _summary(vetting: Vetting) -> Iterable[str]:
    count = len(vetting.problems)
    found = f"{count} problem{'s'[: count != 1]}" if count else "nothing to mend"
    book = vetting.book
    if book is None:
        yield f"{vetting.name}: {found}. The checks of the whole book come once these are mended."
        return
    yield f"{book.id}, edition {book.edition}: {found}."
    if vetting.excused:
        yield f"{len(vetting.excused)} excused at the entries."
    yield (
        f"{len(book.rules)} rules tell {vetting.mechanisms} different mechanisms; "
        f"{len(book.causes)} causes, {len(book.tests)} tests."
    )


def as_json(vetting: Vetting) -> str:
    book = vetting.book
    shown = {
        "format": FORMAT,
        "book": {"id": book.id, "edition": book.edition} if book is not None else {"id": vetting.name},
        "judged_as_a_whole": book is not None,
        "problems": [problem_as_json(problem) for problem in vetting.problems],
        "excused": [
            {**problem_as_json(problem), "because": excuse.because, "date": excuse.date}
            for problem, excuse in vetting.excused
        ],
    }
    if book is not None:
        shown["counts"] = {
            "rules": len(book.rules),
            "mechanisms": vetting.mechanisms,
            "causes": len(book.causes),
            "tests": len(book.tests),
        }
    return json.dumps(shown, indent=2, ensure_ascii=False) + "\n"


def problem_as_json(problem: Problem) -> dict[str, object]:
    place = problem.place
    return {
        "file": place.file,
        "line": place.line,
        "column": place.column,
        "check": problem.check,
        "says": problem.says,
        "hint": problem.hint,
    }


FORMATS: dict[str, Callable[[Vetting], str]] = {"text": text, "json": as_json}


def checks() -> str:
    """Every check by its id: those of the reader, which can't be excused, and those of a whole book."""
    width = max(map(len, (*READ_CHECKS, *every_check())))
    lines = ["While a book is read:"]
    lines += [f"  {check:{width}}  {asks}" for check, asks in READ_CHECKS.items()]
    lines += ["", "Of the whole book (an entry may be excused, with a reason and a date):"]
    lines += [f"  {check:{width}}  {asks}" for check, asks in every_check().items()]
    return "\n".join(lines) + "\n"
