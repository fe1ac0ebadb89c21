from __future__ import annotations

from datetime import date
from pathlib import Path

from diagnose.case.from_yaml import case_from_text, read_case
from diagnose.yamlfile import Place

FULL = """\
id: c-001
date: 2026-03-12
title: White van, thin and low
book: small
family: [OAT, conventional]
car: {fuel: diesel}
system:
  coldest_expected: -25 degC
history: {cleaner_used: none}
complaint: overheats
state: {engine: warm}
readings:
  - {quantity: ph, value: 9..11, method: pad, note: under the lamp}
  - quantity: level
    value: low
note: invented
expect:
  first: leak
  followers: [diluted]
  includes: worn
  excludes: [gas]
  decision: correct
  next: [look_at_level, ph_meter]
outcome: {causes: [leak, diluted], known_by: seen at the clip}
"""


def test_a_full_case() -> None:
    case = case_from_text(FULL, "c.yaml")
    assert (case.id, case.date, case.title, case.book) == (
        "c-001",
        date(2026, 3, 12),
        "White van, thin and low",
        "small",
    )
    assert [named.name for named in case.families] == ["OAT", "conventional"]
    assert [(entry.section, entry.name, entry.text) for entry in case.givens] == [
        ("car", "fuel", "diesel"),
        ("system", "coldest_expected", "-25 degC"),
        ("history", "cleaner_used", "none"),
        ("complaint", "complaint", "overheats"),
    ]
    assert [(entry.name, entry.text) for entry in case.state] == [("engine", "warm")]
    first, second = case.readings
    assert (first.name, first.text, first.method, first.note) == ("ph", "9..11", "pad", "under the lamp")
    assert (second.name, second.text, second.method) == ("level", "low", "")
    assert case.expect is not None
    assert case.expect.first is not None
    assert case.expect.first.name == "leak"
    assert [named.name for named in case.expect.includes] == ["worn"]
    assert [named.name for named in case.expect.next] == ["look_at_level", "ph_meter"]
    assert case.expect.impossible == ()
    assert case.outcome is not None
    assert [named.name for named in case.outcome.causes] == ["leak", "diluted"]


def test_every_entry_knows_its_places() -> None:
    case = case_from_text(FULL, "c.yaml")
    first, second = case.readings
    assert (first.name_place, first.place, first.method_place) == (
        Place("c.yaml", 13, 16),
        Place("c.yaml", 13, 27),
        Place("c.yaml", 13, 42),
    )
    assert second.place == Place("c.yaml", 15, 12)
    assert case.givens[1].place == Place("c.yaml", 8, 21)
    assert case.givens[1].name_place == Place("c.yaml", 8, 3)
    assert case.expect is not None
    assert case.expect.next[1].place == Place("c.yaml", 23, 25)


def test_the_least_a_case_needs() -> None:
    case = case_from_text("id: c\ndate: 2026-03-12\ntitle: t\n", "c.yaml")
    assert case.families == case.givens == case.readings == case.state == ()
    assert case.expect is None
    assert case.outcome is None


def test_unknown_family_is_no_family() -> None:
    assert case_from_text("id: c\ndate: 2026-03-12\ntitle: t\nfamily: unknown\n", "c.yaml").families == ()


def test_values_stay_as_written() -> None:
    """`on`, `012`, `1e3` and a date are text to us, whatever YAML makes of them."""
    text = "id: 012\ndate: 2026-03-12\ntitle: on\nhistory: {a: yes, b: 012, c: 2026-01-02, d: ~, e: 1_000}\n"
    case = case_from_text(text, "c.yaml")
    assert (case.id, case.title) == ("012", "on")
    assert [entry.text for entry in case.givens] == ["yes", "012", "2026-01-02", "~", "1_000"]


def test_a_file_is_named_as_asked(tmp_path: Path) -> None:
    path = tmp_path / "c.yaml"
    path.write_text("\ufeff" + FULL, "utf-8")
    assert read_case(path, "cases/c.yaml").readings[1].place == Place("cases/c.yaml", 15, 12)
    assert read_case(path).place.file == str(path)
