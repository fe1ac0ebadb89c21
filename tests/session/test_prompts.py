"""Every prompt of every shipped book: what it says that it takes is taken, and it is written as people write."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from diagnose.findings.reading import NotUsable, WhichUnit
from diagnose.findings.words import NOT_DONE, UNKNOWN, find_bands
from diagnose.fluid.units import find_unit
from diagnose.pipeline import Bench
from diagnose.rulebook import model
from diagnose.rulebook.model import Book, Yield
from diagnose.session import agenda, asking, words
from diagnose.session.model import Question
from diagnose.session.session import Session

TOP = Path(__file__).parent.parent.parent
BOOKS = sorted(path.parent.name for path in (TOP / "rulebooks").glob("*/rulebook.yaml"))
IN_NUMBERS = re.compile(
    r"a (plain number|pH, such as 7\.5|number with its unit \(([^)]*)\)), or two with '\.\.' between them"
)


@cache
def bench(book: str) -> Bench:
    return Bench(TOP / "rulebooks" / book, "plain")


@cache
def begun(book: str) -> Session:
    session = Session(bench(book), "", "estate", date(2026, 3, 1))
    for typed in ("blue estate", "routine", "no", "safe", "unknown"):
        session.answer(typed)
    return session


def each_prompt() -> Iterator[tuple[str, model.Test, Yield]]:
    for name in BOOKS:
        book = bench(name).book
        for test in book.tests.values():
            for asked in agenda.asked_in(test, book):
                if asked.quantity != model.FAMILY:
                    yield name, test, asked


PROMPTS = list(each_prompt())
ALL = pytest.mark.parametrize(
    ("book", "test", "asked"), PROMPTS, ids=[f"{test.id}-{asked.quantity}-{asked.method}" for _, test, asked in PROMPTS]
)


def prompt(name: str, test: model.Test, asked: Yield) -> tuple[Question, Book]:
    session = begun(name)
    assert session.standing is not None
    return asking.value(test.id, asked, session.standing, session.book), session.book


def parts(takes: str) -> tuple[str, list[str]]:
    """What is taken in numbers ('' where nothing is), and each word."""
    found = IN_NUMBERS.match(takes)
    rest = takes[found.end() :].lstrip(", ") if found else takes
    return (found.group() if found else ""), rest.split(", ")


def spoken(words_: list[str]) -> Iterator[str]:
    """Each word, and what stands behind it in brackets."""
    for word in words_:
        first, _, second = word.partition(" (")
        yield first
        if second:
            yield second.removesuffix(")")


@ALL
def test_every_word_that_it_takes_is_taken_and_means_one_answer(book: str, test: model.Test, asked: Yield) -> None:
    question, read = prompt(book, test, asked)
    quantity = read.quantities[asked.quantity]
    _, taken = parts(question.takes.replace(", several with 'and'", ""))
    gate = asked.quantity == agenda.OPENING
    meant = [words.answer(word, quantity, in_full=gate).value for word in spoken(taken)]
    assert set(meant) == {
        *(band.id for band in quantity.bands if quantity.in_words or len(quantity.bands) > 1),
        UNKNOWN,
        NOT_DONE,
    }


@ALL
def test_a_number_shows_its_units_and_each_of_them_is_taken(book: str, test: model.Test, asked: Yield) -> None:
    question, read = prompt(book, test, asked)
    quantity = read.quantities[asked.quantity]
    in_numbers, _ = parts(question.takes)
    assert bool(in_numbers) != quantity.in_words
    if quantity.in_words:
        with pytest.raises(NotUsable):
            words.answer("44", quantity)
        assert not re.match(r"(How many|How much|How far|At what temperature|What pressure)\b", question.asks)
        return
    units = IN_NUMBERS.match(question.takes).group(2)  # type: ignore[union-attr]
    for unit in units.split(", ") if units else [""]:
        assert not unit or find_unit(unit)
        assert words.answer(f"1.5 {unit}".strip(), quantity).value == f"1.5 {unit}".strip()
        assert words.answer(f"1.5..2 {unit}".strip(), quantity).value == f"1.5..2 {unit}".strip()


@ALL
def test_no_id_stands_on_the_screen(book: str, test: model.Test, asked: Yield) -> None:
    question, _ = prompt(book, test, asked)
    for text in (question.asks, question.takes, question.label, question.before):
        assert "_" not in text


@ALL
def test_where_there_are_several_tools_each_has_a_question(book: str, test: model.Test, asked: Yield) -> None:
    """Two tools that read the same quantity are asked in different words; the second of a test is called so."""
    question, read = prompt(book, test, asked)
    quantity = read.quantities[asked.quantity]
    before = [y for y in agenda.asked_in(test, read) if y.quantity == asked.quantity]
    others = before[: before.index(asked)]
    if len(quantity.methods) < 2:
        return
    method = quantity.method(asked.method)
    assert method is not None
    assert method.ask or method.label in question.asks
    assert question.asks.startswith("Now with the other tool") == bool(others)
    session = begun(book)
    assert session.standing is not None
    for other in quantity.methods:
        if other.id != asked.method:
            instead = Yield(asked.quantity, other.id, asked.place)
            assert asking.value(test.id, instead, session.standing, read).asks != question.asks


SAYS_NO = {
    # question: (what "yes" means, what "no" means); by reading the questions, not by the program
    "hybrid": ("engine_loop", "no"),
    "oil_cooler": ("coolant_fed", "none"),
    "egr_cooler": ("fitted", "none"),
    "transmission_cooler": ("in_radiator", "none"),
    "intake_manifold": ("coolant", "dry"),
    "egr_gas_side": ("wet", "dry"),
    "cooler_bath": ("bubbles", "tight"),
    "urea_tank": ("fitted", "none"),
    "stood_still": ("months", "driven"),
    "factory_fill": ("yes", "no"),
    "new_exchanger": ("brazed_aluminium", "no"),
    "head_gasket_renewed": ("yes", "no"),
    "oil_cap": ("cream", "dry"),
    "electrics_fitted": ("yes", "no"),
    "nitrite_in_fill": ("yes", "no"),
    "fan": ("runs", "does_not_run"),
    "circulation": ("goes_round", "stands"),
    "radiator_face": ("even", "cold_patches"),
    "airflow": ("free", "blocked"),
    "ignition": ("in_order", "out"),
    "heater": ("hot", "cold_or_gurgles"),
    "thermostat": ("opens_right", ""),
    "radiator_and_bottle": ("agree", "bottle_full_radiator_low"),
    "cap_vacuum_valve": ("opens", "stuck"),
    "suction_hose": ("collapses", "firm"),
    "bubbles_after_bleeding": ("stop", "go_on"),
    "consumption": ("white_vapour", "none"),
    "foam": ("foams", "none"),
    "froth": ("froths", "none"),
    "film": ("", "none"),
    "metal_attack": ("", "none"),
    "leak_place": ("", "none"),
    "overheating": ("", "no"),
    "top_up": ("", "none"),
    "wrong_bottle": ("", "no"),
    "oil_glycol": ("found", "none"),
    "combustion_gas": ("found", "not_found"),
    "gas_with_egr_blanked": ("stays", "gone"),
    "cold_pressure_rise": ("", "none"),
    "plug_or_borescope": ("one_washed_cylinder", "dry"),
    "cooler_isolated": ("goes_on", "stops"),
    "jumper_ground": ("collapses", "no_change"),
    "two_gauges": ("agree", ""),
    "jug": ("as_labelled", ""),
    "gauge_check": ("agree", ""),
    "pressure_hold": ("holds", ""),
    "opening": ("", "not_safe"),
}


@pytest.mark.parametrize(("name", "meant"), SAYS_NO.items())
def test_yes_and_no_mean_what_the_question_asks(name: str, meant: tuple[str, str]) -> None:
    quantity = bench("passenger-car").book.quantities[name]
    for typed, band in zip(("yes", "no"), meant, strict=True):
        try:
            found = find_bands(typed, quantity, in_full=name == agenda.OPENING)
        except NotUsable:
            found = ()
        assert found == ((band,) if band else ())


def test_every_family_that_is_named_is_taken_and_no_id_is_shown() -> None:
    takes = asking.family(bench("passenger-car").book).takes
    assert "_" not in takes
    for word in takes.removesuffix(", several with 'or', unknown").split(", "):
        session = Session(bench("passenger-car"), "", "estate", date(2026, 3, 1))
        for typed in ("blue estate", "routine", "no", "safe"):
            session.answer(typed)
        assert session.question().kind == "family"
        assert session.answer(word).taken


@pytest.mark.parametrize("typed", ["none", "no", "nothing", "None", "NO"])
@pytest.mark.parametrize(
    "name", ["film", "smell", "deposits", "leak_place", "consumption", "overheating", "wrong_bottle"]
)
def test_none_and_no_are_taken_alike_everywhere(typed: str, name: str) -> None:
    quantity = bench("passenger-car").book.quantities[name]
    assert find_bands(typed, quantity) in (("none",), ("no",))


def test_no_word_of_a_question_with_yes_and_no_is_left_out_of_the_table() -> None:
    for quantity in bench("passenger-car").book.quantities.values():
        named = {word for band in quantity.bands for word in (band.id, *band.also_called)}
        if "yes" in named and quantity.role in ("reading", "given"):
            assert quantity.id in SAYS_NO


@pytest.mark.parametrize(
    ("name", "typed", "units"),
    [
        ("cap_demanded", "1.4", ("kPa", "bar", "psi")),
        ("cap_stamped", "15", ("kPa", "bar", "psi")),
        ("volts_all_off", "60", ("V", "mV")),
        ("water_hardness", "18", ("mg/L", "gpg", "degdH", "degfH", "degClark", "mmol/L")),
        ("water_hardness", "18 degrees", ("degdH", "degfH", "degClark")),
        ("water_hardness", "18 \u00b0", ("degdH", "degfH", "degClark")),
        ("coldest_expected", "-20", ("degC", "degF")),
        ("highest_temperature", "110 degrees", ("degC", "degF")),
        ("mixture", "-29 degrees", ("degC", "degF")),
        ("mixture", "-29", ("degC", "degF")),
        ("mixture", "20", ("%", "degF")),  # 20 degF is a freezing point too
        ("capacity", "7", ("L", "qt")),
        ("distance_since_fill", "30000", ("km", "mi")),
        ("fill_age", "3", ("years", "months")),
    ],
)
def test_a_number_that_may_be_of_several_units_is_not_taken(name: str, typed: str, units: tuple[str, ...]) -> None:
    with pytest.raises(WhichUnit) as refused:
        words.answer(typed, bench("passenger-car").book.quantities[name])
    assert refused.value.units == units


@pytest.mark.parametrize(
    ("name", "typed"),
    [("mixture", "44"), ("ph", "8.1"), ("vehicle_age", "9"), ("water_chloride", "30"),
     ("water_hardness", "0"), ("cap_demanded", "0"), ("reserve_alkalinity", "4.5")],
)  # fmt: skip
def test_a_number_that_can_mean_one_thing_only_needs_no_unit(name: str, typed: str) -> None:
    assert words.answer(typed, bench("passenger-car").book.quantities[name]).value == typed
