from __future__ import annotations

import shutil
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from textwrap import dedent, indent

import pytest

from diagnose.case.model import Case
from diagnose.findings.model import Finding, Findings, Reading
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Book, Quantity
from diagnose.yamlfile import Place

SMALL = Path(__file__).parent.parent / "books" / "small"
CASE = Case("C", date(2026, 1, 1), "", "small", (), (), (), (), "", None, None, Place("case.yaml"))

Shares = Mapping[str, float]
FindingsOf = Callable[..., Findings]


@pytest.fixture(scope="session")
def small() -> Book:
    return read_book(SMALL)


@pytest.fixture
def book_with(tmp_path: Path) -> Callable[[str], Book]:
    """The small book with more rules and patterns, in the format of the books."""

    def make(more: str) -> Book:
        folder = tmp_path / "small"
        shutil.copytree(SMALL, folder)
        (folder / "rules" / "more.yaml").write_text(dedent(more))
        return read_book(folder)

    return make


def rule(name: str, when: str, does: str) -> str:
    """A rule with only what matters here."""
    text = f"""
    - id: {name}
      title: {name}
      when: {when}
      {does}
      because: It is so.
      limits: None.
      sources: [{{id: invented}}]
      examples: {{fires: {{level: low}}, silent: {{level: ok}}}}
    """
    return indent(dedent(text).strip("\n"), "  ") + "\n"


def pattern(name: str, *bands: str) -> str:
    """A pattern in words; the first band is the normal one."""
    listed = ", ".join(f"{{id: {band}, says: {band}}}" for band in bands)
    return (
        f"  - {{id: {name}, label: {name}, normal: {bands[0]}, "
        f"healthy: {{{bands[1]}: 0.1 %}}, bands: [{listed}], sources: [{{id: invented}}]}}\n"
    )


def finding(quantity: Quantity, shares: Shares | str) -> Finding:
    """`unknown`, `not_done`, one band, or bands with their shares."""
    if shares in ("unknown", "not_done"):
        return Finding(quantity, shares, (), (), None, shares, "", False, False)  # type: ignore[arg-type]
    if isinstance(shares, str):
        shares = {shares: 1.0}
    reading = Reading("", "", None, tuple(shares.get(band.id, 0.0) for band in quantity.bands), None)
    possible = tuple(band.id for band in quantity.bands if band.id in shares)
    return Finding(quantity, "known", (reading,), possible, None, "", "", False, False)


def findings_of(book: Book, families: Shares | str = "organic_acid", **recorded: Shares | str) -> Findings:
    """Findings as they would come from a case, without reading one."""
    shares = {families: 1.0} if isinstance(families, str) else families
    all_of_them = {name: finding(q, recorded[name]) for name, q in book.quantities.items() if name in recorded}
    assert all_of_them.keys() == recorded.keys()
    given = {name: each for name, each in all_of_them.items() if each.quantity.role == "given"}
    found = {name: each for name, each in all_of_them.items() if name not in given}
    return Findings(CASE, shares, found, given, {}, ())


@pytest.fixture(name="findings_of")
def _findings_of() -> FindingsOf:
    return findings_of


@pytest.fixture(name="rule")
def _rule() -> Callable[[str, str, str], str]:
    return rule


@pytest.fixture(name="pattern")
def _pattern() -> Callable[..., str]:
    return pattern
