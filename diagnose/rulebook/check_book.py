"""What can only be judged when the whole book is read."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.rulebook.check_links import check_links
from diagnose.rulebook.formula import evidence_free, inputs
from diagnose.rulebook.model import FAMILY, Book, Condition
from diagnose.rulebook.read_asking import check_asking
from diagnose.rulebook.rings import report_rings
from diagnose.yamlfile import Place, Problems

FIXED_SERVICES = ("measure_again", "replace", "correct", "keep_look_sooner", "no_coolant_fault", "keep")
"""Services that have a meaning for the program."""

_NEEDED = ("sources", "families", "quantities", "causes", "tests", "services", "cautions", "rules")


def check_book(book: Book, problems: Problems) -> None:
    for name in _NEEDED:
        if not getattr(book, name):
            says, hint = f"this book has no {name}", f"add '{name}:' with one entry at least"
            problems.add(book.place, "missing-list", says, hint)
    if book.services:
        for service in FIXED_SERVICES:
            if service not in book.services:
                place = next(iter(book.services.values())).place
                says = f"the service '{service}' is missing"
                hint = f"these must exist: {', '.join(FIXED_SERVICES)}"
                problems.add(place, "missing-service", says, hint)
    free = evidence_free(book.quantities)
    _check_history(book, free, problems)
    _check_misreads(book, problems)
    _check_rings(book, problems)
    check_asking(book, problems)
    check_links(book.rules, book.quantities, free, problems)


def _check_history(book: Book, free: set[str], problems: Problems) -> None:
    """What changes how common a cause is, or rules it out, is a given and never a reading."""
    for cause in book.causes.values():
        _check_givens(cause.only_when, book, free, problems)
        for prior in cause.prior_when:
            _check_givens(prior.when, book, free, problems)


def _check_givens(conditions: Iterable[Condition], book: Book, free: set[str], problems: Problems) -> None:
    for condition in conditions:
        if condition.quantity in book.quantities and condition.quantity not in free and condition.quantity != FAMILY:
            says = f"'{condition.quantity}' is a reading; only givens and the family can stand here"
            hint = "write a rule with 'seen_with' for what a reading tells"
            problems.add(condition.place, "not-a-given", says, hint)


def _check_misreads(book: Book, problems: Problems) -> None:
    for quantity in book.quantities.values():
        for method in quantity.methods:
            for name in method.fooled_by:
                if name in book.causes and book.causes[name].kind != "misread":
                    says = f"'{name}' can't fool the method '{method.id}': it is no misread cause"
                    problems.add(method.place, "not-a-misread", says, f"add 'kind: misread' to the cause '{name}'")


def _check_rings(book: Book, problems: Problems) -> None:
    chains = {c.id: {arc.cause: arc.place for arc in c.leads_to} for c in book.causes.values()}
    report_rings(chains, "causes lead to each other", problems)
    derived = {
        q.id: dict.fromkeys(sorted(inputs(q.formula)), q.formula.place)
        for q in book.quantities.values()
        if q.formula is not None
    }
    report_rings(derived, "quantities follow from each other", problems)
    patterns: dict[str, dict[str, Place]] = {}
    for rule in book.rules.values():
        if rule.concludes is not None:
            for condition in rule.when:
                if condition.quantity in book.quantities and book.quantities[condition.quantity].role == "pattern":
                    patterns.setdefault(condition.quantity, {})[rule.concludes.quantity] = rule.concludes.place
    report_rings(patterns, "patterns are concluded from each other", problems)
