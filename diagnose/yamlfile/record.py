"""A cursor over one mapping: takes keys one by one, remembers what was never taken.

Every getter reports a problem with its place and returns a harmless stand-in, so that one
reading of a file finds everything that is wrong in it. `done()` refuses unknown keys.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import TypeVar

from diagnose.yamlfile.node import ListNode, MapNode, Node, TextNode
from diagnose.yamlfile.place import Place, Problems, did_you_mean, short

T = TypeVar("T")

_NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)")
_IDENT = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.-]*")


class Record:
    """The mapping at `node`, described in messages as `kind` (such as ``cause``)."""

    def __init__(self, node: Node, problems: Problems, kind: str) -> None:
        self.kind = kind
        self.problems = problems
        self.place = node.place
        self._values: dict[str, tuple[TextNode, Node]] = {}
        self._asked: set[str] = set()
        self._usable = isinstance(node, MapNode)
        if isinstance(node, MapNode):
            self._values = {pair[0].text: pair for pair in node.pairs}
        else:
            hint = f"write '{kind}' as 'key: value' lines"
            problems.add(node.place, "wrong-shape", f"{_a(kind)} is a mapping of keys and values", hint)

    def has(self, key: str) -> bool:
        return key in self._values

    def node(self, key: str, required: bool = False) -> Node | None:
        """The raw value of `key`, or None; a missing required key is a problem."""
        self._asked.add(key)
        found = self._values.get(key)
        if found is not None:
            return found[1]
        if required and self._usable:
            self.problems.add(self.place, "missing-key", f"this {self.kind} has no '{key}'", f"add a line '{key}: ...'")
        return None

    def place_of(self, key: str) -> Place:
        """Where the value of `key` stands; the record's own place when it is absent."""
        found = self._values.get(key)
        return found[1].place if found is not None else self.place

    def text(self, key: str, required: bool = True, default: str = "") -> str:
        """A non-empty scalar as text."""
        node = self.node(key, required)
        return default if node is None else self._text(node, key) or default

    def ident(self, key: str = "id", required: bool = True) -> str:
        """A name: letters, digits, '_', '.' and '-', beginning with a letter or digit."""
        text = self.text(key, required)
        if text and not _IDENT.fullmatch(text):
            hint = "use letters, digits, '_', '-' and '.' only"
            self.problems.add(self.place_of(key), "bad-id", f"'{short(text)}' can't be a name", hint)
        return text

    def choice(self, key: str, choices: Iterable[str], default: str = "", required: bool = False) -> str:
        """One of `choices`."""
        node = self.node(key, required)
        if node is None:
            return default
        text = self._text(node, key)
        known = list(choices)
        if text and text not in known:
            hint = did_you_mean(text, known, f"it is one of: {', '.join(known)}")
            self.problems.add(node.place, "unknown-choice", f"'{key}' can't be '{short(text)}'", hint)
            return default
        return text or default

    def flag(self, key: str, default: bool = False) -> bool:
        """`yes` or `no`."""
        return self.choice(key, ("yes", "no"), "yes" if default else "no") == "yes"

    def number(self, key: str, required: bool = True, default: float = 0.0) -> float:
        """A finite plain number (no unit)."""
        node = self.node(key, required)
        if node is None:
            return default
        text = self._text(node, key)
        number = plain_number(text)
        if text and number is None:
            says = f"'{key}' must be a plain number, not '{short(text)}'"
            self.problems.add(node.place, "not-a-number", says, "write digits with a decimal point, without a unit")
        return default if number is None else number

    def texts(self, key: str, required: bool = False) -> tuple[TextNode, ...]:
        """A list of scalars; a single scalar counts as a list of one."""
        node = self.node(key, required)
        if node is None:
            return ()
        if isinstance(node, TextNode):
            return (node,) if self._text(node, key) else ()
        if isinstance(node, MapNode):
            self.problems.add(node.place, "wrong-shape", f"'{key}' is a list", f"write '{key}: [first, second]'")
            return ()
        found: list[TextNode] = []
        for item in node:
            if self._text(item, key) and isinstance(item, TextNode):
                found.append(item)
        return tuple(found)

    def records(self, key: str, kind: str, make: Callable[[Record], T], required: bool = False) -> tuple[T, ...]:
        """A list of mappings, each read by `make` and closed with done()."""
        node = self.node(key, required)
        if node is None:
            return ()
        if not isinstance(node, ListNode):
            self.problems.add(node.place, "wrong-shape", f"'{key}' is a list", f"begin each {kind} with '- '")
            return ()
        made = []
        for item in node:
            record = Record(item, self.problems, kind)
            made.append(make(record))
            record.done()
        return tuple(made)

    def record(self, key: str, kind: str, make: Callable[[Record], T], required: bool = False) -> T | None:
        """One mapping read by `make`, or None when the key is absent."""
        node = self.node(key, required)
        if node is None:
            return None
        record = Record(node, self.problems, kind)
        made = make(record)
        record.done()
        return made

    def pairs(self, key: str, required: bool = False) -> tuple[tuple[TextNode, Node], ...]:
        """A free mapping of names to values, for the caller to judge."""
        node = self.node(key, required)
        if node is None:
            return ()
        if not isinstance(node, MapNode):
            self.problems.add(node.place, "wrong-shape", f"'{key}' is a mapping", f"write '{key}: {{name: value}}'")
            return ()
        return node.pairs

    def done(self) -> None:
        """Refuse every key that was never asked for."""
        if self._asked.issuperset(self._values):
            return
        for name, (key, _) in self._values.items():
            if name not in self._asked:
                known = sorted(self._asked)
                hint = did_you_mean(name, known) or f"known keys: {', '.join(known)}"
                self.problems.add(key.place, "unknown-key", f"{_a(self.kind)} has no key '{short(name)}'", hint)

    def _text(self, node: Node, key: str) -> str:
        if not isinstance(node, TextNode):
            self._not_text(node, key)
            return ""
        text = node.text.strip()
        if not text:
            self.problems.add(node.place, "empty-value", f"'{key}' is empty", "fill it in or delete the line")
        return text

    def _not_text(self, node: Node, key: str) -> bool:
        self.problems.add(node.place, "wrong-shape", f"'{key}' takes plain text here, not a list or a mapping")
        return False


def plain_number(text: str) -> float | None:
    """`text` as a finite number in plain digits, or None ('nan', 'inf', '1_000' are not)."""
    return float(text) if _NUMBER.fullmatch(text) else None


def _a(kind: str) -> str:
    return f"an {kind}" if kind[:1] in "aeiou" else f"a {kind}"
