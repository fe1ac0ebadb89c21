"""What brought the car in: what still has to be looked at for it, and whether something accounts for it.

A complaint is no reading, so nothing that is measured answers it by itself. The book names what is looked at for it,
and the reading that it would be: a cause with this sign may account for it.
"""

from __future__ import annotations

from collections.abc import Sequence, Set

from diagnose.diagnosis.asked import is_known, is_open
from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.confirm import chosen_roots
from diagnose.diagnosis.model import LISTED, Complaint, Suspect
from diagnose.diagnosis.posterior import Posterior
from diagnose.findings.model import Finding
from diagnose.rulebook.model import Band

FOUND = 0.9
"""A cause this probable accounts for a complaint as a proven one does (judgement). What confirms it before anything is
taken apart is demanded apart from that."""
ONE_OF = 0.3
"""Causes this probable each, which together are as good as found, account for it too: it is one of them (judgement)."""


def complaint_of(posterior: Posterior, suspects: Sequence[Suspect]) -> Complaint | None:
    """The complaint of this car; None where there is none, or the book has nothing to look at for it."""
    belief, findings = posterior.belief, posterior.firings.findings
    told = [(f, band) for f in findings.givens.values() for band in _bands(f) if band.looks_at]
    if not told:
        return None
    able = frozenset(name for _, band in told for name in belief.explaining(band))
    repaired = tuple(name for name in findings.case.repaired if name in able)
    proofs = [name for cause in repaired for name in proof_of(cause, belief)]
    looks = dict.fromkeys([*proofs, *(name for _, band in told for name in band.looks_at)])
    open_ = tuple(name for name in looks if is_open(name, findings, belief.book))
    found = [_accounted_for(belief.explaining(band), suspects, not open_) for _, band in told]
    by = tuple(dict.fromkeys(name for names in found for name in names)) if all(found) else ()
    return Complaint(
        says=(" and " if any(f.together for f, _ in told) else " or ").join(dict.fromkeys(b.says for _, b in told)),
        open=open_,
        looked=tuple(name for name in looks if name not in open_ and is_known(name, findings)),
        by=by,
        able=able,
        repaired=repaired,
        held=tuple(name for name in open_ if name in proofs),
    )


def _accounted_for(able: Set[str], suspects: Sequence[Suspect], all_looked_at: bool) -> tuple[str, ...]:
    """Which of the causes that could account for one complaint do."""
    by = [s.cause.id for s in suspects if s.cause.id in able and _is_found(s)]
    if not by:
        one_of = [s for s in suspects if s.cause.id in able and s.root and s.state in LISTED and s.as_root >= ONE_OF]
        by = [s.cause.id for s in one_of] if sum(s.as_root for s in one_of) >= FOUND else []
    if not by and all_looked_at:
        by = [s.cause.id for s in chosen_roots(suspects) if s.cause.id in able]
    return tuple(by)


def proof_of(cause: str, belief: Belief) -> tuple[str, ...]:
    """What shows whether a cause was cured: what its repair names, or else all that it shows in."""
    named = belief.book.causes[cause].repair.proof
    return named or tuple(name for name, links in belief.links.items() if any(link.cause == cause for link in links))


def _bands(finding: Finding) -> list[Band]:
    if finding.status != "known":
        return []
    return [band for band in finding.quantity.bands if band.id in finding.possible]


def _is_found(suspect: Suspect) -> bool:
    return suspect.state == "proven" or (suspect.state in LISTED and suspect.probability >= FOUND)
