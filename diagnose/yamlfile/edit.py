"""Changes to a YAML text that leave everything else in it as a person wrote it, comments included.

Only two things are ever done: a scalar is replaced, or something is added. The new text is read
again and must say the old content with that one change, else nothing is changed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TypeAlias

import yaml

from diagnose.yamlfile.node import ListNode, MapNode, Node
from diagnose.yamlfile.place import InputError
from diagnose.yamlfile.reader import read_text
from diagnose.yamlfile.scalar import scalar

Content: TypeAlias = "str | Mapping[str, Content] | Sequence[Content]"
Path: TypeAlias = "tuple[str | int, ...]"


class Lines(dict[str, "Content"]):
    """A mapping to be written one key a line, where an entry of a list would else stand in braces."""


class NotEditable(ValueError):
    """The text is laid out in a way this writer does not change; says so in one sentence."""


def content(node: Node) -> Content:
    """What a node says, without places."""
    if isinstance(node, MapNode):
        return {key.text: content(value) for key, value in node}
    if isinstance(node, ListNode):
        return [content(item) for item in node]
    return node.text


def put(text: str, path: Path, value: Content, order: Sequence[str] = ()) -> str:
    """`text` with `value` at `path`: replaced where a scalar stands there, else added.

    A path is keys and list positions; a position one past the end appends, and missing mappings and
    lists on the way are made. `order` tells after which top-level keys a new one is written. Raises
    InputError where the text is no YAML, NotEditable where the change can't be made safely.
    """
    before = content(read_text(text, "case"))
    wanted = _with(before, path, value)
    changed = _put(text, path, value, order)
    try:
        after = content(read_text(changed, "case"))
        _compose(changed)
    except InputError as error:
        raise NotEditable(f"the line could not be written safely: {error.problems[0].says}") from None
    if after != wanted:
        raise NotEditable("the file is laid out so that a line can't be added safely; mend it by hand")
    return changed


def _with(old: Content, path: Path, value: Content) -> Content:
    if not path:
        return value
    step, rest = path[0], path[1:]
    if isinstance(step, str):
        fields = dict(old) if isinstance(old, Mapping) else {}
        fields[step] = _with(fields.get(step, ""), rest, value)
        return fields
    items = list(old) if isinstance(old, Sequence) and not isinstance(old, str) else []
    if step > len(items):
        raise NotEditable(f"there is no entry {step} to change")
    items[step : step + 1] = [_with(items[step] if step < len(items) else "", rest, value)]
    return items


def _put(text: str, path: Path, value: Content, order: Sequence[str]) -> str:
    newline = "\r\n" if "\r\n" in text else "\n"
    node, depth = _compose(text), 0
    while depth < len(path):
        child = _child(node, path[depth])
        if child is None:
            break
        node, depth = child, depth + 1
    rest = path[depth:]
    for step in reversed(rest[1:]):
        value = {step: value} if isinstance(step, str) else [value]
    if not rest:
        return _replace(text, node, value, newline)
    return _add(text, node, rest[0], value, order if depth == 0 else (), newline)


def _compose(text: str) -> yaml.Node:
    """The nodes with marks that count in signs; the reader's own parser counts otherwise and forgives more."""
    try:
        node = yaml.compose(text, Loader=yaml.SafeLoader)
    except yaml.YAMLError as error:
        line = error.problem_mark.line + 1 if isinstance(error, yaml.MarkedYAMLError) and error.problem_mark else 1
        raise NotEditable(f"the file is laid out so that it can't be added to (line {line}); mend it by hand") from None
    assert node is not None
    return node


def _child(node: yaml.Node, step: str | int) -> yaml.Node | None:
    if isinstance(node, yaml.MappingNode) and isinstance(step, str):
        return next((value for key, value in node.value if key.value == step), None)
    if isinstance(node, yaml.SequenceNode) and isinstance(step, int) and step < len(node.value):
        child = node.value[step]
        assert isinstance(child, yaml.Node)
        return child
    return None


