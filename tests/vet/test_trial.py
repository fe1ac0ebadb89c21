"""Every shipped book tried: its examples, and every case; and what is told where one does not hold."""

from __future__ import annotations

import json
import shutil
from functools import cache
from pathlib import Path

import pytest

from diagnose.case.from_yaml import case_from_text, read_case
from diagnose.pipeline import Bench
from diagnose.rulebook.find import list_books
from diagnose.vet.trial import CaseTrial, ExampleTrial, Trial, try_case, try_examples
from diagnose.vet.trial_shown import as_json, text
from diagnose.yamlfile import InputError

TOP = Path(__file__).parents[2]
USUAL = "passenger-car"
CASES = sorted((TOP / "cases").rglob("*.yaml"))
THEMES = [
    pytest.param(folder, path.stem, id=f"{folder.name}-{path.stem}")
    for folder in list_books()
    for path in sorted((folder / "rules").glob("*.yaml"))
]
HEAD = "id: c\ndate: 2026-03-12\ntitle: t\nbook: small\n"


@cache
def bench(folder: Path) -> Bench:
    return Bench(folder, "plain")


@cache
def examples(folder: Path) -> tuple[ExampleTrial, ...]:
    return try_examples(bench(folder).book, bench(folder).rules)


@cache
def tried(path: Path) -> tuple[CaseTrial, ...]:
    case = read_case(path, path.name)
    folder = next(folder for folder in list_books() if folder.name == (case.book or USUAL))
    return try_case(case, bench(folder))


@pytest.mark.parametrize(("folder", "theme"), THEMES)
def test_the_examples_of_the_shipped_books_hold(folder: Path, theme: str) -> None:
    rules = {name for name, rule in bench(folder).book.rules.items() if rule.theme == theme}
    assert rules
    assert [str(p) for each in examples(folder) if each.rule in rules for p in each.problems] == []


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_case_meets_what_it_expects(path: Path) -> None:
    trials = tried(path)
    assert all(trial.as_expected is not None for trial in trials), "a visit expects nothing"
    assert [str(problem) for trial in trials for problem in trial.problems] == []


@pytest.mark.parametrize("folder", list_books(), ids=lambda folder: folder.name)
def test_every_rule_fires_in_a_case_or_an_example(folder: Path) -> None:
    cases = tuple(t for path in CASES if (read_case(path).book or USUAL) == folder.name for t in tried(path))
    trial = Trial(bench(folder).book, examples(folder), cases)
    assert trial.never_fired == ()
    assert len(trial.examples) >= 2 * len(trial.book.rules)


@pytest.fixture
def small(mended: Path, tmp_path: Path) -> Path:
    """The mended small book, with a near miss that is far enough away."""
    folder = tmp_path / "small"
    shutil.copytree(mended, folder)
    replace(folder, "silent: {ph: 7.2, family: organic_acid}", "silent: {ph: 8, family: organic_acid}")
    return folder


def replace(folder: Path, old: str, new: str) -> None:
    path = folder / "rules" / "ph.yaml"
    rules = path.read_text(encoding="utf-8")
    assert rules.count(old) == 1
    path.write_text(rules.replace(old, new), encoding="utf-8")


def problems(folder: Path) -> list[str]:
    own = Bench(folder, "plain", "small")
    return [str(problem) for each in try_examples(own.book, own.rules) for problem in each.problems]


