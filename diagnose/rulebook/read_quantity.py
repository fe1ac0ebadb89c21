"""Quantities of all four roles: readings, givens, derived quantities and patterns."""

from __future__ import annotations

from math import inf

from diagnose.rulebook.bands import WrittenBand, read_band
from diagnose.rulebook.edges import find_edges
from diagnose.rulebook.formula import read_formula
from diagnose.rulebook.known import NOT_AS_ID, Known
from diagnose.rulebook.model import Band, Combine, Edges, Method, Quantity, ReadAs, Role
from diagnose.rulebook.parts import read_citations, read_excuses, read_interval, unknown_band
from diagnose.rulebook.read_asking import read_not_asked, read_note, read_told_in
from diagnose.rulebook.read_method import read_methods
from diagnose.rulebook.shares import read_answers, read_cancel, read_healthy
from diagnose.yamlfile import Record, TextNode

ROLES: dict[str, Role] = {"quantities": "reading", "givens": "given", "derived": "derived", "patterns": "pattern"}
"""The top-level lists of quantities, and what stands in them."""

THROUGH = ("freezing_point", "brix", "refractive_index", "relative_density")
"""Properties of the coolant that convert another kind of unit."""

_UNDER = ("car", "system", "history", "complaint")
_ANSWERS = ("unknown", "not done")


def read_quantity(record: Record, role: Role, known: Known) -> Quantity:
    name = record.ident()
    unit, possible = _numbers(record, role, known)
    before = len(known.problems)
    written = record.records("bands", "band", lambda band: read_band(band, known), required=True)
    edges: list[dict[str, Edges]] = [{} for _ in written]
    if len(known.problems) == before and written:
        edges = _edges(record, name, unit, possible, written, known)
    names = [band.id for band in written]
    _check_bands(record, name, unit, role, written, known)
    _check_looks(record, role, written, known)
    normal = "" if role == "given" else _band_named(record, "normal", name, names, known, required=True)
    combine: Combine = "first_to_act"
    if role != "given":
        combine = record.choice("combine", ("first_to_act", "worst_wins", "balance"), combine)  # type: ignore[assignment]
    formula, instead_of = None, tuple[str, ...]()
    if role == "derived":
        node = record.node("value", required=True)
        formula = read_formula(node, known) if node is not None else None
        instead_of = known.names("quantity", record.texts("instead_of"))
    methods: tuple[Method, ...] = ()
    read_as: tuple[ReadAs, ...] = ()
    if role != "pattern":
        methods = read_methods(record, known)
        read_as = record.records("also_read_as", "unit", lambda one: _read_as(one, known))
    quantity = Quantity(
        id=name,
        label=record.text("label"),
        role=role,
        unit=unit,
        possible=possible,
        bands=tuple(
            Band(
                id=b.id,
                says=b.says,
                customer=b.customer,
                edges=found,
                also_called=b.also_called,
                sources=b.sources,
                place=b.place,
                looks_at=b.looks_at,
                shows_in=b.shows_in,
                groundless=b.groundless,
                after_repair=b.after_repair,
                gone_when=b.gone_when,
            )
            for b, found in zip(written, edges, strict=True)
        ),
        normal=normal,
        healthy={} if role == "given" else read_healthy(record, name, names, normal, known),
        combine=combine,
        cancel=read_cancel(record, combine, names, normal, known) if role != "given" else 0.0,
        moves_together="" if role == "given" else record.text("moves_together", required=False),
        methods=methods,
        read_as=read_as,
        formula=formula,
        instead_of=instead_of,
        under=record.choice("under", _UNDER, required=True) if role == "given" else "",
        how_often=read_answers(record, name, names, known) if role == "given" else {},
        assume=_band_named(record, "assume", name, names, known) if role == "given" else "",
        ask=record.text("ask", required=False),
        sources=read_citations(record, known),
        place=record.place,
        customer=record.text("customer", required=False),
        told_in=() if role == "pattern" else read_told_in(record, unit, read_as, known),
        not_asked_when=() if role in ("derived", "pattern") else read_not_asked(record, known),
        note=record.record("note", "note", lambda one: read_note(one, known)) if role == "reading" else None,
    )
    read_excuses(record, known, "quantity", name)
    return quantity


