"""Going through a session without a terminal, for tests."""

from __future__ import annotations

from datetime import date

from diagnose.case.from_yaml import case_from_text
from diagnose.session.session import Session

TODAY = date(2026, 3, 1)


def begun(session: Session, *answers: str, complaint: str = "loses_coolant") -> Session:
    for typed in ("blue estate", complaint, "no", "safe", "organic_acid", *answers):
        session.answer(typed)
    return session


def told(session: Session, typed: str) -> str:
    return " ".join(line.text for line in session.answer(typed).lines)


def goes_to(session: Session, quantity: str, test: str) -> None:
    """Take a test and put aside what it asks before `quantity`."""
    session.answer(f"other {test}")
    while session.question().quantity != quantity:
        assert session.answer("unknown").taken


def readings(session: Session) -> dict[tuple[str, str], str]:
    return {(entry.name, entry.method): entry.text for entry in case_from_text(session.text, "t").readings}
