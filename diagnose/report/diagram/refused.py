"""What can't be drawn, in one sentence with a hint."""

from __future__ import annotations


class Refused(ValueError):
    """`says` what is wrong, `hint` how to go on."""

    def __init__(self, says: str, hint: str) -> None:
        super().__init__(f"{says}\n    hint: {hint}")
        self.says = says
        self.hint = hint
