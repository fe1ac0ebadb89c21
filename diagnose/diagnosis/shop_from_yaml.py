"""A shop's own file to a Shop, read as strictly as a rulebook."""

from __future__ import annotations

from pathlib import Path

from diagnose.diagnosis.shop import Shop
from diagnose.rulebook.model import Book
from diagnose.yamlfile import Problems, Record, TextNode, did_you_mean, read_file, short

MAX_BYTES = 100_000
"""A shop's file is a page of text."""


def read_shop(path: Path, book: Book, shown_as: str | None = None) -> Shop:
    """Read one shop file for a book. Raises InputError with every problem found."""
    problems = Problems()
    record = Record(read_file(path, shown_as or str(path), MAX_BYTES), problems, "shop file")
    shop = record.record("shop", "shop", lambda one: _shop(one, book, problems), required=True)
    record.done()
    problems.stop_if_any()
    return shop or Shop()


def _shop(record: Record, book: Book, problems: Problems) -> Shop:
    every = frozenset(tool for test in book.tests.values() for tool in test.tools)
    on_hand = _tools(record, "tools", every, problems)
    missing = _tools(record, "missing", every, problems)
    if on_hand is not None and missing is not None:
        hint = "list what is on hand under 'tools', or what is not under 'missing'"
        problems.add(record.place_of("missing"), "both-lists", "'tools' and 'missing' can't stand together", hint)
    rate = _from_zero(record, "labour_rate", "write what an hour costs", problems)
    currency = record.text("currency", required=False)
    if currency and rate is None:
        hint = "add 'labour_rate: ...', or delete 'currency'"
        problems.add(record.place_of("currency"), "missing-key", "a currency without a labour rate says nothing", hint)
    return Shop(
        title=record.text("title"),
        tools=every - missing if missing is not None else on_hand,
        minutes=_minutes(record, "minutes", book, problems),
        wait=_minutes(record, "wait", book, problems),
        day_away=_from_zero(record, "day_away", "write how many minutes of work a day of waiting costs", problems),
        labour_rate=rate,
        currency=currency,
    )


def _from_zero(record: Record, key: str, hint: str, problems: Problems) -> float | None:
    number = record.number(key) if record.has(key) else None
    if number is not None and number < 0:
        problems.add(record.place_of(key), "below-zero", f"'{key}' is below 0", hint)
    return number


def _tools(record: Record, key: str, every: frozenset[str], problems: Problems) -> frozenset[str] | None:
    if not record.has(key):
        return None
    found = set()
    for node in record.texts(key):
        name = node.text.strip()
        if name not in every:
            hint = did_you_mean(name, sorted(every), "tools are named as the book's tests name them")
            problems.add(node.place, "unknown-name", f"no test asks for a tool called '{short(name)}'", hint)
        found.add(name)
    return frozenset(found)


def _minutes(record: Record, key: str, book: Book, problems: Problems) -> dict[str, float]:
    found: dict[str, float] = {}
    for name, node in record.pairs(key):
        if name.text not in book.tests:
            hint = did_you_mean(name.text, book.tests, "tests are listed in the book")
            problems.add(name.place, "unknown-name", f"no test is called '{short(name.text)}'", hint)
            continue
        text = node.text.strip() if isinstance(node, TextNode) else ""
        number = plain(text)
        if number is None:
            hint = f"write '{name.text}: 12', minutes from 0 up"
            problems.add(node.place, "not-a-number", f"'{short(text)}' is no number of minutes", hint)
            continue
        found[name.text] = number
    return found


def plain(text: str) -> float | None:
    """A number from 0 up in plain digits, or None."""
    digits = text.replace(".", "", 1)
    return float(text) if digits.isascii() and digits.isdigit() else None
