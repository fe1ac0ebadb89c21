"""Firmness and the steps ahead in plain values."""

from __future__ import annotations

from diagnose.diagnosis.model import Ahead, Firmness
from diagnose.diagnosis.shop import EVERY_TOOL, Shop


def plain_shop(shop: Shop) -> dict[str, object] | None:
    if shop is EVERY_TOOL:
        return None
    return {"title": shop.title, "labour_rate": shop.labour_rate, "currency": shop.currency}


def plain_firmness(of: Firmness | None) -> dict[str, object] | None:
    if of is None:
        return None
    return {
        "times": of.times,
        "factor": of.factor,
        "root": of.root,
        "next_test": of.next_test,
        "decision": of.decision,
        "fragile": list(of.fragile),
    }


def plain_ahead(of: Ahead | None) -> dict[str, object] | None:
    if of is None:
        return None
    return {
        "test": of.test.id,
        "minutes": of.minutes,
        "answers": [
            {
                "answer": answer.says,
                "probability": round(answer.probability, 6),
                "first": answer.first,
                "first_probability": round(answer.first_probability, 6),
                "verdict": answer.verdict.kind,
                "then": plain_ahead(answer.then),
            }
            for answer in of.answers
        ],
        "other": round(of.other, 6),
    }
