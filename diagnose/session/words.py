"""What somebody typed, taken apart: a word to the program, or an answer with what was said about it."""

from __future__ import annotations

import re
from dataclasses import dataclass

from diagnose.findings.measured import measure, written_unit
from diagnose.findings.reading import NotUsable, read_number, tidy
from diagnose.findings.shown import shown_band
from diagnose.findings.words import NOT_DONE, UNKNOWN, are_together, find_bands, plain, spoken, words_of
from diagnose.fluid.units import said_unit
from diagnose.rulebook.model import Quantity
from diagnose.yamlfile import did_you_mean, short

COMMANDS = {
    "why": "what the answer would change",
    "how": "how it is done, cautions first",
    "back": "undo the last answer",
    "list": "what is known so far",
    "other": "take a different test",
    "note": "note TEXT: write something down",
    "help": "these words",
    "stop": "end here; everything is saved",
}
SPELLED_OUT = {"why": "why this", "how": "how to", "back": "go back", "list": "list all", "other": "other test",
               "stop": "stop session", "help": "help me", "note": "note this"}  # fmt: skip
_ALIASES = {long: short for short, long in SPELLED_OUT.items()} | {"?": "help", "quit": "stop", "exit": "stop"}
_CANT = {"cant do", "cannot do", "can not do", "cant", "cannot", NOT_DONE}
_NOBODY = {UNKNOWN, "dont know", "do not know", "nobody knows", "no idea"}
ANSWER = "answer "
_DECIMAL_COMMA = re.compile(r"(?<=\d),(?=\d{1,2}(?!\d))")
"""Three digits behind a comma may be thousands: that is refused."""
_TAKEN_AT = ("sample", "zero", "scale", "compensated")


@dataclass(frozen=True, slots=True)
class Answer:
    """`value` as it is recorded, by `method` where one was named; `extras` tell how it was taken."""

    value: str
    method: str = ""
    extras: tuple[tuple[str, str], ...] = ()
    note: str = ""


def command(typed: str) -> tuple[str, str]:
    """The command a line holds and what stands behind it; ('', '') where it is an answer."""
    whole = plain(typed)
    if whole in COMMANDS or whole in _ALIASES:
        return _ALIASES.get(whole, whole), ""
    word, _, rest = tidy(typed).partition(" ")
    if word.casefold() in ("note", "other") and rest:
        return word.casefold(), rest
    return "", ""


def clash(typed: str, quantity: Quantity) -> str:
    """The band that a command's bare word would also name, such as 'stop' for bubbles that stop; '' where none."""
    try:
        bands = find_bands(typed, quantity) if plain(typed) in COMMANDS else ()
    except NotUsable:
        return "several answers"
    return bands[0] if bands else ""


def is_answer(typed: str, quantity: Quantity | None) -> bool:
    """Whether what stands before a note is one of the quantity's own words, written out."""
    said = plain(typed.partition(";")[0])
    bands = quantity.bands if quantity is not None else ()
    return any(said in map(plain, (band.id, *band.also_called)) for band in bands)


def is_cant(typed: str) -> bool:
    return plain(typed.replace("'", "").replace("\u2019", "")) in _CANT


def is_unknown(typed: str) -> bool:
    return plain(typed.replace("'", "").replace("\u2019", "")) in _NOBODY


def answer(typed: str, quantity: Quantity, in_full: bool = False) -> Answer:
    """The parts of an answer: 'VALUE; by METHOD; sample 35 degC; anything else is a note'.

    A band's beginning is written out; with `in_full` no beginning is taken. Raises NotUsable where the value is none
    of what takes() says, or a beginning fits several bands; WhichUnit where its unit is wanting.
    """
    value, *parts = [tidy(part) for part in typed.split(";")]
    if plain(value).startswith(ANSWER):
        value = value[len(ANSWER) :].strip()
    method, extras, notes = "", [], []
    for part in filter(None, parts):
        word, _, rest = part.partition(" ")
        if word.casefold() == "by" and rest:
            method = _method(rest, quantity)
        elif word.casefold() in _TAKEN_AT and rest:
            extras.append((word.casefold(), rest))
        else:
            notes.append(part)
    return Answer(_value(value, quantity, in_full), method, tuple(extras), "; ".join(notes))


def _method(typed: str, quantity: Quantity) -> str:
    """The tool that is named by its id or label, or by words that stand in one of them only. Raises NotUsable."""
    said = plain(typed)
    exact = [m.id for m in quantity.methods if said in (plain(m.id), plain(m.label))]
    found = exact or [m.id for m in quantity.methods if said in plain(m.id) or said in plain(m.label)]
    if len(found) == 1:
        return found[0]
    tools = ", ".join(method.label for method in quantity.methods)
    hint = f"it is read by: {tools}" if tools else "leave 'by' out: the words are then kept as a note"
    raise NotUsable("unknown-name", f"'{short(typed)}' names no one tool for this", hint)


def _value(typed: str, quantity: Quantity, in_full: bool) -> str:
    if is_unknown(typed):
        return UNKNOWN
    if is_cant(typed):
        return NOT_DONE
    if not quantity.in_words:
        typed = _DECIMAL_COMMA.sub(".", typed)
        if (read := read_number(typed)) is not None:
            written_unit(read, quantity)
            return typed
    bands = find_bands(typed, quantity, in_full)
    if not bands:
        hint = f"it takes: {takes(quantity)}"
        hint += "; the word is written in full here" if in_full else ""
        says = f"'{short(typed)}' is no answer to this"
        raise NotUsable("unknown-answer", says, did_you_mean(plain(typed), spoken(quantity), hint))
    return (" and " if are_together(typed, quantity) else " or ").join(bands)


CANT_DO = "can't do"


def takes(quantity: Quantity) -> str:
    """What may be answered to a question about `quantity`, in one line."""
    in_numbers = [] if quantity.in_words else [f"{number(quantity)}, or two with '..' between them"]
    words = [_word(band.id, band.also_called) for band in quantity.bands] if words_of(quantity) else []
    several = ["several with 'and'"] if quantity.several else []
    return ", ".join([*in_numbers, *words, *several, UNKNOWN, CANT_DO])


def _word(band: str, also_called: tuple[str, ...]) -> str:
    """'foams', or 'foams (yes)' where it may be answered so too, as 'none' always may by 'no'."""
    short_ = next((word for word in ("yes", "no") if word in also_called), "no" if band == "none" else "")
    return f"{shown_band(band)} ({short_})" if short_ and band != short_ else shown_band(band)


def number(quantity: Quantity) -> str:
    """'a number with its unit (kPa, bar, psi)'."""
    if quantity.unit == "pH":
        return "a pH, such as 7.5"
    if quantity.unit in ("", "1"):
        return "a plain number"
    return f"a number with its unit ({', '.join(said_unit(unit) for unit in units(quantity))})"


def units(quantity: Quantity) -> tuple[str, ...]:
    """The units in which a quantity is usually told."""
    own = (*(quantity.told_in or (quantity.unit,)), *(other.unit for other in quantity.read_as))
    frost = own.index("degC") + 1 if "degC" in own else len(own)
    return tuple(dict.fromkeys((*own[:frost], *(("degF",) if "degC" in own else ()), *own[frost:])))


def check_number(typed: str, quantity: Quantity) -> None:
    """Raise NotUsable where `typed` is no number that can be recorded of `quantity`."""
    read = read_number(typed)
    if read is None:
        raise NotUsable("not-a-number", f"'{short(typed)}' is no number", f"write {number(quantity)}")
    measure(read, quantity, 0.0)
