"""What is known while a book is being read: every id with its place, the scales, the quantities."""

from __future__ import annotations

from dataclasses import dataclass, field

from diagnose.fluid.units import find_unit, unit_names
from diagnose.rulebook.files import Sections
from diagnose.rulebook.model import Excuse, Family, Quantity, Scale, Word
from diagnose.rulebook.words import read_word
from diagnose.yamlfile import MapNode, Node, Place, Problems, Record, TextNode, short

KINDS = {
    "state": ("states",),
    "source": ("sources",),
    "family": ("families",),
    "quantity": ("quantities", "givens", "derived", "patterns"),
    "cause": ("causes",),
    "test": ("tests",),
    "service": ("services",),
    "caution": ("cautions",),
    "entry": ("entries",),
    "misconception": ("misconceptions",),
    "lesson": ("lessons",),
    "rule": ("rules",),
}
"""The kinds of things that have ids, and the lists in which they stand."""

NOT_AS_ID = {"family", "method", "unknown"}
"""Words that have a meaning of their own in conditions, examples or cases."""


_NO_WORDS = Scale(())


@dataclass(slots=True)
class Known:
    problems: Problems
    ids: dict[str, dict[str, Place]]
    complete: bool
    how_often: Scale = _NO_WORDS
    how_common: Scale = _NO_WORDS
    families: dict[str, Family] = field(default_factory=dict)
    quantities: dict[str, Quantity] = field(default_factory=dict)
    excused: list[Excuse] = field(default_factory=list)

    def name(self, kind: str, node: TextNode) -> str:
        """The id at `node`, which must name a `kind` of this book."""
        name = node.text.strip()
        told = kind != "state" and not self.ids[kind]  # a list that must be there is missing: that is said once
        if name not in self.ids[kind] and self.complete and not told:
            self.problems.unknown_name(node.place, kind, name, self.ids[kind], self._listed(kind))
        return name

    def names(self, kind: str, nodes: tuple[TextNode, ...]) -> tuple[str, ...]:
        """The ids at `nodes`, none of them twice."""
        found: list[str] = []
        for node in nodes:
            name = self.name(kind, node)
            if name in found:
                self.problems.add(node.place, "listed-twice", f"'{name}' stands twice in this list", "delete one")
            else:
                found.append(name)
        return tuple(found)

    def named(self, record: Record, key: str, kind: str, required: bool = False) -> str:
        """The id under `key`, or '' where it is left out."""
        text = record.text(key, required)
        return self.name(kind, TextNode(text, record.place_of(key))) if text else ""

    def word(self, record: Record, key: str, scale: Scale, *, whole: bool = False) -> Word:
        """The frequency under `key`, which must be there."""
        node = record.node(key, required=True)
        word = read_word(node, scale, self.problems, whole=whole) if node is not None else None
        return word or Word("", 0.0, record.place)

    def unit(self, record: Record, key: str = "unit", required: bool = True) -> str:
        """The unit under `key`, by the one name that books use for it."""
        text = record.text(key, required)
        if text and find_unit(text) != text:
            name = find_unit(text)
            hint = f"write '{name}'" if name else f"units are: {', '.join(unit_names())}"
            self.problems.add(record.place_of(key), "unknown-unit", f"books know no unit '{short(text)}'", hint)
        return text

    def _listed(self, kind: str) -> str:
        files = sorted({place.file for place in self.ids[kind].values()})
        if len(files) > 3:
            files = [*files[:3], "other files"]
        return " and ".join([", ".join(files[:-1]), files[-1]] if len(files) > 1 else files)


def gather_ids(sections: Sections, problems: Problems) -> dict[str, dict[str, Place]]:
    """Every id of the book with its place; ids that stand twice are refused."""
    ids: dict[str, dict[str, Place]] = {}
    for kind, lists in KINDS.items():
        ids[kind] = {}
        for key in lists:
            for node in sections.lists[key]:
                _gather(node, kind, ids[kind], problems)
    return ids


def _gather(node: Node, kind: str, ids: dict[str, Place], problems: Problems) -> None:
    name = id_of(node)
    if name is None:
        return
    if name.text in ids:
        hint = f"the first one is at {ids[name.text]}; give this one another id"
        problems.add(name.place, "duplicate-id", f"two entries have the id '{name.text}'", hint)
    else:
        ids[name.text] = name.place
    if name.text in NOT_AS_ID and kind in ("quantity", "family"):
        problems.add(name.place, "bad-id", f"'{name.text}' has a meaning of its own", "choose another id")


def id_of(node: Node) -> TextNode | None:
    """The value of the key `id`, where it is text."""
    if isinstance(node, MapNode):
        for key, value in node:
            if key.text == "id" and isinstance(value, TextNode):
                return TextNode(value.text.strip(), value.place)
    return None
