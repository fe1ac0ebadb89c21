"""Units as they are printed: books and screens write degC and uS/cm, which every keyboard has."""

from __future__ import annotations

import re

_DEGREES, _MICRO = re.compile(r"\bdeg([CF])\b"), re.compile(r"\buS/")


def with_signs(text: str) -> str:
    """'-37 °C', '100 µS/cm'."""
    return _MICRO.sub("µS/", _DEGREES.sub(r"°\1", text))
