"""Whether the names in a case are names of the book, and stand where they belong."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnose.case.model import Case, Entry
from diagnose.findings.words import UNKNOWN, listed, plain
from diagnose.rulebook.model import Book, Family, Method, Quantity, Role
from diagnose.yamlfile import Place, Problems, did_you_mean, short

_WHERE: dict[Role, str] = {
    "reading": "it is measured or seen; write it under 'readings' as {{quantity: {name}, value: ...}}",
    "given": "it is a fact about the car; write it under '{under}'",
}


def find_families(case: Case, book: Book, problems: Problems) -> dict[str, float]:
    """Each family that may be in the car, with its share; all of the book's where nobody knows."""
    spoken = {plain(name): family for family in book.families.values() for name in (family.id, *family.also_called)}
    chosen: list[Family] = []
    for named in case.families:
        family = spoken.get(plain(named.name))
        if family is None:
            names = [name for each in book.families.values() for name in (each.id, *each.also_called)]
            _unknown_name(named.place, "family", named.name, names, (*book.families, UNKNOWN), problems)
        elif family not in chosen:
            chosen.append(family)
    if not case.families or not chosen:
        chosen = list(book.families.values())
    kept = [family for family in book.families.values() if family in chosen]
    total = sum(family.how_common.value for family in kept)
    return {f.id: f.how_common.value / total if total else 1 / len(kept) for f in kept}


def find_state(case: Case, book: Book, problems: Problems) -> dict[str, str]:
    """The car as it stands; what the case leaves out is as a car comes in."""
    state = {part.id: part.values[0] for part in book.states.values()}
    for entry in case.state:
        part = book.states.get(entry.name)
        if part is None:
            parts = tuple(book.states)
            _unknown_name(entry.name_place, "part of the car's state", entry.name, parts, parts, problems)
            continue
        value = next((value for value in part.values if plain(value) == plain(entry.text)), None)
        if value is None:
            says = f"'{entry.name}' can't be '{short(entry.text)}'"
            problems.add(entry.place, "unknown-choice", says, f"it is {listed(part.values)}")
        else:
            state[part.id] = value
    return state


def find_quantity(entry: Entry, book: Book, problems: Problems) -> Quantity | None:
    """The quantity an entry names, if it may stand where it stands (an empty section is no place)."""
    quantity = book.quantities.get(entry.name)
    given = entry.section not in ("readings", "")
    if quantity is None:
        fit = [q.id for q in book.quantities.values() if (q.role == "given") == given]
        names = fit if given else [name for name in fit if _recordable(book.quantities[name])]
        kind = "given" if given else "quantity"
        problems.unknown_name(entry.name_place, kind, entry.name, names, f"the rulebook '{book.id}'")
        return None
    if not _recordable(quantity):
        says = f"'{quantity.id}' can't be recorded: {_not_recordable(quantity)}"
        problems.add(entry.name_place, "not-recorded", says, _instead(quantity, book))
        return None
    right = quantity.under if quantity.role == "given" else "readings"
    if entry.section not in (right, ""):
        hint = _WHERE["given" if quantity.role == "given" else "reading"]
        says = f"'{quantity.id}' does not belong under '{entry.section}'"
        problems.add(entry.name_place, "wrong-section", says, hint.format(name=quantity.id, under=quantity.under))
        return None
    return quantity


def find_method(entry: Entry, quantity: Quantity, problems: Problems) -> Method | None:
    """The instrument an entry names; the book's first where it names none; None where there is none."""
    if not entry.method:
        return quantity.methods[0] if quantity.methods else None
    for method in quantity.methods:
        if plain(entry.method) in (plain(method.id), plain(method.label)):
            return method
    names = [method.id for method in quantity.methods]
    if names:
        _unknown_name(entry.method_place, f"method of '{quantity.id}'", entry.method, names, names, problems)
    else:
        says = f"'{quantity.id}' has no methods"
        problems.add(entry.method_place, "unknown-name", says, "delete the method")
    return None


def _recordable(quantity: Quantity) -> bool:
    return quantity.role in ("reading", "given") or bool(quantity.methods)


def _not_recordable(quantity: Quantity) -> str:
    return "it is computed" if quantity.role == "derived" else "rules conclude it from readings"


def _instead(quantity: Quantity, book: Book) -> str:
    """What to record so that the quantity follows."""
    if quantity.formula is not None:
        names = [name for term in quantity.formula.terms for name in (term.name, term.by)]
    else:
        concluding = [r for r in book.rules.values() if r.concludes and r.concludes.quantity == quantity.id]
        names = [condition.quantity for rule in concluding for condition in rule.when]
    wanted = [name for name in dict.fromkeys(names) if name in book.quantities]
    return f"record {listed(wanted, 'and')} instead" if wanted else "delete it"


def _unknown_name(
    place: Place, kind: str, name: str, known: Iterable[str], choices: Sequence[str], problems: Problems
) -> None:
    """As Problems.unknown_name, where the choices are few enough to be listed."""
    hint = did_you_mean(name, known, f"it is one of: {', '.join(choices)}" if choices else "")
    problems.add(place, "unknown-name", f"no {kind} is called '{short(name)}'", hint)
