"""What somebody typed, taken apart: a word to the program, or an answer with what was said about it."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.findings.measured import measure
from diagnose.findings.reading import NotUsable, read_number, tidy
from diagnose.findings.words import NOT_DONE, UNKNOWN, find_bands, plain
from diagnose.rulebook.model import Quantity
from diagnose.yamlfile import short

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


def is_cant(typed: str) -> bool:
    return plain(typed.replace("'", "").replace("\u2019", "")) in _CANT


def is_unknown(typed: str) -> bool:
    return plain(typed.replace("'", "").replace("\u2019", "")) in _NOBODY


def answer(typed: str, quantity: Quantity) -> Answer:
    """The parts of an answer: 'VALUE; by METHOD; sample 35 degC; anything else is a note'.

    A band's beginning is written out. Raises NotUsable where a beginning fits several bands.
    """
    value, *parts = [tidy(part) for part in typed.split(";")]
    if plain(value).startswith(ANSWER):
        value = value[len(ANSWER) :].strip()
    method, extras, notes = "", [], []
    for part in filter(None, parts):
        word, _, rest = part.partition(" ")
        if word.casefold() == "by" and rest:
            method = rest
        elif word.casefold() in _TAKEN_AT and rest:
            extras.append((word.casefold(), rest))
        else:
            notes.append(part)
    return Answer(_value(value, quantity), method, tuple(extras), "; ".join(notes))


def _value(typed: str, quantity: Quantity) -> str:
    if is_unknown(typed):
        return UNKNOWN
    if is_cant(typed):
        return NOT_DONE
    if not quantity.in_words:
        try:
            if read_number(typed) is not None:
                return typed
        except NotUsable:
            return typed  # the road says what is wrong with it
    return " or ".join(find_bands(typed, quantity)) or typed


def takes(quantity: Quantity) -> str:
    """What may be answered to a question about `quantity`, in one line."""
    words = [band.id for band in quantity.bands] if quantity.in_words or len(quantity.bands) > 1 else []
    number = [] if quantity.in_words else [f"a number{_unit(quantity)}, or between two: 9..11"]
    return ", ".join([*number, *words, "unknown", "can't do"])


def _unit(quantity: Quantity) -> str:
    if quantity.unit in ("", "1", "pH"):
        return ""
    units = dict.fromkeys((quantity.unit, *(other.unit for other in quantity.read_as)))
    return f" with its unit ({', '.join(units)})"


def check_number(typed: str, quantity: Quantity) -> None:
    """Raise NotUsable where `typed` is no number that can be recorded of `quantity`."""
    number = read_number(typed)
    if number is None:
        raise NotUsable("not-a-number", f"'{short(typed)}' is no number", f"write it like 44{_unit(quantity)}")
    measure(number, quantity, 0.0)
