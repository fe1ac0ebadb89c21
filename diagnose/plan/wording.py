"""Words that the plan and every report share."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.findings.model import Finding


def first_upper(text: str) -> str:
    """The first letter large, unless the word is written in mixed letters, such as 'pH'."""
    return text if text[1:2].isupper() else text[:1].upper() + text[1:]


def customer_words(finding: Finding) -> str:
    """What a reading means, in the customer's words; '' where its bands have none.

    Where it lies on one side of what is right, but nobody can tell how far, what is said is what it is at least.
    """
    quantity = finding.quantity
    bands = [band for band in finding.bands if band.customer]
    order = [band.id for band in quantity.bands]
    if len(bands) > 1 and quantity.normal in order and not quantity.in_words:
        normal = order.index(quantity.normal)
        sides = {order.index(band.id) > normal for band in bands if band.id != quantity.normal}
        if quantity.normal not in finding.possible and len(sides) == 1:
            return min(bands, key=lambda band: abs(order.index(band.id) - normal)).customer
    return " or ".join(dict.fromkeys(band.customer for band in bands))


def sentence(text: str) -> str:
    """With a large letter first and a full stop last."""
    return first_upper(text) + ("" if text.endswith((".", "!", "?")) else ".")


def first_lower(text: str) -> str:
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def join(parts: Sequence[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"


def duration(minutes: float) -> str:
    """Minutes as a technician says them: '12 min', '2 h 30 min', '3 days'."""
    whole = round(minutes)
    if whole >= 1440:
        days = round(whole / 1440)
        return f"{days} day{'s' if days > 1 else ''}"
    if whole < 100:
        return f"{whole} min"
    hours, rest = divmod(whole, 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"
