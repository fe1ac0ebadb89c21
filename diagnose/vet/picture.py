"""Findings made up from bands, without a number being written: what a car would have to show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TypeAlias

from diagnose.case.model import Case
from diagnose.diagnosis.evidence import trusted
from diagnose.findings.model import Finding, Findings, Reading
from diagnose.rulebook.model import Book, Quantity
from diagnose.yamlfile import Place

Told: TypeAlias = tuple[tuple[str, str], ...]
"""What each instrument says of a quantity: pairs of a method ('' where none is named) and a band."""

_CASE = Case("made-up", date(2000, 1, 1), "", "", (), (), (), (), "", None, None, Place(""))


@dataclass(frozen=True, slots=True)
class Picture:
    """`families` may be in the car, all alike; empty where any may."""

    found: Mapping[str, Told]
    givens: Mapping[str, str] = field(default_factory=dict)
    families: tuple[str, ...] = ()

    def with_finding(self, name: str, band: str) -> Picture:
        return replace(self, found={**self.found, name: (("", band),)})

    def without(self, name: str) -> Picture:
        return replace(self, found={each: told for each, told in self.found.items() if each != name})

    def findings(self, book: Book) -> Findings:
        families = self.families or tuple(book.families)
        total = sum(book.families[name].how_common.value for name in families)
        return Findings(
            case=_CASE,
            families={name: book.families[name].how_common.value / total for name in families},
            found={n: _finding(q, self.found[n]) for n, q in book.quantities.items() if n in self.found},
            givens={n: _finding(q, (("", self.givens[n]),)) for n, q in book.quantities.items() if n in self.givens},
            state={part.id: part.values[0] for part in book.states.values()},
            unused=(),
        )


def _finding(quantity: Quantity, told: Told) -> Finding:
    readings = tuple(
        Reading(method, band, None, tuple(float(each.id == band) for each in quantity.bands), None)
        for method, band in told
    )
    finding = Finding(quantity, "known", readings, (), None, "", "", len({b for _, b in told}) > 1, False)
    best = trusted(finding)
    said = {band for method, band in told if method in best}
    return finding._replace(possible=tuple(band.id for band in quantity.bands if band.id in said))