def test_all_hold(small: Path) -> None:
    assert problems(small) == []


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (
            "examples: {fires: {mixture: 33 %}, silent: {mixture: 45 %}}",
            "examples: {fires: {mixture: 43 %}, silent: {mixture: 45 %}}",
            "small/rules/ph.yaml:53:23: example-fails: 'MI-1' should fire on {mixture: 43 %}, "
            "but mixture is good, not thin\n"
            "    hint: record what 'when' asks for, or change 'when'",
        ),
        (
            "examples: {fires: {level: low}, silent: {level: at_mark}}",
            "examples: {fires: {level: unknown}, silent: {level: at_mark}}",
            "small/rules/ph.yaml:61:23: example-fails: 'LE-1' should fire on {level: unknown}, "
            "but level is not known, and should be low\n"
            "    hint: record what 'when' asks for, or change 'when'",
        ),
        (
            "examples: {fires: {mixture: 33 %}, silent: {mixture: 45 %}}",
            "examples: {fires: {mixture: 33 %}, silent: {mixture: 35 %}}",
            "small/rules/ph.yaml:53:48: example-fails: 'MI-1' should be silent on {mixture: 35 %}, but fires\n"
            "    hint: change one reading so that it is",
        ),
        (
            "examples: {fires: {mixture: 33 %}, silent: {mixture: 45 %}}",
            "examples: {fires: {mixture: 33 %}, silent: {mixture: 41 %}}",
            "small/rules/ph.yaml:53:48: example-fails: 'MI-1' should be silent on {mixture: 41 %}, but may fire: "
            "mixture is thin or good, not thin\n"
            "    hint: move the reading away from the limit, or name a method that reads closer",
        ),
        (
            "examples: {fires: {mixture: 33 %}, silent: {mixture: 45 %}}",
            "examples: {fires: {mixture: 330 %}, silent: {mixture: 45 %}}",
            "small/rules/ph.yaml:53:33: impossible-value: 330 vol % is not possible for share of coolant concentrate: "
            "it lies between 0 and 100 vol %\n"
            "    hint: check the decimal point and the unit",
        ),
    ],
    ids=["not-fired", "not-known", "not-silent", "left-open", "unusable"],
)
def test_an_example_that_does_not_hold_is_told_with_its_reason(small: Path, old: str, new: str, says: str) -> None:
    replace(small, old, new)
    assert problems(small) == [says]


def test_an_instrument_named_in_an_example_reads_its_own_quantity_only(small: Path) -> None:
    replace(
        small,
        "silent: {ph: 8, family: organic_acid}",
        "silent: {ph: 7.2, method: meter, mixture: 50 %, family: organic_acid}",
    )
    assert problems(small) == []


def test_a_case_that_comes_out_otherwise(small: Path) -> None:
    own = Bench(small, "plain", "small")
    readings = "family: organic_acid\nreadings: [{quantity: thermostat, value: stuck}]\n"
    good = readings + "expect: {first: thermostat_stuck}\noutcome: {causes: [thermostat_stuck], known_by: seen}\n"
    (trial,) = try_case(case_from_text(HEAD + good, "good.yaml"), own)
    assert (trial.problems, trial.as_expected, trial.first, trial.named) == ((), True, "thermostat_stuck", True)
    assert "MO-1" in trial.fired
    bad = readings + "expect: {first: leak}\noutcome: {causes: [leak], known_by: seen}\n"
    (trial,) = try_case(case_from_text(HEAD + bad, "bad.yaml"), own)
    assert (trial.as_expected, trial.named) == (False, False)
    assert str(trial.problems[0]).startswith("bad.yaml:7:9: expectation-fails: leak should come first, but thermo")
    (silent,) = try_case(case_from_text(HEAD + readings, "silent.yaml"), own)
    assert (silent.as_expected, silent.named) == (None, None)


VISITS = """\
family: organic_acid
readings: [{quantity: level, value: low}, {quantity: ph, value: 8}, {quantity: mixture, value: 50 %}]
expect: {first: leak}
work: {service: keep, repaired: leak}
visits:
  - date: 2026-09-12
    readings: [{quantity: level, value: LEVEL}, {quantity: ph, value: 8}, {quantity: mixture, value: 50 %}]
    expect: {EXPECT}
"""


def visits(small: Path, level: str, expect: str) -> tuple[CaseTrial, ...]:
    text = HEAD + VISITS.replace("LEVEL", level).replace("EXPECT", expect)
    return try_case(case_from_text(text, "c.yaml"), Bench(small, "plain", "small"))


