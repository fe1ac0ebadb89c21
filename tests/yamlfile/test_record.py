"""A cursor over one mapping: reports what is wrong with its place and goes on."""

from __future__ import annotations

import pytest

from diagnose.yamlfile import InputError, Place, Problem, Problems, Record, did_you_mean, read_text, short
from diagnose.yamlfile.record import plain_number


def record(text: str) -> tuple[Record, Problems]:
    problems = Problems()
    return Record(read_text(text, "f"), problems, "thing"), problems


def found(problems: Problems) -> list[str]:
    return [f"{p.place.line}:{p.place.column} {p.check}" for p in problems]


def test_text() -> None:
    one, problems = record("a: ' x '\nb:\nc: [1]\n")
    assert one.text("a") == "x"
    assert one.text("b") == ""
    assert one.text("c") == ""
    assert one.text("d") == ""
    assert one.text("e", required=False, default="none") == "none"
    assert found(problems) == ["2:3 empty-value", "3:4 wrong-shape", "1:1 missing-key"]


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("1", 1.0), ("-1.5", -1.5), ("+2.", 2.0), (".5", 0.5), ("007", 7.0), ("1e3", None), ("nan", None),
        ("inf", None), ("1_000", None), ("1,5", None), ("0x10", None), ("", None), ("5 mL", None), ("--1", None),
        ("٣", None),
    ],
)  # fmt: skip
def test_plain_numbers(text: str, number: float | None) -> None:
    assert plain_number(text) == number


def test_numbers_choices_and_flags() -> None:
    one, problems = record("n: five\nc: wram\nf: on\ng: yes\n")
    assert one.number("n", default=3) == 3
    assert one.choice("c", ("warm", "cold"), "cold") == "cold"
    assert one.flag("f") is False
    assert one.flag("g") is True
    assert found(problems) == ["1:4 not-a-number", "2:4 unknown-choice", "3:4 unknown-choice"]
    assert [p.hint for p in problems][1] == "did you mean 'warm'? it is one of: warm, cold"


def test_lists() -> None:
    one, problems = record("a: x\nb: [x, '', y]\nc: {x: y}\nd: [[x]]\ne: []\n")
    assert [node.text for node in one.texts("a")] == ["x"]
    assert [node.text for node in one.texts("b")] == ["x", "y"]
    assert one.texts("c") == one.texts("d") == one.texts("e") == one.texts("none") == ()
    assert found(problems)[-2:] == ["3:4 wrong-shape", "4:5 wrong-shape"]


def test_records_are_closed() -> None:
    one, problems = record("list:\n  - {id: a}\n  - {idd: b}\n  - c\none: {id: d, more: e}\n")
    assert one.records("list", "entry", lambda r: r.ident()) == ("a", "", "")
    assert one.record("one", "entry", lambda r: r.ident()) == "d"
    assert one.record("none", "entry", lambda r: r.ident()) is None
    one.done()
    assert found(problems) == ["3:5 missing-key", "3:6 unknown-key", "4:5 wrong-shape", "5:14 unknown-key"]


def test_unknown_keys_bring_the_nearest_known_one() -> None:
    one, problems = record("labl: x\nzzz: y\n")
    one.text("label", required=False)
    one.done()
    assert [p.hint for p in problems] == ["did you mean 'label'?", "known keys: label"]


def test_what_is_no_mapping_is_told_once() -> None:
    one, problems = record("[a, b]")
    one.text("x"), one.number("y"), one.pairs("z", required=True)
    one.done()
    assert found(problems) == ["1:1 wrong-shape"]


def test_problems_are_sorted_and_told_once() -> None:
    late, early = Problem(Place("b", 2), "x", "late"), Problem(Place("a", 10), "x", "early", "a hint")
    error = InputError([late, early, late])
    assert error.problems == (early, late)
    assert str(error) == "a:10:1: x: early\n    hint: a hint\nb:2:1: x: late"


def test_messages_stay_on_one_line() -> None:
    problems = Problems()
    problems.add(Place("f"), "x", "a name\nover two lines", "h" * 5000)
    (problem,) = problems
    assert problem.says == "a name over two lines"
    assert len(problem.hint) == 600
    assert short("a\n" * 100).endswith("...")


def test_only_a_near_name_is_offered() -> None:
    assert did_you_mean("inhibitor_spnt", ["inhibitor_spent", "leak"]) == "did you mean 'inhibitor_spent'?"
    assert did_you_mean("rotating_fan", ["no_tasting"], "names: no_tasting") == "names: no_tasting"
