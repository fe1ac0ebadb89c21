"""Numbers as people say them."""

from __future__ import annotations

from datetime import date

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def chance(probability: float) -> str:
    """'about 6 in 10', 'about 1 in 30', 'more than 99 in 100'."""
    if probability > 0.99:
        return "more than 99 in 100"
    if probability >= 0.95:
        return f"about {round(probability * 100)} in 100"
    if probability >= 0.15:
        return f"about {round(probability * 10)} in 10"
    if probability >= 0.001:
        return f"about 1 in {round(1 / probability)}"
    return "less than 1 in 1000"


def percent(probability: float) -> str:
    if 0 < probability < 0.01:
        return "under 1 %"
    if 0.99 < probability < 1:
        return "over 99 %"
    return f"{round(probability * 100)} %"


def odds(factor: float) -> str:
    """How far a finding moves the odds: '9:1' for, '1:2' against."""
    if factor >= 1:
        return "over 999:1" if factor > 999 else f"{_short(factor)}:1"
    return "under 1:999" if factor < 1 / 999 else f"1:{_short(1 / factor)}"


def day(when: date) -> str:
    return f"{when.day} {MONTHS[when.month - 1]} {when.year}"


def _short(number: float) -> str:
    return f"{number:.1f}".removesuffix(".0") if number < 10 else f"{round(number)}"
