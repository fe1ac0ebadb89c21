"""How a session stands: the text of the case and what follows from it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.case.from_yaml import case_from_text
from diagnose.case.model import Case
from diagnose.diagnosis.model import NextTest
from diagnose.pipeline import Bench
from diagnose.plan.model import Plan
from diagnose.rulebook.model import Yield
from diagnose.session import agenda
from diagnose.yamlfile import read_text
from diagnose.yamlfile.edit import Path, content


@dataclass(frozen=True, slots=True)
class Standing:
    """`whole` is the case with all its visits, `case` the present one, `at` where it stands in the text.

    `offered` are the tests proposed that still ask something; `anew` are questions of a test that was chosen on
    purpose and is done once more, as far as they are not answered yet; `earlier` is the work-up of the visit before,
    if there was one.
    """

    text: str
    whole: Case
    case: Case
    at: Path
    plan: Plan
    offered: tuple[NextTest, ...]
    family_told: bool
    earlier: Plan | None
    anew: tuple[Yield, ...] = ()


def stand(bench: Bench, text: str, name: str, before: Standing | None = None) -> Standing:
    """Read and work up `text`. Raises InputError where it is no usable case."""
    whole = case_from_text(text, name)
    number = len(whole.visits)
    case = bench.visit(whole, number)
    plan = bench.work_up(case)
    if before is not None and len(before.whole.visits) == number:
        earlier = before.earlier
    else:
        earlier = bench.work_up(bench.visit(whole, number - 1)) if number else None
    said = content(read_text(text, name))
    return Standing(
        text=text,
        whole=whole,
        case=case,
        at=("visits", number - 1) if number else (),
        plan=plan,
        offered=_offered(bench, case, plan),
        family_told=(isinstance(said, Mapping) and "family" in said)
        or any(visit.families is not None for visit in whole.visits),
        earlier=earlier,
        anew=agenda.in_hand(case, bench.book)[1],
    )


def _offered(bench: Bench, case: Case, plan: Plan) -> tuple[NextTest, ...]:
    """What is proposed; where all of it was put aside, what would be proposed without it."""
    found = agenda.proposals(plan.diagnosis, case, bench.book)
    if not found and plan.diagnosis.next_tests:
        found = agenda.proposals(bench.diagnosis(agenda.without_put_aside(case)), case, bench.book)
    return tuple(found)
