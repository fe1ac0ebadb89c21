"""What cards and lessons say, before it is printed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from diagnose.report.handout.lesson_sheets import cards_data, lesson_data, lessons, misconceptions_data
from diagnose.rulebook.model import Book


@pytest.fixture(scope="module")
def cards(book: Book) -> Mapping[str, Any]:
    data: Any = cards_data(book)
    return {card["id"]: card for group in data["groups"] for card in group["cards"]}


def test_a_good_figure_is_told_with_what_it_is_of(cards: Mapping[str, Any]) -> None:
    """The shares stand in the book as 0.7 to 2.1 and so on; alone, they were read as millilitres of acid."""
    assert cards["reserve_titration"]["good"][0].startswith(
        "Reserve alkalinity, as a share of what this mixture should have: 70 to 210 % for conventional; 70 to 170 % for"
    )
    assert cards["cap_test"]["good"] == ["Pressure stamped on the cap against what the maker demands: 95 to 105 %."]
    assert cards["fill_to_mark"]["good"] == ["What is missing, as a share of the capacity: below 6 %."]
    assert cards["refractometer"]["good"][1].endswith("the coldest night: 5 degC or more.")
    for card in cards.values():
        assert all(": " in good for good in card["good"]), card["id"]


def test_a_card_tells_when_its_test_is_forbidden_and_what_comes_first(book: Book, cards: Mapping[str, Any]) -> None:
    assert cards["voltage_series"]["first"] == "; ".join(book.quantities[name].label for name in ("hybrid", "level"))
    assert len(cards["voltage_series"]["not_on"]) == 2
    assert cards["thermostat_check"]["not_on"][1].startswith("Combustion gas at the filler neck: found; and pressure")
    for test in book.tests.values():
        assert len(cards[test.id]["not_on"]) == len(test.not_on)
        assert bool(cards[test.id]["first"]) == bool(test.first)


def test_cards_stand_in_the_order_of_the_book_and_none_is_lost(book: Book, cards: Mapping[str, Any]) -> None:
    assert next(iter(cards)) == "safe_to_open"
    assert list(cards) == [name for group in book.cards for name in group.tests]
    fewer: Any = cards_data(replace(book, cards=book.cards[1:]))
    assert fewer["groups"][-1]["title"] == "Other tests"
    assert {card["id"] for group in fewer["groups"] for card in group["cards"]} == set(book.tests)
    bare: Any = cards_data(replace(book, cards=()))
    assert [group["title"] for group in bare["groups"]] == [""]


def test_a_lesson_begins_with_the_themes_that_the_book_puts_first(book: Book) -> None:
    for name in lessons(book):
        data: Any = lesson_data(book, name)
        told = [theme["name"] for theme in data["themes"]]
        first = [book.theme_label(theme) for theme in book.lessons[name].themes]
        assert told[: len(first)] == first
        assert len(told) == len(set(told))
        rules = {rule["id"] for theme in data["themes"] for rule in theme["rules"]}
        assert rules == {rule.id for rule in book.rules.values() if rule.lesson == name}


def test_a_rule_tells_of_which_car_it_speaks(book: Book) -> None:
    data: Any = lesson_data(book, "1")
    rules = {rule["id"]: rule for theme in data["themes"] for rule in theme["rules"]}
    assert rules["GAT-12"]["when"] == "Cap pressure the maker demands: 130 kPa or more."
    assert rules["SAF-02"]["when"] == "Hybrid, and which loop is meant: the loop of the high-voltage parts."
    assert all(rule["when"] for rule in rules.values())


def test_every_caution_of_a_lesson_stands_with_what_it_belongs_to(book: Book) -> None:
    for name in lessons(book):
        data: Any = lesson_data(book, name)
        rules = [rule for rule in book.rules.values() if rule.lesson == name]
        tests = [book.tests[n] for n in book.tests if any(n in rule.next for rule in rules)]
        told = {rule["id"]: rule["cautions"] for theme in data["themes"] for rule in theme["rules"]}
        head = [*data["always"], *data["opening"]]
        for rule in rules:
            assert all(book.cautions[c].text in [*head, *told[rule.id]] for c in rule.cautions), rule.id
        for number, test in enumerate(tests, 1):
            for caution in (book.cautions[c] for c in test.cautions):
                lines = [line for line in data["tests_need"] if line.endswith(f": {caution.text}")]
                named = lines[0].split(":")[0].replace("and", " ").replace(",", " ").split() if lines else []
                assert caution.text in head or str(number) in named, test.id
        for service in {rule.decides for rule in rules if rule.decides}:
            for caution in (book.cautions[c] for c in book.services[service].cautions):
                assert caution.text in head or any(caution.text in line for line in data["decisions_need"])


def test_rules_of_another_lesson_are_named_with_theirs(book: Book) -> None:
    everywhere: Any = misconceptions_data(book)
    for row, each in zip(everywhere["rows"], book.misconceptions.values(), strict=True):
        for told, name in zip(row["rules"], each.rules, strict=True):
            assert told.endswith(f"(lesson {book.rules[name].lesson})")
    for lesson in lessons(book):
        here: Any = lesson_data(book, lesson)
        for told in (told for row in here["believed"] for told in row["rules"]):
            assert f"(lesson {lesson})" not in told
            assert ("(lesson " in told) == (book.rules[told.split()[0]].lesson != lesson)


def test_what_a_rule_wants_known_first_is_told(book: Book) -> None:
    for name in lessons(book):
        data: Any = lesson_data(book, name)
        told = {rule["id"]: rule["first"] for theme in data["themes"] for rule in theme["rules"]}
        for rule in (book.rules[each] for each in told):
            labels = [book.quantities[each].label for each in rule.first]
            assert all(label.casefold() in told[rule.id].casefold() for label in labels)
            assert bool(told[rule.id]) == bool(rule.first)
