"""What no path of the book leads to: causes that nothing speaks for, findings that lead to nothing."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.vet.check import Fault
from diagnose.vet.whole_book import WholeBook


def unreached_causes(whole: WholeBook) -> Iterator[Fault]:
    """A fooled instrument is reached through its readings, without a rule."""
    rules = whole.book.rules.values()
    reached = {link.cause for rule in rules for link in rule.seen_with} | {rule.proves for rule in rules}
    reached |= {name for q in whole.book.quantities.values() for method in q.methods for name in method.fooled_by}
    for cause in whole.book.causes.values():
        if cause.id not in reached:
            says = f"no rule reaches the cause '{cause.id}': no finding can ever speak for it"
            hint = "name it under 'seen_with' of a rule"
            if cause.kind == "misread":
                hint += f", or under 'fooled_by' of the method it fools, as 'fooled_by: [{cause.id}]'"
            yield Fault(cause.place, says, hint, (("cause", cause.id),))


def unused_findings(whole: WholeBook) -> Iterator[Fault]:
    """A finding out of the ordinary that changes nothing; numbers that a formula reckons with are used."""
    for quantity in whole.book.quantities.values():
        if quantity.role == "given" or quantity.id in whole.uses.reckoned:
            continue
        entry = (("quantity", quantity.id),)
        if quantity.id not in whole.uses.asked:
            says = f"no rule and no formula asks for '{quantity.id}'"
            yield Fault(quantity.place, says, f"write a rule with 'when: {{{quantity.id}: ...}}', or delete it", entry)
            continue
        for band in quantity.bands:
            if band.id != quantity.normal and (quantity.id, band.id) not in whole.uses.bands:
                says = f"no rule asks for '{quantity.id}: {band.id}', so finding it changes nothing"
                hint = f"write a rule with 'when: {{{quantity.id}: {band.id}}}', or join it with another band"
                yield Fault(band.place, says, hint, entry)


def unmeasured_readings(whole: WholeBook) -> Iterator[Fault]:
    measured = {quantity for quantity, _ in whole.uses.yielded}
    for quantity in whole.book.quantities.values():
        if quantity.role == "reading" and quantity.id in whole.uses.asked and quantity.id not in measured:
            says = f"rules ask for '{quantity.id}', but no test yields it"
            hint = f"write a test with 'yields: [{{quantity: {quantity.id}}}]'"
            yield Fault(quantity.place, says, hint, (("quantity", quantity.id),))


def unconcluded_patterns(whole: WholeBook) -> Iterator[Fault]:
    concluded = {(c.quantity, name) for r in whole.book.rules.values() if (c := r.concludes) for name in c.bands}
    for quantity in whole.book.quantities.values():
        for band in quantity.bands if quantity.role == "pattern" else ():
            if band.id != quantity.normal and (quantity.id, band.id) not in concluded:
                says = f"no rule concludes '{quantity.id}: {band.id}'"
                hint = f"write a rule with 'concludes: {{{quantity.id}: {band.id}}}', or delete the band"
                yield Fault(band.place, says, hint, (("quantity", quantity.id),))
