"""What hangs on the coolant family where several may be in the car."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.findings.bands import band_shares
from diagnose.findings.model import Finding, Findings
from diagnose.rulebook.model import Book, Quantity


def band_by_family(finding: Finding, findings: Findings) -> Mapping[str, str]:
    """The one band of a reading for each family that may be in the car, by family.

    Empty where a family by itself leaves it open, and where it is the same for all of them: then a better
    reading is wanted, or nothing.
    """
    if finding.interval is None or len(findings.families) < 2 or all("" in b.edges for b in finding.quantity.bands):
        return {}
    found: dict[str, str] = {}
    for name in findings.families:
        shares = band_shares(finding.interval, finding.quantity, name)
        inside = [band.id for band, share in zip(finding.quantity.bands, shares, strict=True) if share]
        if len(inside) != 1:
            return {}
        found[name] = inside[0]
    return found if len(set(found.values())) > 1 else {}


def hangs_on_family(quantity: Quantity, book: Book) -> bool:
    """Whether its bands, or a term of its formula at any depth, hang on the family."""
    if any(band.edges and "" not in band.edges for band in quantity.bands):
        return True
    terms = quantity.formula.terms if quantity.formula is not None else ()
    return any(
        term.name.startswith("family.")
        or (term.name in book.quantities and hangs_on_family(book.quantities[term.name], book))
        for term in terms
    )
