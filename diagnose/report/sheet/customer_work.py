"""Tests, repairs and litres in the customer's words, and what was done last time."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.diagnosis.model import Suspect
from diagnose.fluid.fluids import Portion
from diagnose.plan.amounts import amount
from diagnose.plan.model import Litres, Plan
from diagnose.plan.moved import Moved, Repair
from diagnose.plan.repairs import drains, is_open, to_confirm, wanted
from diagnose.plan.steps import chosen_roots
from diagnose.plan.wording import duration, first_lower, first_upper, join
from diagnose.report.sheet.model import Block, Job, Jobs, Section, Text
from diagnose.report.words import day
from diagnose.rulebook.model import Book, Cause, Test


def work_for_customer(plan: Plan, book: Book) -> Jobs:
    """Each test, each repair and what is done with the coolant, once, in the order of the work."""
    jobs = [f"We {test_for_customer(c.test)}, about {duration(c.minutes)}." for c in plan.diagnosis.next_tests]
    could = [test for tests in to_confirm(plan.diagnosis, book).values() for test in tests]
    if could:
        ways = " or ".join(dict.fromkeys(test_for_customer(test) for test in could))
        jobs.append(f"Before anything is taken apart, a second and different test has to agree: we {ways}.")
    mended = wanted(plan.diagnosis)
    jobs += [repair_for_customer(suspect, plan) for suspect in mended]
    if not chosen_roots(plan.diagnosis) and (plan.decision.after or plan.decision.service.before_repair):
        jobs.append("We repair what the tests have shown, and nothing else.")
    if drains(plan.diagnosis) and plan.decision.service.quantities == "none":
        litres = plan.numbers.refill if plan.numbers is not None else None
        jobs.append(f"We fill and bleed the cooling system again.{_filled(litres)}")
    if not plan.decision.service.before_repair or not jobs:
        jobs.append(f"{first_upper(plan.decision.service.label)}.{_litres(plan)}")
    jobs.append("We check that it holds, and tell you what we measured.")
    return Jobs(tuple(Job(job) for job in dict.fromkeys(jobs)))


def test_for_customer(test: Test) -> str:
    """Completes 'We ...'."""
    return test.customer or f"test this: {test.label}"


def repair_for_customer(suspect: Suspect, plan: Plan) -> str:
    work = _work(suspect.cause)
    took = f"about {duration(suspect.cause.repair.minutes)}"
    if is_open(suspect, plan.diagnosis):
        return f"Only if the tests confirm it, we {work}, {took}."
    return f"We {work}, {took}."


def last_time(moved: Moved | None, book: Book) -> tuple[Section, ...]:
    """What was done at the visit before and whether it held; nothing where nobody told."""
    if moved is None:
        return ()
    causes = [book.causes[repair.cause] for repair in moved.repairs if repair.cause in book.causes]
    done = [_work(cause) for cause in causes]
    if moved.service is not None and moved.service.quantities != "none":
        done.append(first_lower(moved.service.label))
    if not done:
        return ()
    blocks: list[Block] = [Text(f"The work that was done: {'; '.join(dict.fromkeys(done))}.")]
    blocks += [Text(f"{first_upper(_part(repair, book))}: {_held(repair, book)}") for repair in moved.repairs]
    return (Section(f"Last time, {day(moved.since)}", tuple(blocks)),)


def _part(repair: Repair, book: Book) -> str:
    cause = book.causes.get(repair.cause)
    return cause.repair.part if cause is not None else repair.label


def _held(repair: Repair, book: Book) -> str:
    if repair.verdict == "held":
        return "the repair has held."
    if repair.verdict == "came back":
        again = _names(repair.again, book)
        return f"the fault is there again, or another that looks like it{f' ({again})' if again else ''}."
    open_ = _names(repair.open, book)
    return f"whether it has held is not known yet{f'; still to be looked at: {open_}' if open_ else ''}."


def _names(labels: Iterable[str], book: Book) -> str:
    """In the customer's words; what has none is not named."""
    by_label = {quantity.label: quantity.customer for quantity in book.quantities.values()}
    return join(list(dict.fromkeys(name for label in labels if (name := by_label.get(label)))))


def _work(cause: Cause) -> str:
    return cause.repair.customer or first_lower(cause.repair.what)


def _litres(plan: Plan) -> str:
    """What is poured in, in order; '' where nobody can say yet."""
    litres = plan.numbers.litres if plan.numbers is not None else None
    if litres is not None and litres.capacity is not None and litres.correction is not None:
        best = litres.correction.best
        if best is None or not best.add:
            return ""
        drained = f" {amount(best.drain, 'L')} come out" if best.drain else " Nothing is drained"
        return f"{drained}, then {_poured(best.add)} go in."
    return _filled(litres)


def _filled(litres: Litres | None) -> str:
    if litres is None or litres.capacity is None or not litres.refills:
        return ""
    fill = litres.refills[0].reckoned.concentrate_first
    return f" {first_upper(_poured(fill.fill))} go in." if fill.possible else ""


def _poured(portions: Iterable[Portion]) -> str:
    return join([f"{amount(p.amount, 'L')} of {_fluid(p.fluid)}" for p in portions])


def _fluid(name: str) -> str:
    return {"water": "pure water", "concentrate": "coolant concentrate"}.get(name, name)
