"""rulebooks/README.md is the template an author works from: its blocks are a book, and it names every key."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from diagnose.firings.from_findings import RuleEngine
from diagnose.rulebook.check_book import FIXED_SERVICES
from diagnose.rulebook.files import LISTS, SINGLE
from diagnose.rulebook.formula import OPERATORS
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.read_quantity import THROUGH
from diagnose.vet.from_book import vet
from diagnose.vet.trial import try_examples
from diagnose.yamlfile import Node, Record

README = Path(__file__).parents[2] / "rulebooks" / "README.md"
TEXT = README.read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```yaml\n(.*?)^```$", TEXT, re.DOTALL | re.MULTILINE)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The README's blocks as a book, one file for each, as the README says."""
    book = tmp_path / "my-workshop"
    book.mkdir()
    for number, block in enumerate(BLOCKS):
        name = "rulebook.yaml" if block.startswith("rulebook:") else f"part{number}.yaml"
        (book / name).write_text(block, encoding="utf-8")
    return book


def test_the_blocks_are_a_book(folder: Path) -> None:
    book = read_book(folder)
    assert len(BLOCKS) >= 10
    assert book.excused
    for name in set(LISTS) - {"givens", "derived", "patterns"}:
        assert getattr(book, name), name


def test_every_key_stands_in_the_blocks(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    known: dict[str, set[str]] = {}
    node = Record.node

    def noted(self: Record, key: str, required: bool = False) -> Node | None:
        known.setdefault(self.kind, set()).add(key)
        return node(self, key, required)

    monkeypatch.setattr(Record, "node", noted)
    read_book(folder)
    assert len(known) > 15
    written = set(re.findall(r"([a-z_]+):", "\n".join(BLOCKS)))
    for kind, keys in known.items():
        assert keys <= written, kind
    assert {*LISTS, *SINGLE} <= written


def test_required_keys_are_marked(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A key of the first entry in each list is marked (must) exactly where the reader demands it."""
    demanded: dict[str, set[str]] = {}
    node = Record.node

    def noted(self: Record, key: str, required: bool = False) -> Node | None:
        if required:
            demanded.setdefault(self.kind, set()).add(key)
        return node(self, key, required)

    monkeypatch.setattr(Record, "node", noted)
    read_book(folder)
    sections = {
        "rulebook": "rulebook", "source": "sources", "family": "families", "cause": "causes", "test": "tests",
        "service": "services", "rule": "rules", "misconception": "misconceptions",
    }  # fmt: skip
    for kind, name in sections.items():
        block = next(block for block in BLOCKS if block.startswith(f"{name}:"))
        entry = re.split(r"\n  - |\n\w", block.removeprefix(f"{name}:\n").removeprefix("  - "))[0]
        lines = re.findall(r"^(?:  |    )?([a-z_]+):(.*)$", entry, re.MULTILINE)
        marked = {key for key, rest in lines if "(must)" in rest}
        assert marked == demanded[kind], kind


def test_choices_and_operators_are_named() -> None:
    for word in (*OPERATORS, *FIXED_SERVICES, *THROUGH):
        assert word in TEXT
    for words in ("standard | handbook | published | common-practice | judgement", "always | opening | named"):
        assert words in TEXT


def test_what_the_examples_of_the_blocks_say_is_true(folder: Path) -> None:
    book = read_book(folder)
    assert [str(p) for each in try_examples(book, RuleEngine(book, "plain")) for p in each.problems] == []


def test_the_exception_of_the_blocks_excuses_something(folder: Path) -> None:
    assert [excuse.check for _, excuse in vet(folder, "my-workshop").excused] == ["far-miss"]
