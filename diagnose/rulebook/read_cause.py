"""Causes: how common, what they lead to, how they are repaired."""

from __future__ import annotations

from diagnose.rulebook.known import Known
from diagnose.rulebook.model import Arc, Cause, ComesBack, Drive, PriorWhen, Repair
from diagnose.rulebook.parts import read_cautions, read_citations, read_conditions, read_drive, read_excuses
from diagnose.yamlfile import Place, Record

MAX_SHORT = 32


def read_cause(record: Record, known: Known) -> Cause:
    name = record.ident()
    short = record.text("short")
    if len(short) > MAX_SHORT:
        says = f"'short' has {len(short)} characters, more than {MAX_SHORT}"
        known.problems.add(record.place_of("short"), "too-long", says, "it must fit into a box of a diagram")
    leads_to = record.records("leads_to", "consequence", lambda arc: _arc(arc, known))
    for index, arc in enumerate(leads_to):
        if arc.cause in (earlier.cause for earlier in leads_to[:index]):
            says = f"'{arc.cause}' stands twice in this list"
            known.problems.add(arc.place, "listed-twice", says, "delete one")
    cause = Cause(
        id=name,
        label=record.text("label"),
        short=short,
        kind=record.choice("kind", ("fault", "misread", "elsewhere"), "fault"),  # type: ignore[arg-type]
        how_common=known.word(record, "how_common", known.how_common),
        prior_when=record.records("prior_when", "prior", lambda prior: _prior(prior, known)),
        only_when=read_conditions(record, "only_when", known),
        leads_to=leads_to,
        mechanism=record.text("mechanism"),
        repair=record.record("repair", "repair", lambda one: _repair(one, known), required=True) or _NO_REPAIR,
        comes_back=record.record("comes_back", "comes_back", _comes_back, required=True) or ComesBack(0.0, ""),
        drive=read_drive(record, required=True) or Drive("no", ""),
        customer=record.text("customer"),
        cautions=read_cautions(record, known),
        sources=read_citations(record, known, required=True),
        place=record.place,
    )
    read_excuses(record, known, "cause", name)
    return cause


def _prior(record: Record, known: Known) -> PriorWhen:
    when = read_conditions(record, "when", known, required=True)
    how_common = known.word(record, "how_common", known.how_common)
    return PriorWhen(when, how_common, record.text("because", required=False), record.place)


def _arc(record: Record, known: Known) -> Arc:
    cause = known.named(record, "cause", "cause", required=True)
    how_often = known.word(record, "how_often", known.how_often)
    return Arc(cause, how_often, record.text("because", required=False), record.place)


def read_minutes(record: Record, key: str, required: bool = True) -> float:
    minutes = record.number(key, required)
    if minutes < 0:
        record.problems.add(record.place_of(key), "below-zero", f"'{key}' is below 0", "times are minutes from 0 up")
    return minutes


def check_dismantling(record: Record, minutes: float, dismantling: float) -> None:
    if dismantling > minutes:
        says = f"'dismantling' is {dismantling:g} minutes of only {minutes:g}"
        hint = "it is the part of 'minutes' spent taking the engine or car apart"
        record.problems.add(record.place_of("dismantling"), "dismantling", says, hint)


def _repair(record: Record, known: Known) -> Repair:
    minutes, dismantling = read_minutes(record, "minutes"), read_minutes(record, "dismantling", required=False)
    check_dismantling(record, minutes, dismantling)
    return Repair(
        what=record.text("what"),
        part=record.text("part"),
        minutes=minutes,
        dismantling=dismantling,
        cured_when=record.text("cured_when"),
        same_repair=record.text("same_repair", required=False),
        place=record.place,
        by_service=record.flag("by_service"),
        opens=record.flag("opens", default=True),
        drains=record.flag("drains"),
        customer=record.text("customer", required=False),
        proof=known.names("quantity", record.texts("proof")),
    )


def _comes_back(record: Record) -> ComesBack:
    return ComesBack(read_minutes(record, "minutes"), record.text("because"))


_NO_REPAIR = Repair("", "", 0.0, 0.0, "", "", Place(""))