def _numbers(record: Record, role: Role, known: Known) -> tuple[str, tuple[float, float]]:
    if role == "pattern":
        return "", (-inf, inf)
    in_numbers = role == "derived" or record.has("possible") or record.has("unit")
    unit = known.unit(record, required=in_numbers)
    return unit, read_interval(record, "possible", required=in_numbers) or (-inf, inf)


def _edges(
    record: Record, name: str, unit: str, possible: tuple[float, float], written: tuple[WrittenBand, ...], known: Known
) -> list[dict[str, Edges]]:
    with_edges = [band for band in written if band.has_edges]
    if not unit:
        if with_edges and not record.has("unit"):
            says = f"the band '{with_edges[0].id}' has edges, but '{name}' has no unit"
            hint = "add 'unit' and 'possible', or leave out the edges"
            known.problems.add(with_edges[0].place, "edges-in-words", says, hint)
        return [{} for _ in written]
    for band in with_edges:
        if not band.family:
            continue
        for family in known.families.values():
            if band.family not in family.limits:
                says = f"the family '{family.id}' has no limits for '{band.family}', which the band '{band.id}' needs"
                hint = f"add '{band.family}: {{good: [low, high]}}' under its 'limits'"
                known.problems.add(family.place, "missing-limits", says, hint)
    return find_edges(name, written, possible, known.families, known.problems)


def _check_bands(
    record: Record, name: str, unit: str, role: Role, written: tuple[WrittenBand, ...], known: Known
) -> None:
    fewest = 1 if unit else 2
    if record.has("bands") and len(written) < fewest:
        says = f"'{name}' has {len(written)} band{'s'[: len(written) != 1]}"
        hint = "a quantity in words has two bands at least, one in numbers has one"
        known.problems.add(record.place_of("bands"), "too-few-bands", says, hint)
    taken: dict[str, str] = {}
    for band in written:
        for word in (band.id, *band.also_called):
            if word.lower() in taken:
                says = f"'{word}' names two bands of '{name}'"
                known.problems.add(band.place, "name-taken", says, "every band has words of its own")
            taken[word.lower()] = band.id
            if word.lower() in _ANSWERS and word not in NOT_AS_ID:
                says = f"'{word}' is what a case says where nothing was read"
                known.problems.add(band.place, "name-taken", says, "choose another word")


def _check_looks(record: Record, role: str, written: tuple[WrittenBand, ...], known: Known) -> None:
    complaint = role == "given" and record.has("under") and record.text("under") == "complaint"
    history = role == "given" and record.has("under") and record.text("under") == "history"
    for band in written:
        if band.after_repair and not history:
            says = f"the band '{band.id}' is no fact of the history, so no repair tells it"
            hint = "'after_repair' stands at bands of a given with 'under: history'"
            known.problems.add(band.place, "not-history", says, hint)
        if (band.looks_at or band.shows_in or band.groundless or band.gone_when) and not complaint:
            says = f"the band '{band.id}' is no complaint, so nothing has to be looked at for it"
            keys = "'looks_at', 'shows_in', 'groundless' and 'gone_when'"
            hint = f"{keys} stand at bands of a given with 'under: complaint'"
            known.problems.add(band.place, "not-a-complaint", says, hint)
        elif (band.looks_at or band.groundless) and not band.shows_in:
            says = f"nothing tells which causes account for the complaint '{band.id}'"
            hint = "add the reading that it would be, such as 'shows_in: {level: [low, empty]}'"
            known.problems.add(band.place, "not-a-complaint", says, hint)


def _band_named(record: Record, key: str, name: str, bands: list[str], known: Known, required: bool = False) -> str:
    text = record.text(key, required)
    if text and bands and text not in bands:
        unknown_band(TextNode(text, record.place_of(key)), name, bands, known)
    return text


def _read_as(record: Record, known: Known) -> ReadAs:
    return ReadAs(known.unit(record), record.choice("through", THROUGH, required=True), record.place)
