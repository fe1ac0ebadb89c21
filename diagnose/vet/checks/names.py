"""Names that stand in a book and that nothing asks for."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.findings.from_case import BASE_GLYCOL
from diagnose.plan.decision import MEASURE_AGAIN
from diagnose.plan.steps import GATE
from diagnose.rulebook.model import Book, Family
from diagnose.vet.check import Fault
from diagnose.vet.whole_book import WholeBook


def unused_sources(whole: WholeBook) -> Iterator[Fault]:
    for source in whole.book.sources.values():
        if source.id not in whole.uses.sources:
            says = f"nothing cites the source '{source.id}'"
            yield Fault(source.place, says, "cite it where it speaks, or delete it", (("source", source.id),))


def unused_cautions(whole: WholeBook) -> Iterator[Fault]:
    for caution in whole.book.cautions.values():
        if caution.when in ("named", "unconfirmed") and caution.id not in whole.uses.cautions:
            says = f"no test, cause or service names the caution '{caution.id}'"
            hint = "name it where it warns, or let it hold 'always' or at every 'opening'"
            yield Fault(caution.place, says, hint, (("caution", caution.id),))


def unused_services(whole: WholeBook) -> Iterator[Fault]:
    """Measuring again is what the program falls back on, so no rule has to decide for it, nor for what stands in its
    place."""
    fallen_back_on = {MEASURE_AGAIN, *(n for s in whole.book.services.values() for n in s.instead.values())}
    for service in whole.book.services.values():
        if service.id not in whole.uses.decided | fallen_back_on:
            says = f"no rule decides for the service '{service.id}'"
            hint = f"write a rule with 'decides: {service.id}'"
            yield Fault(service.place, says, hint, (("service", service.id),))


def unused_givens(whole: WholeBook) -> Iterator[Fault]:
    for quantity in whole.book.quantities.values():
        asked = quantity.id in whole.uses.asked | whole.uses.history | whole.uses.first
        asked |= any(band.looks_at for band in quantity.bands)
        if quantity.role == "given" and not asked and quantity.id != BASE_GLYCOL:
            says = f"no rule, prior or formula asks for the given '{quantity.id}'"
            hint = "ask for it in a 'when' or 'only_when', or delete it"
            yield Fault(quantity.place, says, hint, (("quantity", quantity.id),))


def unused_tests(whole: WholeBook) -> Iterator[Fault]:
    wanted = whole.uses.asked | whole.uses.history | whole.uses.first
    for test in whole.book.tests.values():
        if test.id in whole.uses.nominated or test.id == GATE:
            continue
        if wanted.isdisjoint(each.quantity for each in test.yields):
            says = f"no rule asks for the test '{test.id}', nor for anything that it yields"
            hint = f"name it under 'next' of a rule, or write a rule on {test.yields[0].quantity}"
            yield Fault(test.place, says, hint, (("test", test.id),))


def unused_methods(whole: WholeBook) -> Iterator[Fault]:
    """A yield that names no method stands for the first one of its quantity."""
    for quantity in whole.book.quantities.values():
        for number, method in enumerate(quantity.methods):
            names = {method.id} if number else {method.id, ""}
            if whole.uses.yielded.isdisjoint((quantity.id, name) for name in names):
                says = f"no test yields '{quantity.id}' by the method '{method.id}'"
                hint = f"add '{{quantity: {quantity.id}, method: {method.id}}}' to the 'yields' of a test"
                yield Fault(method.place, says, hint, (("quantity", quantity.id),))


def unused_states(whole: WholeBook) -> Iterator[Fault]:
    """The first value is how a car comes in; the others are of use where a test needs or leaves them."""
    for state in whole.book.states.values():
        for value in state.values[1:]:
            if (state.id, value) not in whole.uses.states:
                says = f"no test needs or leaves the {state.id} '{value}'"
                hint = f"write 'needs: {{{state.id}: {value}}}' at a test, or delete it"
                yield Fault(state.place, says, hint, (("state", state.id),))


def unused_family_figures(whole: WholeBook) -> Iterator[Fault]:
    for family in whole.book.families.values():
        for name, limits in family.limits.items():
            if not _is_asked(name, family, whole.book):
                says = f"no band asks for the limits of '{name}' that the family '{family.id}' gives"
                hint = f"write 'limits: family.{name}' at a band, or delete them"
                yield Fault(limits.place, says, hint, (("family", family.id),))
        for name, amount in family.values.items():
            if name not in whole.uses.family_values:
                says = f"no formula asks for the value '{name}' of the family '{family.id}'"
                hint = f"reckon with 'family.{name}', or delete it"
                yield Fault(amount.place, says, hint, (("family", family.id),))


def unused_families(whole: WholeBook) -> Iterator[Fault]:
    """Two families that the book treats alike are one, as far as it goes."""
    families = list(whole.book.families.values())
    for number, family in enumerate(families):
        for other in families[:number]:
            if _figures(family) == _figures(other) and {family.id, other.id}.isdisjoint(whole.uses.families):
                says = f"the families '{other.id}' and '{family.id}' differ in nothing that the book asks for"
                hint = "give them limits or values of their own, name one of them in a rule, or make them one"
                yield Fault(family.place, says, hint, (("family", family.id), ("family", other.id)))


def lone_names(whole: WholeBook) -> Iterator[Fault]:
    """A word that groups entries and stands at only one of them is mostly misspelt."""
    quantities, causes = whole.book.quantities.values(), whole.book.causes.values()
    groups = [q.moves_together for q in quantities]
    repairs = [cause.repair.same_repair for cause in causes]
    for quantity in quantities:
        if groups.count(quantity.moves_together) == 1 and quantity.moves_together:
            says = f"nothing else moves together with '{quantity.id}' as '{quantity.moves_together}'"
            others = sorted({group for group in groups if group} - {quantity.moves_together})
            yield Fault(quantity.place, says, _or_delete(others), (("quantity", quantity.id),))
    for cause in causes:
        if repairs.count(cause.repair.same_repair) == 1 and cause.repair.same_repair:
            says = f"no other cause has the 'same_repair' of '{cause.id}', '{cause.repair.same_repair}'"
            others = sorted({repair for repair in repairs if repair} - {cause.repair.same_repair})
            yield Fault(cause.repair.place, says, _or_delete(others), (("cause", cause.id),))


def _or_delete(others: list[str]) -> str:
    return f"other names are {', '.join(others)}; take one of these or delete it" if others else "delete it"


def _is_asked(name: str, family: Family, book: Book) -> bool:
    """Whether a band takes its edges from these limits: a closed interval that this family alone brings."""
    limits = family.limits[name]
    edges = [band.edges[family.id] for q in book.quantities.values() for band in q.bands if family.id in band.edges]
    return any((e.low, e.high, e.low_in, e.high_in) == (limits.low, limits.high, True, True) for e in edges)


def _figures(family: Family) -> tuple[object, ...]:
    limits = {name: (limits.low, limits.high) for name, limits in family.limits.items()}
    return limits, {name: (amount.value, amount.unit) for name, amount in family.values.items()}
