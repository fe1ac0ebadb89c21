"""Changes to a text: the change is made, and nothing else is lost - comments, order, line ends."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.yamlfile import InputError, read_text
from diagnose.yamlfile.edit import Lines, NotEditable, content, put
from diagnose.yamlfile.scalar import scalar

CASE = """\
# written by hand
id: a        # the name
date: 2026-01-02
title: 'It''s blue'
history:   # what the owner says
  fill_age: 3 years   # he thinks
  top_up: water
  # nothing else is known
complaint: {complaint: overheats}
readings:
  - quantity: ph      # in the morning
    value: 7.2
  - {quantity: level, value: low}
  # the rest tomorrow
note: >-
  Two lines
  of text.
# the end
"""


def comments(text: str) -> list[str]:
    return [line[line.index("#") :] for line in text.splitlines() if "#" in line]


@pytest.mark.parametrize(
    ("path", "value", "line"),
    [
        (("title",), "It is: green", "title: 'It is: green'"),
        (("history", "fill_age"), "4 years", "  fill_age: 4 years   # he thinks"),
        (("history", "water_used"), "tap", "  water_used: tap"),
        (("complaint", "complaint"), "smoke", "complaint: {complaint: smoke}"),
        (("complaint", "other"), "x, y", "complaint: {complaint: overheats, other: 'x, y'}"),
        (("readings", 0, "value"), "8..9", "    value: 8..9"),
        (("readings", 0, "note"), "again", "    note: again"),
        (("readings", 1, "note"), "cold", "  - {quantity: level, value: low, note: cold}"),
        (("readings", 2), {"quantity": "look", "value": "brown"}, "  - {quantity: look, value: brown}"),
        (("state", "engine"), "warm", "  engine: warm"),
        (("family",), ["a", "b"], "  - a"),
        (("note",), "One line.", "note: One line."),
    ],
)
def test_one_change_and_nothing_else(path: tuple[str | int, ...], value: str, line: str) -> None:
    changed = put(CASE, path, value)
    assert line in changed.splitlines()
    assert comments(changed) == comments(CASE)
    kept = [each for each in CASE.splitlines() if each not in changed.splitlines()]
    assert len(kept) <= (3 if path == ("note",) else 1)  # only the line that was changed is another


def test_a_new_section_stands_where_a_person_would_look_for_it() -> None:
    changed = put(CASE, ("car", "fuel"), "diesel", ("id", "date", "title", "car", "history"))
    lines = changed.splitlines()
    assert lines[lines.index("title: 'It''s blue'") + 1 :][:2] == ["car:", "  fuel: diesel"]


def test_a_comment_further_in_stays_with_what_it_is_about() -> None:
    lines = put(CASE, ("readings", 2), {"quantity": "look", "value": "brown"}).splitlines()
    assert lines.index("  - {quantity: look, value: brown}") == lines.index("  # the rest tomorrow") + 1


def test_a_visit_is_written_one_key_a_line() -> None:
    changed = put(CASE, ("visits", 0), Lines({"date": "2026-07-01"}))
    changed = put(changed, ("visits", 0, "readings", 0), {"quantity": "ph", "value": "7"})
    assert "visits:\n  - date: 2026-07-01\n    readings:\n      - {quantity: ph, value: 7}\n" in changed


def test_the_ends_of_lines_stay_as_they_are() -> None:
    text = CASE.replace("\n", "\r\n")
    changed = put(put(text, ("readings", 2), {"quantity": "look", "value": "brown"}), ("state", "cap"), "open")
    assert changed.count("\n") == changed.count("\r\n")


def test_a_file_without_a_last_line_end() -> None:
    assert put("id: a", ("title",), "b") == "id: a\ntitle: b\n"


def test_an_indentless_list_is_added_to_as_it_is_written() -> None:
    assert put("readings:\n- a\nid: x\n", ("readings", 1), "b") == "readings:\n- a\n- b\nid: x\n"


@pytest.mark.parametrize(
    ("text", "path", "value"),
    [
        ("id: a\n", ("id", "more"), "b"),
        ("list: [a]\n", ("list",), "b"),
        ("list: [a]\n", ("list", 3), "b"),
        ("id: a\n", ("title",), "two\nlines"),
        ("id: a\n", ("title",), "a\x1bb"),
        ("{a: b,\n}\n", ("c",), "d"),
    ],
)
def test_what_can_not_be_changed_safely_is_refused(text: str, path: tuple[str | int, ...], value: str) -> None:
    with pytest.raises(NotEditable):
        put(text, path, value)


def test_a_text_that_is_no_yaml_is_refused_with_its_place() -> None:
    with pytest.raises(InputError):
        put("a: [\n", ("b",), "c")


WORDS = st.text(st.characters(categories=("L", "N", "P", "S", "Zs"), include_characters=" "), min_size=1, max_size=30)


@given(WORDS, st.booleans())
def test_any_printable_text_reads_back_as_it_was(text: str, flow: bool) -> None:
    said = f"a: {{b: {scalar(text, True)}}}" if flow else f"a: {scalar(text, False)}"
    if not text.isprintable() or text != text.strip() or "  " in text:
        return
    assert content(read_text(said, "t")) == ({"a": {"b": text}} if flow else {"a": text})


@settings(max_examples=60)
@given(st.lists(st.tuples(st.sampled_from(["readings", "history", "note", "title"]), WORDS), max_size=6))
def test_many_changes_are_each_kept_or_refused(changes: list[tuple[str, str]]) -> None:
    text, number = CASE, 2
    for where, value in changes:
        longer: dict[str, tuple[str | int, ...]] = {"readings": ("readings", number), "history": ("history", "x")}
        path = longer.get(where, (where,))
        try:
            text = put(text, path, {"quantity": value} if where == "readings" else value)
        except NotEditable:
            continue
        number += where == "readings"
    assert comments(text)[: len(comments(CASE)) - 1][0] == "# written by hand"
    assert set(comments(CASE)) <= {c for line in text.splitlines() for c in [line[line.find("#") :]] if "#" in line}
