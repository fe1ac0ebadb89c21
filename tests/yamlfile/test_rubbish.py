"""Whatever stands in a file: nodes or InputError, within a moment."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from diagnose.yamlfile import InputError, ListNode, MapNode, Node, Problem, TextNode, read_file, read_text

FRAGMENTS = st.sampled_from(
    ["a", "b: ", "- ", "? ", ": ", "[", "]", "{", "}", ",", "\n", "\n  ", "\n    ", "\t", "'", '"', "#", " #", "&x ",
     "*x", "!", "!!str ", "|", ">", ">-", "|+2", "%", "%YAML 1.1\n", "---", "...", "@", "`", "\\", "\\x", "<<: ", "~",
     "é", "\u2028", "\x00", "\x07", "\r", "\r\n", "\ufeff", "=", "0x", "👍"]
)  # fmt: skip


def problems_of(text: str) -> tuple[Problem, ...]:
    """What is wrong with the text; every node is looked at where nothing is."""
    try:
        check(read_text(text, "f"))
    except InputError as error:
        assert error.problems  # noqa: PT017
        return error.problems
    return ()


def nodes_or_problems(text: str) -> None:
    for problem in problems_of(text):
        assert problem.place.line >= 1
        assert problem.place.column >= 1
        assert problem.says.isprintable()
        assert problem.hint.isprintable()


def check(node: Node) -> None:
    assert isinstance(node, TextNode | ListNode | MapNode)
    for item in () if isinstance(node, TextNode) else node:
        for part in item if isinstance(item, tuple) and not isinstance(item, TextNode) else (item,):
            check(part)


@settings(max_examples=400, deadline=None)
@given(st.lists(FRAGMENTS, max_size=40).map("".join))
@example("? [a\n")
def test_fragments_of_yaml(text: str) -> None:
    nodes_or_problems(text)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=200))
def test_any_text(text: str) -> None:
    nodes_or_problems(text)


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    path = tmp_path_factory.getbasetemp() / "any.yaml"
    path.write_bytes(data)
    try:
        node = read_file(path, "f")
    except InputError:
        return
    check(node)


@pytest.mark.parametrize(
    ("text", "checks"),
    [
        ("[" * 100_000, {"too-deep"}),
        ("{a: " * 100_000, {"too-deep"}),
        ("- " * 100_000, {"too-deep"}),
        ("".join(f"{' ' * i}a:\n" for i in range(1500)), {"too-deep"}),
        # Nine levels of ten repeats each would stand for a thousand million values.
        ("a0: &a0 x\n" + "".join(f"a{i}: &a{i} [{', '.join(10 * [f'*a{i - 1}'])}]\n" for i in range(1, 10)), {"alias"}),
        ("a: &a [*a]\n", {"alias"}),
        ("k: v\n" * 200_000, {"duplicate-key"}),
        ("a: !!binary x\n" * 100_000, {"tag"}),
        ("\x07\n" * 500_000, {"control-character"}),
        ("a" * 1_900_000, set()),
        ("a: " + "'" * 1_900_001, {"syntax"}),
        ("? " * 100_000, {"too-deep"}),
        ("a: |\n" + " x\n" * 600_000, set()),
        ("".join(f"k{i}: v\n" for i in range(150_000)), set()),
    ],
    ids=range(14),
)
def test_bombs_are_refused(text: str, checks: set[str]) -> None:
    """A second each on a quiet machine; a test is not the place to time it."""
    found = problems_of(text)
    assert {problem.check for problem in found} == checks
    assert len(found) <= 100
