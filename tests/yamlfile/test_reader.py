"""Text to nodes: everything stays text with its place, and what could surprise is refused with a place."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from diagnose.yamlfile import InputError, ListNode, MapNode, Node, Place, TextNode, read_file, read_text
from diagnose.yamlfile import reader as reader_module


@pytest.fixture(params=["with libyaml", "without"])
def loader(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """PyYAML may come with libyaml or without; both must read alike."""
    if request.param == "without":
        monkeypatch.setattr(reader_module, "_Loader", yaml.SafeLoader)
    return str(request.param)


def refused(text: str) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_text(text, "f")
    return [f"{p.place.line}:{p.place.column} {p.check}" for p in caught.value.problems]


def texts(node: Node) -> list[tuple[str, int, int]]:
    """Every text in the order of the file, with line and column."""
    if isinstance(node, TextNode):
        return [(node.text, node.place.line, node.place.column)]
    if isinstance(node, ListNode):
        return [found for item in node for found in texts(item)]
    return [found for key, value in node for one in (key, value) for found in texts(one)]


def test_values_stay_text(loader: str) -> None:
    # The YAML 1.1 types that its core schema makes of these words (yaml.org/type) are not made.
    words = ["on", "no", "012", "1e3", "1_000", "2026-01-02", "~", "null", ".inf", "12:30:45", "0x1F", "<<"]
    node = read_text("".join(f"- {word}\n" for word in words), "f")
    assert [text for text, _, _ in texts(node)] == words


def test_every_value_knows_its_place(loader: str) -> None:
    node = read_text('a: one\nb:\n  - {c: "two", d: [three]}\n', "f")
    assert texts(node) == [
        ("a", 1, 1), ("one", 1, 4), ("b", 2, 1), ("c", 3, 6), ("two", 3, 9), ("d", 3, 16), ("three", 3, 20),
    ]  # fmt: skip
    assert isinstance(node, MapNode)
    assert node.place == Place("f", 1, 1)


def test_line_ends_of_any_kind_give_the_same_places() -> None:
    text = "a: one\nb: two\n"
    assert texts(read_text(text.replace("\n", "\r\n"), "f")) == texts(read_text(text, "f"))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", ["1:1 empty"]),
        ("# only a comment\n", ["1:1 empty"]),
        ("a: 1\n---\nb: 2\n", ["2:1 two-documents"]),
        ("a: 1\na: 2\na: 3\n", ["2:1 duplicate-key", "3:1 duplicate-key"]),
        ("{a: 1, b: {c: 1, c: 2}}", ["1:18 duplicate-key"]),
        ("[1, 2]: x\n", ["1:1 bad-key"]),
        ("? {a: b}\n: x\n", ["1:3 bad-key"]),
        ("a: !!python/object:os.system x\n", ["1:4 tag"]),
        ("!mine\na: b\n", ["1:1 tag"]),
        ("a: &x 1\nb: *x\n", ["1:4 alias", "2:4 alias"]),
        ("a: [&x 1]\n<<: *x\n", ["1:5 alias", "2:5 alias"]),
        ("a: \x07\n", ["1:4 control-character"]),
        ("a: \x0c\n", ["1:4 control-character"]),
        ("a: \x85b\n", ["1:4 control-character"]),
        ("a: \u2028b\n", ["1:4 control-character"]),
        ("a: \u202eb\n", ["1:4 control-character"]),
        ("a: b\rc: d\n", ["1:5 control-character"]),
        ("a: \ud800\n", ["1:4 control-character"]),
        ("\ufeffa: b\n", ["1:1 control-character"]),
        ('a: "\\e[2J"\n', ["1:4 control-character"]),
        ("a:\n\tb: 1\n", ["2:1 syntax"]),
        ("a: 'open\n", ["2:1 syntax"]),
        ("a: b: c\n", ["1:5 syntax"]),
        ("a: [1\nb: 2\n", ["2:2 syntax"]),
        ("a: @b\n", ["1:4 syntax"]),
        ("a: 1\n b: 2\n", ["2:3 syntax"]),
    ],
)
def test_what_is_refused(text: str, expected: list[str], loader: str) -> None:
    found = refused(text)
    if loader == "without" and expected[0].endswith("syntax"):
        assert [line.split()[1] for line in found] == ["syntax"]  # the pure parser marks other columns
    else:
        assert found == expected


@pytest.mark.parametrize(
    "text",
    [
        "a:\n\tb: 1\n", "a: 'open\n", "a: b: c\n", "a: [1\nb: 2\n", "a: [1 2\n", "a: {b: 1\n", "a: @b\n",
        "a: 1\n b: 2\n", "a: 1\n- b\n", "- a\nb: 1\n", "a: ]\n", "a: [1,,2]\n", 'a: "\\q"\n', "a: & b\n", "a: *\n",
        "a: %b\n", "a: `b`\n",
        "a\nb: 1\n", "a: |x\n", "a: !<x\n", "%YAML 9\n---\na: 1\n", "a: 1\n...\nb: 2\n", "- - a\n - b\n",
    ],
)  # fmt: skip
def test_syntax_errors_are_told_in_plain_words(text: str, loader: str) -> None:
    with pytest.raises(InputError) as caught:
        read_text(text, "f")
    (problem,) = caught.value.problems
    if problem.check == "syntax":
        assert problem.hint
        for jargon in ("token", "block end", "scanning", "parsing", "expected <"):
            assert jargon not in problem.says


def test_a_file_that_is_missing_or_a_folder_or_not_text(tmp_path: Path) -> None:
    (tmp_path / "bytes.yaml").write_bytes(b"a: b\nc: \xff\xfe\n")
    (tmp_path / "utf16.yaml").write_bytes("a: b\n".encode("utf-16"))
    (tmp_path / "bom.yaml").write_bytes(b"\xef\xbb\xbfa: b\n")
    (tmp_path / "big.yaml").write_bytes(b"#" * 50_000_000)
    for name, check in (
        ("none.yaml", "no-such-file"), (".", "not-a-file"), ("bytes.yaml", "not-text"), ("utf16.yaml", "not-text"),
        ("big.yaml", "too-large"), ("x" * 5000, "unreadable"), ("a\0b", "unreadable"),
    ):  # fmt: skip
        with pytest.raises(InputError) as caught:
            read_file(tmp_path / name, "f")
        assert [problem.check for problem in caught.value.problems] == [check]
    assert texts(read_file(tmp_path / "bom.yaml", "f"))[0] == ("a", 1, 1)


def test_a_file_that_cannot_be_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def denied(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", denied)
    with pytest.raises(InputError, match="can't be read: Permission denied"):
        read_file(tmp_path / "f.yaml")
