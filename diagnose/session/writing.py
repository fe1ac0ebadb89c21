"""Answers as changes to the text of a case. Comments and everything else in it stay as they are."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from diagnose.case.model import Case, Entry
from diagnose.findings.words import plain
from diagnose.rulebook.model import Quantity
from diagnose.session.words import Answer
from diagnose.yamlfile.edit import Lines, NotEditable, Path, put
from diagnose.yamlfile.scalar import scalar

ORDER = ("id", "date", "title", "book", "family", "car", "system", "history", "complaint", "state", "readings",
         "work", "visits", "in_hand", "note", "expect", "outcome")  # fmt: skip
NOTHING = "none"
"""What stands under `in_hand` when no test is half done."""


def new_case(name: str, when: date, title: str, book: str) -> str:
    return "".join(
        f"{key}: {scalar(value, flow=False)}\n"
        for key, value in (("id", name), ("date", when.isoformat()), ("title", title), ("book", book))
    )


def new_visit(text: str, case: Case, when: date) -> str:
    """A test that was half done at the visit before is no longer in hand."""
    text = put(text, ("visits", len(case.visits)), Lines({"date": when.isoformat()}), ORDER)
    return put_top(text, "in_hand", NOTHING) if case.in_hand not in ("", NOTHING) else text


def put_top(text: str, key: str, value: str) -> str:
    return put(text, (key,), value, ORDER)


class Recorder:
    """Writes into one visit of a case: `at` is () for the first, ('visits', 0) for the second, and so on."""

    def __init__(self, text: str, case: Case, at: Path) -> None:
        self.text = text
        self.at = at
        own = case if not at else case.visits[int(at[1])]
        self._readings = own.readings
        self._givens = own.givens
        self._note = own.note
        self._added = 0

    def put(self, *path: str | int, value: str | Mapping[str, str]) -> None:
        self.text = put(self.text, (*self.at, *path), value, ORDER)

    def record(self, quantity: Quantity, method: str, answer: Answer) -> None:
        """One answer; what the same instrument said before is replaced. Raises NotEditable."""
        if quantity.role == "given":
            self._given(quantity, answer)
        else:
            self._reading(quantity, answer.method or method, answer)

    def _given(self, quantity: Quantity, answer: Answer) -> None:
        alone = quantity.id == quantity.under
        old = next((entry for entry in self._givens if entry.name == quantity.id), None)
        told = [entry for entry in self._givens if entry.section == quantity.under]
        if alone and (old is None or old.place == old.name_place) and len(told) < 2:
            self.put(quantity.under, value=answer.value)
        else:
            self.put(quantity.under, quantity.id, value=answer.value)
        if answer.note:
            self.note(f"{quantity.label}: {answer.note}")

    def _reading(self, quantity: Quantity, method: str, answer: Answer) -> None:
        fields = {"quantity": quantity.id, "value": answer.value}
        if method:
            fields["method"] = method
        fields |= dict(answer.extras) | ({"note": answer.note} if answer.note else {})
        number = self._same(quantity, method)
        if number is None:
            self.put("readings", len(self._readings) + self._added, value=fields)
            self._added += 1
            return
        old = self._readings[number]
        lost = [each.name for each in old.taken_at if each.name not in fields]
        if lost:
            raise NotEditable(
                f"the earlier reading tells its {lost[0]}; give it anew behind the value, such as"
                f" '{answer.value}; {lost[0]} {old.taken_at[0].text}'"
            )
        for key, value in fields.items():
            if key not in ("quantity", "method") or (key == "method" and old.method):
                self.put("readings", number, key, value=value)

    def _same(self, quantity: Quantity, method: str) -> int | None:
        for number, entry in enumerate(self._readings):
            if entry.name == quantity.id and method_of(entry, quantity) == known_method(method, quantity):
                return number
        return None

    def note_behind(self, quantity: Quantity, method: str, text: str) -> None:
        """Words behind a reading that stands there."""
        number = self._same(quantity, method)
        if number is not None:
            self.put("readings", number, "note", value=" ".join(text.split()))

    def note(self, text: str) -> None:
        """Add to the note of the visit."""
        whole = f"{self._note.rstrip()} {text}".strip() if self._note else text
        self.put("note", value=" ".join(whole.split()))


def method_of(entry: Entry, quantity: Quantity) -> str:
    """The id of the method an entry names; the book's first where it names none."""
    if not entry.method:
        return quantity.methods[0].id if quantity.methods else ""
    return known_method(entry.method, quantity)


def known_method(method: str, quantity: Quantity) -> str:
    """The id of a method that is named by its id or its label; as it is where the book knows none."""
    return next((m.id for m in quantity.methods if plain(method) in (plain(m.id), plain(m.label))), method)
