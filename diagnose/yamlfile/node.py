"""What a YAML file holds once read: maps, lists and text, each with its place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

from diagnose.yamlfile.place import Place


class TextNode(NamedTuple):
    """A scalar, always as the text that stands in the file (never a bool, number or date)."""

    text: str
    place: Place


@dataclass(frozen=True, slots=True)
class ListNode:
    items: tuple[Node, ...]
    place: Place

    def __iter__(self) -> Iterator[Node]:
        return iter(self.items)


@dataclass(frozen=True, slots=True)
class MapNode:
    """A mapping in the order of the file; keys are text with a place of their own."""

    pairs: tuple[tuple[TextNode, Node], ...]
    place: Place

    def __iter__(self) -> Iterator[tuple[TextNode, Node]]:
        return iter(self.pairs)


Node: TypeAlias = TextNode | ListNode | MapNode
