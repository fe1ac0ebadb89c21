from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.case.from_yaml import case_from_text
from diagnose.findings.from_case import find
from diagnose.findings.model import Findings
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Book

HERE = Path(__file__).parent
HEAD = "id: c\ndate: 2026-03-12\ntitle: t\n"


@pytest.fixture(scope="session")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """The small book with more.yaml, and change intervals of 2 years or 60000 km and of 5 years or 240000 km."""
    folder = tmp_path_factory.mktemp("books") / "small"
    shutil.copytree(HERE.parent / "books" / "small", folder)
    shutil.copy(HERE / "more.yaml", folder)
    head = folder / "rulebook.yaml"
    text = head.read_text("utf-8")
    for reserve, years, km in ((5, 24, 60000), (2.5, 60, 240000)):
        old = f"values: {{reserve_new_at_50: {{value: {reserve}, unit: mL, sources: [{{id: invented}}]}}"
        more = f", interval: {{value: {years}, unit: months}}, interval_distance: {{value: {km}, unit: km}}"
        assert text.count(old) == 1
        text = text.replace(old, old + more)
    head.write_text(text, "utf-8")
    return read_book(folder)


@pytest.fixture(scope="session")
def findings(book: Book) -> Callable[..., Findings]:
    """findings('ph 9..11', 'oil clean by eye', family='conventional', more='history: {...}')."""

    def make(*readings: str, family: str = "organic_acid", more: str = "") -> Findings:
        lines = [f"family: {family}", *(["readings:"] if readings else [])]
        for reading in readings:
            quantity, value = reading.split(" ", 1)
            value, _, method = value.partition(" by ")
            lines.append(f'  - {{quantity: {quantity}, value: "{value}"{f", method: {method}" if method else ""}}}')
        return find(case_from_text(HEAD + "\n".join(lines) + "\n" + more, "case.yaml"), book)

    return make
