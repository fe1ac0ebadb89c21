"""Text to nodes. The one home of PyYAML's reader.

Values are never resolved to YAML types (`on`, `012`, `2026-01-02` stay text), equal keys,
tags, anchors and aliases are refused, and size and depth are bounded, so that no file can
hang the program or change its meaning without a word.
"""

from __future__ import annotations

from collections.abc import Iterable
from operator import attrgetter
from pathlib import Path

import yaml
from yaml.events import (
    AliasEvent,
    CollectionEndEvent,
    CollectionStartEvent,
    DocumentStartEvent,
    MappingStartEvent,
    ScalarEvent,
)

from diagnose.yamlfile.node import ListNode, MapNode, Node, TextNode
from diagnose.yamlfile.place import InputError, Place, Problem, Problems, short
from diagnose.yamlfile.syntax import syntax_in_words

MAX_BYTES = 2_000_000
MAX_DEPTH = 40
MANY = 100
"""A file with this many mistakes in its YAML is not read to its end."""

_text_of = attrgetter("text")
_ALLOWED = "\t\u00a0\u00ad\u202f\u2009"

_Loader: type = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


def read_file(path: Path, shown_as: str | None = None, max_bytes: int = MAX_BYTES) -> Node:
    """Read one YAML file of at most `max_bytes`; `shown_as` is how places name it. Raises InputError."""
    name = shown_as or str(path)
    start = Place(name)
    try:
        if path.is_dir():
            raise InputError([Problem(start, "not-a-file", "this is a folder, not a file")])
        with path.open("rb") as file:
            raw = file.read(max_bytes + 1)  # never more, whatever the file claims its size to be
    except FileNotFoundError:
        raise InputError([Problem(start, "no-such-file", "there is no such file")]) from None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "its name is not usable"
        raise InputError([Problem(start, "unreadable", f"the file can't be read: {why}")]) from None
    _refuse_size(len(raw), max_bytes, start)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        says = "this is not text in UTF-8"
        raise InputError([Problem(Place(name, line), "not-text", says, "save the file as UTF-8 text")]) from None
    return read_text(text, name, max_bytes)


def read_text(text: str, name: str, max_bytes: int = MAX_BYTES) -> Node:
    """Read YAML text; `name` stands for the file in every place. Raises InputError."""
    _refuse_size(len(text), max_bytes, Place(name))
    problems = Problems(limit=MANY)
    _refuse_controls(text, name, problems)
    problems.stop_if_any()
    node = _Builder(name, problems).build(text)
    problems.stop_if_any()
    return node


def _refuse_size(size: int, max_bytes: int, start: Place) -> None:
    if size > max_bytes:
        limit = f"{max_bytes // 1_000_000} MB" if max_bytes >= 1_000_000 else f"{max_bytes // 1_000} kB"
        says, hint = f"the file is larger than {limit}", "split it into several files"
        raise InputError([Problem(start, "too-large", says, hint)])


def _refuse_controls(text: str, name: str, problems: Problems) -> None:
    for number, whole in enumerate(text.split("\n"), 1):
        line = whole.removesuffix("\r")
        if line.isprintable():
            continue
        for column, char in enumerate(line, 1):
            # Cc: control; Cf: direction overrides and the like, which make a line read as it isn't
            if not char.isprintable() and char not in _ALLOWED:
                says = f"a character that does not print stands here (U+{ord(char):04X})"
                problems.add(Place(name, number, column), "control-character", says, "delete it")
                break


def _tag(tag: str) -> str:
    return short(tag.replace("tag:yaml.org,2002:", "!!"))


