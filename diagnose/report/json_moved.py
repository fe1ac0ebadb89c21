"""What moved between two visits, in plain values: the facts that the text tells."""

from __future__ import annotations

from diagnose.plan.moved import Move, Moved, Repair


def plain_moved(found: Moved | None) -> dict[str, object] | None:
    """None where the case has one visit only."""
    if found is None:
        return None
    return {
        "since": found.since.isoformat(),
        "until": found.until.isoformat(),
        "coolant_renewed": found.renewed,
        "loss": found.loss or None,
        "readings": [_move(move) for move in found.moves],
        "repairs": [_repair(repair) for repair in found.repairs],
    }


def _move(move: Move) -> dict[str, object]:
    """`each_year` is in `unit`, told only where the two readings can't be the same."""
    told = move.beyond_doubt and move.each_year is not None
    return {
        "quantity": move.now.quantity.id,
        "label": move.now.quantity.label,
        "then": move.before.shown,
        "now": move.now.shown,
        "moved": move.beyond_doubt,
        "each_year": round(move.each_year, 6) if told and move.each_year is not None else None,
        "unit": move.now.quantity.unit,
    }


def _repair(repair: Repair) -> dict[str, object]:
    return {
        "cause": repair.cause,
        "label": repair.label,
        "verdict": repair.verdict,
        "gone": list(repair.gone),
        "there_again": list(repair.again),
        "not_looked_at": list(repair.open),
        "found_now_not_then": list(repair.fresh),
    }