@pytest.mark.parametrize(
    ("level", "expect", "says"),
    [
        ("ok", "held: [leak], first: none, decision: keep", []),
        ("low", "came_back: [leak], first: leak", []),
        ("unknown", "left_open: [leak]", []),
        ("ok", "came_back: [leak]", ["the repair of leak: 'it did not hold' is expected, but it held"]),
        ("low", "held: [leak]", ["the repair of leak: 'it held' is expected, but it did not hold"]),
        ("ok", "held: [gas]", ["the repair of gas: 'it held' is expected, but none is recorded before"]),
        ("ok", "first: leak", ["leak should come first, but no cause is listed; it is unlikely (1%)"]),
    ],
)
def test_each_visit_is_held_against_its_own_expectation(small: Path, level: str, expect: str, says: list[str]) -> None:
    first, second = visits(small, level, expect)
    assert first.problems == ()
    assert [problem.says.partition("; it is")[0] for problem in second.problems] == [
        each.partition("; it is")[0] for each in says
    ]
    assert all(str(problem.place) == "c.yaml:12:13" for problem in second.problems)
    assert (first.as_expected, second.as_expected) == (True, not says)


def test_a_visit_counts_as_one_and_is_told_by_its_date(small: Path) -> None:
    own = Bench(small, "plain", "small")
    trial = Trial(own.book, (), visits(small, "ok", "held: [leak]"))
    assert "2 of 2 visits with an expectation meet it." in text(trial)
    told = json.loads(as_json(trial))
    assert [(each["visit"], each["as_expected"]) for each in told["cases"]] == [
        ("2026-03-12", True),
        ("2026-09-12", True),
    ]


def test_a_visit_without_an_expectation_is_worked_up_but_not_judged(small: Path) -> None:
    text = HEAD + VISITS.partition("    expect")[0].replace("LEVEL", "ok")
    first, second = try_case(case_from_text(text, "c.yaml"), Bench(small, "plain", "small"))
    assert (first.as_expected, second.as_expected) == (True, None)
    assert second.first == "none"


def test_a_repair_of_a_cause_that_the_book_does_not_know_is_named(small: Path) -> None:
    with pytest.raises(InputError, match=r"c\.yaml:12:21: unknown-name: no cause is called 'leek'"):
        visits(small, "ok", "held: [leek]")


def test_a_case_that_names_what_the_book_does_not_know(small: Path) -> None:
    case = case_from_text(HEAD + "expect: {first: leek}\n", "c.yaml")
    with pytest.raises(InputError, match="did you mean 'leak'"):
        try_case(case, Bench(small, "plain", "small"))


def test_rules_that_never_fire_and_first_suspects_that_were_wrong_are_told(small: Path) -> None:
    replace(small, "fires: {mixture: 33 %}", "fires: {mixture: 43 %}")
    own = Bench(small, "plain", "small")
    case = "readings: [{quantity: thermostat, value: stuck}]\noutcome: {causes: [leak], known_by: seen}\n"
    trial = Trial(
        own.book,
        tuple(each for each in try_examples(own.book, own.rules) if each.rule not in ("LE-2", "LE-3", "SV-2")),
        try_case(case_from_text(HEAD + case, "c.yaml"), own),
        elsewhere=2,
    )
    assert trial.never_fired == ("MI-1", "LE-2", "LE-3", "SV-2")
    assert "LE-1" in trial.in_no_case
    shown = text(trial)
    assert "small/rules/ph.yaml:45:5: 'MI-1' never fired" in shown
    assert "c.yaml:6:10: the first suspect differs from the outcome: thermostat_stuck comes first" in shown
    assert "0 of 1 cases with a known outcome have it as first suspect." in shown
    assert "Left alone, since written for another book: 2." in shown
    assert '"first_is_outcome": false' in as_json(trial)
