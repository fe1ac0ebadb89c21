"""How firm the answer is when the judgement is shaken, and the next steps ahead as a list of branches."""

from __future__ import annotations

from diagnose.diagnosis.model import Ahead, AheadAnswer, Firmness
from diagnose.plan.wording import duration, first_upper, join
from diagnose.report.layout import wrap
from diagnose.rulebook.model import Book

DEEPER = "     "


def firmness(of: Firmness | None, width: int) -> list[str]:
    """Shares of the shakes, and what of the answer is fragile."""
    if of is None:
        return []
    shares = {"first cause": of.root, "next test": of.next_test, "decision": of.decision}
    told = [f"the same {name} in {round(100 * share)} %" for name, share in shares.items() if share is not None]
    lines = wrap(
        f"Of {of.times} books whose judgement was shaken by a factor of {of.factor:g}, {join(told)}.", width, "  "
    )
    if of.fragile:
        is_are = "is" if len(of.fragile) == 1 else "are"
        says = f"The {join(of.fragile)} {is_are} fragile: another instructor's numbers would often say something else."
        lines += wrap(says, width, "  ")
    return lines


def ahead(of: Ahead | None, book: Book, width: int) -> list[str]:
    """A line for each test and each answer, deeper by one step at every answer."""
    return _test(of, book, width, "  ") if of is not None else []


def _test(of: Ahead, book: Book, width: int, indent: str) -> list[str]:
    lines = wrap(f"{first_upper(of.test.label)}, {duration(of.minutes)}.", width, indent)
    for answer in of.answers:
        lines += wrap(_answer(answer, book), width, f"{indent}- ")
        if answer.then is not None:
            lines += _test(answer.then, book, width, indent + DEEPER)
    if of.other:
        lines += wrap(f"other answers ({_percent(of.other)})", width, f"{indent}- ")
    return lines


def _answer(answer: AheadAnswer, book: Book) -> str:
    first = f"{book.causes[answer.first].short} {_percent(answer.first_probability)}" if answer.first else "no suspect"
    says = f"{answer.says} ({_percent(answer.probability)}): {first}"
    if answer.then is None and answer.verdict.kind != "test":
        return f"{says}; then the work"
    return f"{says}; then" if answer.then is not None else says


def _percent(share: float) -> str:
    if 0 < share < 0.01:
        return "under 1 %"
    return "over 99 %" if 0.99 < share < 1 else f"{round(100 * share)} %"
