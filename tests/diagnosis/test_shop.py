"""A shop's own file, the shaken book, and the steps ahead, on the shipped book."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from diagnose.case.from_yaml import read_case
from diagnose.diagnosis.shake import shaken
from diagnose.diagnosis.shop import Shop
from diagnose.diagnosis.shop_from_yaml import read_shop
from diagnose.pipeline import Bench, Wishes
from diagnose.yamlfile import InputError

TOP = Path(__file__).parent.parent.parent


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(TOP / "rulebooks" / "passenger-car", "plain")


def a_shop(tmp_path: Path, text: str, bench: Bench) -> Shop:
    path = tmp_path / "shop.yaml"
    path.write_text(text, encoding="utf-8")
    return read_shop(path, bench.book, "shop.yaml")


def test_a_test_without_its_tools_is_not_offered_and_said(tmp_path: Path, bench: Bench) -> None:
    case = read_case(TOP / "cases" / "white-van-acid.yaml")
    assert "gas_colour" in [choice.test.id for choice in bench.diagnosis(case).next_tests]
    missing = "gas tester with fresh liquid, exhaust gas analyser, gas tester or analyser"
    text = f"shop: {{title: small, missing: [{missing}], labour_rate: 90, currency: EUR}}\n"
    here = Bench(bench.book, "plain", shop=a_shop(tmp_path, text, bench)).diagnosis(case)
    assert "gas_colour" not in [choice.test.id for choice in here.next_tests]
    assert ("gas_colour", "this shop has no gas tester with fresh liquid") in [(t.id, why) for t, why in here.later]
    assert here.shop.costs(40) == "60 EUR"


def test_minutes_of_the_shop_stand_in_place_of_the_books(tmp_path: Path, bench: Bench) -> None:
    case = read_case(TOP / "cases" / "white-van-acid.yaml")
    shop = a_shop(tmp_path, "shop:\n  title: quick\n  minutes: {gas_colour: 3}\n  wait: {gas_colour: 0}\n", bench)
    found = Bench(bench.book, "plain", shop=shop).diagnosis(case)
    before = next(c.minutes for c in bench.diagnosis(case).next_tests if c.test.id == "gas_colour")
    assert next(c.minutes for c in found.next_tests if c.test.id == "gas_colour") == before - 9 - 15


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("shop: {titel: x}\n", "a shop has no key 'titel'"),
        ("shop: {title: x, missing: [lamb]}\n", "no test asks for a tool called 'lamb'"),
        ("shop: {title: x, tools: [lamp], missing: [lamp]}\n", "'tools' and 'missing' can't stand together"),
        ("shop: {title: x, minutes: {ph_metre: 3}}\n", "no test is called 'ph_metre'"),
        ("shop: {title: x, minutes: {ph_meter: -3}}\n", "'-3' is no number of minutes"),
        ("shop: {title: x, labour_rate: -1}\n", "'labour_rate' is below 0"),
        ("shop: {title: x, day_away: -1}\n", "'day_away' is below 0"),
        ("shop: {title: x, day_away: half}\n", "'half'"),
        ("shop: {title: x, currency: EUR}\n", "a currency without a labour rate says nothing"),
        ("- 1\n", "a shop file is a mapping of keys and values"),
    ],
)
def test_what_is_wrong_with_a_shop_file_is_said_with_its_place(
    tmp_path: Path, bench: Bench, text: str, says: str
) -> None:
    with pytest.raises(InputError) as error:
        a_shop(tmp_path, text, bench)
    assert says in str(error.value)
    assert "shop.yaml:1:" in str(error.value)


@pytest.mark.parametrize("factor", [1.0001, 2.0, 10.0])
def test_a_shaken_book_keeps_what_a_book_may_not_break(bench: Bench, factor: float) -> None:
    book = shaken(bench.book, factor, Random(3))
    for quantity in book.quantities.values():
        if quantity.healthy:
            assert sum(quantity.healthy.values()) == pytest.approx(1)
            assert all(share >= 0 for share in quantity.healthy.values())
    for cause in book.causes.values():
        assert 0 < cause.how_common.value < 1
        before = bench.book.causes[cause.id]
        assert before.repair.minutes / factor <= cause.repair.minutes * 1.0001 <= before.repair.minutes * factor * 1.001
    assert Bench(book, "plain").diagnosis(read_case(TOP / "cases" / "white-van-acid.yaml")).suspects


def test_hardly_shaken_nothing_changes(bench: Bench) -> None:
    case = read_case(TOP / "cases" / "pads-gone-tan.yaml")
    firm = bench.work_up(case, Wishes(shake=1.0001)).diagnosis.firmness
    assert firm is not None
    assert (firm.root, firm.decision) == (1.0, 1.0)
    assert not firm.fragile


def test_the_steps_ahead_are_what_the_answers_would_bring(bench: Bench) -> None:
    case = read_case(TOP / "cases" / "thin-and-low-no-ph-yet.yaml")
    found = bench.work_up(case, Wishes(ahead=2)).diagnosis
    ahead = found.ahead
    assert ahead is not None
    assert ahead.test.id == found.next_tests[0].test.id
    assert sum(answer.probability for answer in ahead.answers) + ahead.other == pytest.approx(1, abs=0.006)
    answer = next(answer for answer in ahead.answers if answer.then is not None)
    outlook = next(o for o in found.next_tests[0].outlook if o.answer == answer.says)
    reading = next(entry for entry in case.readings if entry.text)
    quantity = bench.book.quantities[outlook.quantity]
    told = reading._replace(name=outlook.quantity, text=outlook.band, method="", taken_at=())
    if quantity.role == "given":
        again = replace(case, givens=(*case.givens, told._replace(section=quantity.under)), state=())
    else:
        again = replace(case, readings=(*case.readings, told), state=())
    then = bench.diagnosis(again)
    first = next(suspect for suspect in then.listed() if suspect.root)
    assert first.cause.id == answer.first
    assert first.probability == pytest.approx(answer.first_probability, abs=1e-9)
