"""Misconceptions: what people believe, what is true, and which rules reason from it."""

from __future__ import annotations

from diagnose.rulebook.known import Known
from diagnose.rulebook.model import Misconception
from diagnose.rulebook.parts import read_citations, read_excuses, refuse_empty
from diagnose.yamlfile import Record


def read_misconception(record: Record, known: Known) -> Misconception:
    name = record.ident()
    rules = known.names("rule", record.texts("rules", required=True))
    if not rules and record.has("rules"):
        refuse_empty(record, "rules")
    found = Misconception(
        id=name,
        belief=record.text("belief"),
        truth=record.text("truth"),
        because=record.text("because"),
        rules=rules,
        sources=read_citations(record, known, required=True),
        place=record.place,
    )
    read_excuses(record, known, "misconception", name)
    return found