class _Builder:
    """Builds nodes straight from parser events: one pass, no recursion, nothing resolved.

    The loop in `_take_all` runs once for every word of a book and is written for speed:
    a book is read at every start of the program.
    """

    def __init__(self, name: str, problems: Problems) -> None:
        self.name = name
        self.problems = problems

    def build(self, text: str) -> Node:
        try:
            root = self._take_all(iter(_Loader(text).get_event, None))
        except yaml.MarkedYAMLError as error:
            mark = error.problem_mark or error.context_mark
            place = Place(self.name, mark.line + 1, mark.column + 1) if mark else Place(self.name)
            if "nesting depth" in (error.problem or ""):  # libyaml has a bound of its own, and looks ahead
                raise InputError([self._too_deep(place)]) from None
            says, hint = syntax_in_words(error.problem or "", text, place)
            raise InputError([Problem(place, "syntax", says, hint)]) from None
        except yaml.YAMLError as error:
            says = f"this is not YAML: {str(error).splitlines()[0]}"
            raise InputError([Problem(Place(self.name), "syntax", says)]) from None
        if root is None:
            says, hint = "the file is empty", "rulebooks/README.md shows what belongs in it"
            raise InputError([Problem(Place(self.name), "empty", says, hint)])
        return root

    def _take_all(self, events: Iterable[yaml.Event]) -> Node | None:
        name = self.name
        top: list[Node] = []
        items = top
        waiting: list[tuple[bool, Place, list[Node]]] = []  # collections whose end has not come yet
        new = tuple.__new__  # half the price of a named tuple's own way
        for event in events:
            if isinstance(event, ScalarEvent):
                mark = event.start_mark
                place = new(Place, (name, mark.line + 1, mark.column + 1)) if mark else Place(name)
                value = event.value
                if event.tag is not None or event.anchor is not None:
                    self._refuse_marks(event, place)
                if event.style == '"' and not value.isprintable():
                    self._refuse_escapes(value, place)
                items.append(new(TextNode, (value, place)))
            elif isinstance(event, CollectionStartEvent):
                place = self._place(event)
                if event.tag is not None or event.anchor is not None:
                    self._refuse_marks(event, place)
                if len(waiting) == MAX_DEPTH:
                    raise InputError([*self.problems, self._too_deep(place)])
                waiting.append((isinstance(event, MappingStartEvent), place, items))
                items = []
            elif isinstance(event, CollectionEndEvent):
                is_map, place, outer = waiting.pop()
                outer.append(self._mapping(items, place) if is_map else ListNode(tuple(items), place))
                items = outer
            elif isinstance(event, AliasEvent):
                says = f"'*{short(event.anchor or '')}' repeats another part of the file"
                self.problems.add(self._place(event), "alias", says, "write the value out")
                items.append(TextNode("", self._place(event)))
            elif isinstance(event, DocumentStartEvent) and top:
                place = self._place(event)
                self.problems.add(place, "two-documents", "a second document begins here", "keep one per file")
        return top[0] if top else None

    def _mapping(self, items: list[Node], place: Place) -> MapNode:
        keys = items[::2]
        words = [key for key in keys if isinstance(key, TextNode)]
        if len(set(map(_text_of, words))) == len(keys):  # every key is a word, and another one
            return MapNode(tuple(zip(words, items[1::2], strict=True)), place)
        return MapNode(self._usable(zip(keys, items[1::2], strict=True)), place)

    def _usable(self, pairs: Iterable[tuple[Node, Node]]) -> tuple[tuple[TextNode, Node], ...]:
        """What is left when keys that are no words, or stand twice, were refused."""
        found: list[tuple[TextNode, Node]] = []
        first: dict[str, TextNode] = {}
        for key, value in pairs:
            if not isinstance(key, TextNode):
                self.problems.add(key.place, "bad-key", "a key must be a word, not a list or a mapping")
            elif key.text in first:
                hint = f"the first one is in line {first[key.text].place.line}; keep one"
                says = f"'{short(key.text)}' stands twice in this mapping"
                self.problems.add(key.place, "duplicate-key", says, hint)
            else:
                first[key.text] = key
                found.append((key, value))
        return tuple(found)

    def _too_deep(self, place: Place) -> Problem:
        return Problem(place, "too-deep", f"more than {MAX_DEPTH} levels are nested here", "flatten it")

    def _refuse_marks(self, event: ScalarEvent | CollectionStartEvent, place: Place) -> None:
        if event.tag is not None:
            self.problems.add(place, "tag", f"the tag '{_tag(event.tag)}' is not used here", "delete it")
        if event.anchor is not None:
            says = f"the anchor '&{short(event.anchor)}' is not used here"
            self.problems.add(place, "alias", says, "delete it")

    def _refuse_escapes(self, text: str, place: Place) -> None:
        r"""A quoted text can spell a control character, such as "\e[2J", that the raw line doesn't show."""
        for char in text:
            if not char.isprintable() and char not in _ALLOWED and char != "\n":
                says = f"this text spells a character that does not print (U+{ord(char):04X})"
                self.problems.add(place, "control-character", says, "delete it")
                break

    def _place(self, event: yaml.Event) -> Place:
        mark = event.start_mark
        return Place(self.name, mark.line + 1, mark.column + 1) if mark else Place(self.name)
