"""Words that the plan and every report share."""

from __future__ import annotations

from collections.abc import Sequence


def first_upper(text: str) -> str:
    """The first letter large, unless the word is written in mixed letters, such as 'pH'."""
    return text if text[1:2].isupper() else text[:1].upper() + text[1:]


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
