"""A tried book, on screen and as JSON. FORMAT grows with every change of shape."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator

from diagnose.vet.expect import NONE
from diagnose.vet.shown import problem_as_json
from diagnose.vet.trial import CaseTrial, Trial

FORMAT = 2


def text(trial: Trial) -> str:
    """What fails, with its place; rules that never fired; first suspects that were wrong; then a summary."""
    lines = [str(problem) for problem in trial.problems]
    lines += [f"{trial.book.rules[name].place}: '{name}' never fired" for name in trial.never_fired]
    lines += [_differs(each) for each in trial.cases if each.named is False]
    return "\n".join([*lines, *([""] if lines else []), *_summary(trial)]) + "\n"


def _differs(trial: CaseTrial) -> str:
    place = trial.case.outcome.place if trial.case.outcome is not None else trial.case.place
    was = " and ".join(trial.outcome) or NONE
    return f"{place}: the first suspect differs from the outcome: {trial.first} comes first, but it was {was}"


def _summary(trial: Trial) -> Iterator[str]:
    book, examples, cases = trial.book, trial.examples, trial.cases
    failed = sum(bool(each.problems) for each in examples)
    yield f"{book.id}, edition {book.edition}: {_of(len(examples) - failed, len(examples), 'example')} hold."
    if not cases:
        yield "No cases were named, so only the examples were tried."
    else:
        what = "case" if len({each.case.id for each in cases}) == len(cases) else "visit"
        expecting = [each for each in cases if each.as_expected is not None]
        known = [each for each in cases if each.named is not None]
        met = sum(each.as_expected is True for each in expecting)
        hit = sum(each.named is True for each in known)
        yield f"{_of(met, len(expecting), what)} with an expectation meet it."
        yield f"{_of(hit, len(known), what)} with a known outcome have it as first suspect."
        yield f"{_of(len(book.rules) - len(trial.in_no_case), len(book.rules), 'rule')} fired in a case."
    if trial.elsewhere:
        yield f"Left alone, since written for another book: {trial.elsewhere}."


def _of(part: int, all_of_them: int, what: str) -> str:
    return f"{part} of {all_of_them} {what}s"


def as_json(trial: Trial) -> str:
    book = trial.book
    shown = {
        "format": FORMAT,
        "book": {"id": book.id, "edition": book.edition},
        "problems": [problem_as_json(problem) for problem in trial.problems],
        "examples": {"all": len(trial.examples), "failed": sum(bool(each.problems) for each in trial.examples)},
        "cases": [
            {
                "id": each.case.id,
                "visit": each.case.date.isoformat(),
                "as_expected": each.as_expected,
                "first": each.first,
                "outcome": list(each.outcome),
                "first_is_outcome": each.named,
            }
            for each in trial.cases
        ],
        "never_fired": list(trial.never_fired),
        "in_no_case": list(trial.in_no_case),
        "for_other_books": trial.elsewhere,
    }
    return json.dumps(shown, indent=2, ensure_ascii=False) + "\n"


FORMATS: dict[str, Callable[[Trial], str]] = {"text": text, "json": as_json}
