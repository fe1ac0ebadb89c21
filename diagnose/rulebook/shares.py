"""Shares of a quantity's bands: in healthy systems, among answers, and where two pushes cancel."""

from __future__ import annotations

from diagnose.rulebook.known import Known
from diagnose.rulebook.model import Word
from diagnose.rulebook.parts import refuse_empty, unknown_band
from diagnose.rulebook.words import percent, read_word
from diagnose.yamlfile import Record

SHARE_TOLERANCE = 0.01
"""How far shares that make a whole may be off, for rounding."""


def read_healthy(record: Record, name: str, bands: list[str], normal: str, known: Known) -> dict[str, float]:
    """Shares of all bands: those written, none for others, the rest for the normal one."""
    if not record.has("healthy") and record.has("bands"):
        hint = "add 'healthy: {band: 0.5 %}', or 'healthy: {}' where no cause is linked to it"
        known.problems.add(record.place, "missing-key", f"this {record.kind} has no 'healthy'", hint)
    shares = dict.fromkeys(bands, 0.0)
    place = record.place_of("healthy")
    for key, node in record.pairs("healthy"):
        if key.text not in shares:
            unknown_band(key, name, bands, known)
        elif key.text == normal:
            says = f"'{normal}' is the normal band and takes the rest"
            known.problems.add(key.place, "healthy-normal", says, "leave it out of 'healthy'")
        else:
            word = read_word(node, known.how_often, known.problems, zero=True)
            shares[key.text] = word.value if word else 0.0
    rest = 1 - sum(shares.values())
    if rest <= 0:
        says = f"these add up to {percent(1 - rest)}; nothing is left for the normal band '{normal}'"
        known.problems.add(place, "healthy-sum", says, "a healthy system seldom shows anything but its normal band")
        shares, rest = dict.fromkeys(bands, 0.0), 1.0
    if normal in shares:
        shares[normal] = rest
    return shares


def read_cancel(record: Record, combine: str, bands: list[str], normal: str, known: Known) -> float:
    """How often pushes from both sides read normal; 0 where the quantity is no balance."""
    node = record.node("cancel")
    if combine != "balance":
        if node is not None:
            hint = "add 'combine: balance' or delete the line"
            known.problems.add(node.place, "cancel-without-balance", "'cancel' belongs to 'combine: balance'", hint)
        return 0.0
    if normal in (bands[:1] + bands[-1:]):
        says = f"a balance needs bands on both sides of '{normal}'"
        hint = "leave 'combine' out, or write worst_wins"
        known.problems.add(record.place_of("combine"), "one-sided-balance", says, hint)
    return known.word(record, "cancel", known.how_often).value


def read_answers(record: Record, name: str, bands: list[str], known: Known) -> dict[str, Word]:
    """How the answers to a given are spread: every band with its share, or nothing."""
    found: dict[str, Word] = {}
    pairs = record.pairs("how_often")
    for key, node in pairs:
        if key.text not in bands:
            unknown_band(key, name, bands, known)
        elif (word := read_word(node, known.how_often, known.problems, whole=True)) is not None:
            found[key.text] = word
    if record.has("how_often") and not pairs:
        refuse_empty(record, "how_often")
    elif pairs and len(found) == len(pairs):
        total = sum(word.value for word in found.values())
        left_out = [band for band in bands if band not in found]
        if left_out or abs(total - 1) > SHARE_TOLERANCE:
            says = f"the answers of '{name}' add up to {percent(total)}"
            says += f" and leave out '{left_out[0]}'" if left_out else ", not 100 %"
            known.problems.add(record.place_of("how_often"), "shares-sum", says, "give every band its share of 100 %")
    return found
