"""The words of a quantity: which band a word means, and what there is to choose from."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from diagnose.findings.reading import NotUsable
from diagnose.rulebook.model import Quantity
from diagnose.yamlfile import did_you_mean, short

UNKNOWN = "unknown"
NOT_DONE = "not done"
_AND = re.compile(r"\s*,\s*|\s+and\s+")
_NO = ("none", "no", "nothing", "nowhere", "never", "not")
"""Each of these means the one answer of a quantity that is called by one of them."""


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """A word without regard to capitals, '_' and '-' against spaces."""
    return " ".join(text.replace("_", " ").replace("-", " ").split()).casefold()


def find_bands(text: str, quantity: Quantity, in_full: bool = False) -> tuple[str, ...]:
    """The bands `text` names, in the book's order: one word, or several joined with 'or'. () where it names none.

    Of what brought the car in, several may hold at once: they are joined with 'and' or a comma.

    A word is a band's id, one of its other names, or the beginning of exactly one of them, but with `in_full` no
    beginning; 'no', 'none', 'nothing' mean the same. Raises NotUsable where a beginning fits several bands.
    """
    whole = _one(plain(text), quantity, in_full)
    if whole:
        return (whole,)
    parts = plain(text).split(" or ")
    if len(parts) < 2 and quantity.several:
        parts = _AND.split(plain(text))
    found = [_one(part.strip(), quantity, in_full) for part in parts]
    if len(parts) < 2 or not all(found):
        return ()
    if are_together(text, quantity):
        alone = [band.id for band in quantity.bands if band.id in found and not band.looks_at]
        if alone and len(set(found)) > 1:
            says = f"'{alone[0]}' can't stand beside something else"
            raise NotUsable("unknown-answer", says, "leave one of them out")
    return tuple(band.id for band in quantity.bands if band.id in found)


def are_together(text: str, quantity: Quantity) -> bool:
    """Whether the several bands that `text` names hold at once."""
    return quantity.several and " or " not in plain(text) and len(_AND.split(plain(text))) > 1


def _one(word: str, quantity: Quantity, in_full: bool) -> str:
    names = [(plain(name), band.id) for band in quantity.bands for name in (band.id, *band.also_called)]
    for name, band in names:
        if name == word:
            return band
    if word in _NO and len(denies := {band for name, band in names if name in _NO}) == 1:
        return denies.pop()
    begun = {band: name for name, band in names if word and name.startswith(word)} if not in_full else {}
    if len(begun) > 1:
        says = f"'{short(word)}' is the beginning of several answers: {', '.join(begun.values())}"
        raise NotUsable("ambiguous-word", says, "write one of them in full")
    return next(iter(begun), "")


def no_such_answer(text: str, quantity: Quantity) -> NotUsable:
    """The sentence for a value that is neither a number nor a word of `quantity`."""
    says = f"'{short(text)}' says nothing about {quantity.label}"
    return NotUsable("unknown-answer", says, _choices(text, quantity, words_of(quantity)))


def words_of(quantity: Quantity) -> list[str]:
    """The words that may be answered, as people write them."""
    if quantity.in_words or len(quantity.bands) > 1:
        return [band.id.replace("_", " ") for band in quantity.bands]
    return []


def _choices(text: str, quantity: Quantity, words: list[str]) -> str:
    number = [] if quantity.in_words else [f"a number{in_unit(quantity.unit)}"]
    takes = f"it takes {listed([*number, *words, UNKNOWN, NOT_DONE])}"
    return did_you_mean(plain(text), spoken(quantity), takes)


def spoken(quantity: Quantity) -> list[str]:
    """Every name of every answer in words, as people write it."""
    if not words_of(quantity):
        return []
    return [name.replace("_", " ") for band in quantity.bands for name in (band.id, *band.also_called)]


def listed(names: Iterable[str], last_with: str = "or") -> str:
    """'a, b or c'; at least one name."""
    *most, last = names
    return f"{', '.join(most)} {last_with} {last}" if most else last


def in_unit(unit: str) -> str:
    return f" in {unit}" if unit not in ("", "1", "pH") else ""
