"""What has to be known before a test is done or a service is settled, and whether anybody was asked for it."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.findings.model import Findings
from diagnose.rulebook.formula import inputs
from diagnose.rulebook.model import Book, Rule, Service, Test


def wanted_first(book: Book) -> frozenset[str]:
    """What has to be known before some test is done or some service is settled, down to what can be asked or read."""
    wanting: tuple[Mapping[str, Test | Service | Rule], ...] = (book.tests, book.services, book.rules)
    names = [name for each in wanting for one in each.values() for name in one.first]
    services = book.services.values()
    names += [name for service in services for name in (*service.read_before, *service.reckons_with)]
    return frozenset(leaf for name in names for leaf in asked_for(name, book))


def asked_for(name: str, book: Book) -> tuple[str, ...]:
    """The readings and givens that a quantity follows from; itself where it is one."""
    found: dict[str, None] = {}
    waiting = [name]
    for each in waiting:
        quantity = book.quantities.get(each)
        if quantity is not None and quantity.formula is not None:
            waiting += [n for n in book.in_order(inputs(quantity.formula)) if n not in waiting]
        elif quantity is not None:
            found[each] = None
    return tuple(found)


def open_leaves(name: str, findings: Findings, book: Book) -> tuple[str, ...]:
    """What still has to be asked or read to know a quantity; () where it is known, or was asked for in vain."""
    if is_known(name, findings):
        return ()
    told = [(leaf, findings.get(leaf)) for leaf in asked_for(name, book)]
    return tuple(leaf for leaf, finding in told if finding is None or finding.status == "not_done")


def is_open(name: str, findings: Findings, book: Book) -> bool:
    return bool(open_leaves(name, findings, book))


def is_known(name: str, findings: Findings) -> bool:
    finding = findings.get(name)
    return finding is not None and finding.status == "known"
