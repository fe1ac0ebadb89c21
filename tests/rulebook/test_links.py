"""Links between causes and bands: which rules may be in force at once, and what may stand beside each other."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.rulebook.formula import evidence_free
from diagnose.rulebook.from_yaml import read_book
from diagnose.yamlfile import InputError

SMALL = Path(__file__).parent.parent / "books" / "small"

GIVENS = """\
derived:
  - id: age_share
    label: age as a share of the interval
    unit: "1"
    possible: [0, 100]
    value: {ratio: [fill_age, 5]}
    normal: young
    healthy: {}
    bands: [{id: young, below: 1, says: young}, {id: old, from: 1, says: old}]
givens:
  - id: fill_age
    label: age of the fill
    under: history
    unit: years
    possible: [0, 50]
    bands: [{id: any, says: stated}]
rules:
"""


def rule(number: int, when: str, seen_with: str) -> str:
    return f"""\
  - id: NEW-{number}
    title: A rule
    when: {{{when}}}
    seen_with: {{{seen_with}}}
    because: It is so.
    limits: None known.
    sources: [{{id: invented}}]
    examples: {{fires: {{level: empty}}, silent: {{level: low}}}}
"""


def checks(tmp_path: Path, *rules: tuple[str, str]) -> list[str]:
    """What is wrong with the small book once these rules (`when`, `seen_with`) are added."""
    folder = tmp_path / "small"
    for path in SMALL.rglob("*.yaml"):
        copy = folder / path.relative_to(SMALL)
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_bytes(path.read_bytes())
    (folder / "z.yaml").write_text(GIVENS + "".join(rule(number, *one) for number, one in enumerate(rules)))
    try:
        read_book(folder)
    except InputError as error:
        return [problem.check for problem in error.problems]
    return []


def test_rules_under_givens_that_exclude_each_other_may_link_the_same(tmp_path: Path) -> None:
    assert checks(
        tmp_path,
        ("level: empty, cleaner_used: acid", "leak: 20 %"),
        ("level: empty, cleaner_used: [none, alkaline]", "leak: 10 %"),
    ) == []  # fmt: skip


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("level: empty", "level: empty"),
        ("level: empty", "level: empty, cleaner_used: acid"),
        ("level: empty, cleaner_used: [acid, none]", "level: empty, cleaner_used: [none, alkaline]"),
        ("level: empty, cleaner_used: acid", "level: empty, family: [conventional]"),
        ("level: empty, family: [conventional, organic_acid]", "level: empty, family: [organic_acid]"),
        ("level: empty, age_share: old", "level: empty, cleaner_used: acid"),
    ],
)
def test_rules_that_may_be_in_force_at_once_may_not(first: str, second: str, tmp_path: Path) -> None:
    assert checks(tmp_path, (first, "leak: 20 %"), (second, "leak: 10 %")) == ["linked-twice"]


def test_different_bands_and_different_causes_may_stand_beside_each_other(tmp_path: Path) -> None:
    assert checks(tmp_path, ("level: empty", "leak: 20 %, worn: 10 %"), ("ph: high", "leak: 1 %")) == []


# LE-1 of the small book: level low with a leak 'usually' (75 %).
@pytest.mark.parametrize(("share", "expected"), [("24.5 %", []), ("24.6 %", ["links-sum"]), ("99 %", ["links-sum"])])
def test_the_words_of_a_cause_leave_room_for_a_normal_reading(share: str, expected: list[str], tmp_path: Path) -> None:
    assert checks(tmp_path, ("level: empty", f"leak: {share}")) == expected


def test_only_links_in_force_at_once_add_up(tmp_path: Path) -> None:
    apart = (("ph: high, cleaner_used: acid", "leak: 60 %"), ("ph: low, cleaner_used: alkaline", "leak: 60 %"))
    assert checks(tmp_path / "apart", *apart) == []
    beside = (("ph: high, cleaner_used: acid", "leak: 60 %"), ("ph: low, family: [organic_acid]", "leak: 60 %"))
    assert checks(tmp_path / "beside", *beside) == ["links-sum"]


# The small book's healthy systems read low in 0.8 % of cases.
@pytest.mark.parametrize(("share", "expected"), [("0.8 %", []), ("0.79 %", ["below-baseline"])])
def test_a_cause_shows_a_band_more_often_than_healthy_systems(share: str, expected: list[str], tmp_path: Path) -> None:
    assert checks(tmp_path, ("ph: low", f"leak: {share}")) == expected


def test_what_follows_from_givens_alone_is_no_evidence(tmp_path: Path) -> None:
    assert checks(tmp_path, ("age_share: old", "worn: often")) == ["one-band-per-link"]
    book = read_book(SMALL)
    assert evidence_free(book.quantities) == {"cleaner_used", "coldest_expected"}


def test_many_links_are_judged_at_once(tmp_path: Path) -> None:
    """Many rules for one cause and quantity must not make the reader try all their combinations."""
    givens = [f"family: [{family}], cleaner_used: {word}" for family in ("conventional", "organic_acid")
              for word in ("none", "acid", "alkaline")]  # fmt: skip
    rules = [(f"ph: {band}, {one}", "leak: 40 %") for band in ("acid", "low", "high") for one in givens]
    assert set(checks(tmp_path, *rules)) == {"links-sum"}
