"""A folder to everything that is wrong with the book in it: while it is read, and as a whole."""

from __future__ import annotations

from pathlib import Path

from diagnose.rulebook.checks import CHECKS as READ_CHECKS
from diagnose.rulebook.from_yaml import read_with_problems
from diagnose.rulebook.model import Book, Excuse
from diagnose.vet.check import Fault
from diagnose.vet.checks.reasons import mechanisms
from diagnose.vet.model import Vetting
from diagnose.vet.registry import CHECKS, IDLE_EXCUSE, UNKNOWN_CHECK, every_check
from diagnose.vet.whole_book import WholeBook
from diagnose.yamlfile import Problem, did_you_mean, short

HARMLESS = frozenset(
    {
        "below-baseline", "below-zero", "dismantling", "id-not-folder", "idle-rule", "links-sum", "listed-twice",
        "missing-cautions", "not-a-date", "too-long", "unknown-key",
    }
)  # fmt: skip
"""Mistakes that leave a book whole enough to be judged: no name leads nowhere, no number is missing."""


def vet(folder: Path, shown_as: str | None = None) -> Vetting:
    """Everything that is wrong with the book in `folder`. Raises InputError where there is no book to read."""
    book, found = read_with_problems(folder, shown_as)
    if book is None or any(problem.check not in HARMLESS for problem in found):
        return Vetting(folder.absolute().name, None, tuple(sorted(set(found))), (), 0)
    problems, excused = vet_whole(book)
    return Vetting(book.id, book, tuple(sorted({*found, *problems})), excused, mechanisms(book))


def vet_whole(book: Book) -> tuple[tuple[Problem, ...], tuple[tuple[Problem, Excuse], ...]]:
    """What the checks of whole books find: problems, and those that are excused."""
    whole = WholeBook(book)
    problems: list[Problem] = []
    excused: list[tuple[Problem, Excuse]] = []
    for check in CHECKS:
        for fault in check.find(whole):
            problem = Problem(fault.place, check.id, fault.says, fault.hint)
            excuse = _excuse(check.id, fault, book)
            if excuse is not None:
                excused.append((problem, excuse))
            else:
                problems.append(problem)
    problems += _excuses(book, {excuse for _, excuse in excused})
    return tuple(sorted(problems)), tuple(sorted(excused, key=lambda pair: pair[0]))


def _excuse(check: str, fault: Fault, book: Book) -> Excuse | None:
    return next((e for e in book.excused if e.check == check and (e.kind, e.entry) in fault.entries), None)


def _excuses(book: Book, used: set[Excuse]) -> list[Problem]:
    """Excuses that excuse nothing."""
    known = every_check()
    found = []
    for excuse in book.excused:
        if excuse.check not in known:
            says = f"no check of a whole book is called '{short(excuse.check)}'"
            if excuse.check in READ_CHECKS:
                says = f"'{excuse.check}' can't be excused: a book that fails it can't be used"
            hint = did_you_mean(excuse.check, known, "'diagnose vet --checks' lists them")
            found.append(Problem(excuse.place, UNKNOWN_CHECK, says, hint))
        elif excuse not in used:
            says = f"'{excuse.check}' has nothing to excuse at '{excuse.entry}'"
            found.append(Problem(excuse.place, IDLE_EXCUSE, says, "delete the excuse"))
    return found