def _replace(text: str, node: yaml.Node, value: Content, newline: str) -> str:
    if not isinstance(node, yaml.ScalarNode) or not isinstance(value, str):
        raise NotEditable("a list or a mapping stands where one value was expected; mend it by hand")
    start, end = node.start_mark.index, _end(text, node)
    written = scalar(value, flow=True)
    if node.style in ("|", ">"):  # a comment may stand behind the sign that opens a block of text
        head = text[start:end].splitlines()[0]
        written += f"  #{head.partition('#')[2]}" if "#" in head else ""
    if text[start - 1 : start] == ":":
        written = f" {written}"
    return text[:start] + written + text[end:]


def _add(text: str, node: yaml.Node, step: str | int, value: Content, order: Sequence[str], newline: str) -> str:
    if isinstance(node, yaml.ScalarNode) or isinstance(node, yaml.MappingNode) != isinstance(step, str):
        raise NotEditable("one value stands where a list or a mapping was expected; mend it by hand")
    lines = _item(value) if isinstance(step, int) else _block(step, value)
    if isinstance(node, yaml.CollectionNode) and (node.flow_style or not node.value):
        inside = _flow(value) if isinstance(step, int) else f"{scalar(step, flow=True)}: {_flow(value)}"
        at = node.end_mark.index - 1
        return f"{text[:at].rstrip(' ')}{', ' if node.value else ''}{inside}{text[at:]}"
    indent = " " * node.start_mark.column
    at = _after(text, node, order, step)
    head = text[:at] if not at or text[:at].endswith("\n") else text[:at] + newline
    return head + "".join(f"{indent}{line}{newline}" for line in lines) + text[at:]


def _after(text: str, node: yaml.Node, order: Sequence[str], step: str | int) -> int:
    """Where a new line goes: behind the last entry, or behind the last that stands before it in `order`."""
    last = node.value[-1][1] if isinstance(node, yaml.MappingNode) else node.value[-1]
    if isinstance(node, yaml.MappingNode) and step in order:
        earlier = order[: order.index(str(step))]
        before = [value for key, value in node.value if key.value in earlier]
        last = before[-1] if before else last
    at = _line_end(text, _end(text, last))
    indented = max(1, node.start_mark.column)
    while at < len(text):  # comments that stand further in belong to the entry above them
        line = text[at : _line_end(text, at)]
        if not line.lstrip(" ").startswith("#") or len(line) - len(line.lstrip(" ")) < indented:
            break
        at += len(line)
    return at


def _line_end(text: str, at: int) -> int:
    found = text.find("\n", at)
    return len(text) if found < 0 else found + 1


def _end(text: str, node: yaml.Node) -> int:
    """Where what a node says ends, without the blank lines and comments behind it."""
    if isinstance(node, yaml.CollectionNode) and node.value and not node.flow_style:
        last = node.value[-1]
        return _end(text, last[1] if isinstance(last, tuple) else last)
    start, end = node.start_mark.index, node.end_mark.index
    return int(start + len(text[start:end].rstrip()))


def _block(key: str, value: Content) -> list[str]:
    """`key` with its value as lines; maps and lists one entry a line."""
    name = scalar(key, flow=False)
    if isinstance(value, str):
        return [f"{name}: {scalar(value, flow=False)}"]
    if isinstance(value, Mapping):
        return [f"{name}:", *(f"  {line}" for k, v in value.items() for line in _block(k, v))]
    return [f"{name}:", *(f"  {line}" for item in value for line in _item(item))]


def _item(value: Content) -> list[str]:
    if not isinstance(value, Lines):
        return [f"- {_flow(value)}"]
    first, *rest = [line for key, each in value.items() for line in _block(key, each)]
    return [f"- {first}", *(f"  {line}" for line in rest)]


def _flow(value: Content) -> str:
    if isinstance(value, str):
        return scalar(value, flow=True)
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{scalar(k, flow=True)}: {_flow(v)}" for k, v in value.items()) + "}"
    return "[" + ", ".join(_flow(item) for item in value) + "]"
