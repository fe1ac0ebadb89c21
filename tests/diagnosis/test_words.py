"""Words mean what they say: a cause alone shows each band exactly as often as its rules say."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random

import by_hand
import numpy as np
import pytest

from diagnose.diagnosis.arrays import Floats
from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.blocks import Block
from diagnose.rulebook.find import list_books
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import Book

BOOKS = (*list_books(), Path(__file__).parent.parent / "books" / "small")


def alone(block: Block, number: int, in_force: frozenset[str], cause: int | None) -> Floats:
    """P(band) of one quantity in a system with one cause, or with none."""
    tables = block.tables(in_force, [frozenset()] * len(block.quantities), frozenset())
    if cause is None or cause not in block.causes:
        return block.by_itself(tables, number, np.array([0]))[0]
    return block.by_itself(tables, number, np.array([1 + block.causes.index(cause)]))[0]


def links(book: Book) -> Iterator[tuple[str, str, str, str, float]]:
    """Every link: rule, quantity, band, cause, how often."""
    belief = Belief(book)
    for name, found in belief.links.items():
        for link in found:
            yield link.rule, name, link.band, link.cause, link.how_often


@pytest.mark.parametrize("folder", BOOKS, ids=lambda folder: folder.name)
def test_every_word_of_a_book_holds_for_the_cause_alone(folder: Path) -> None:
    book = read_book(folder)
    belief = Belief(book)
    assert sum(1 for _ in links(book)) > 5
    for rule, name, band, cause, how_often in links(book):
        block = belief.block_of[name]
        number = [quantity.id for quantity in block.quantities].index(name)
        # the rule in force with those that can always be: rules under other givens might link the same band again
        free = {r.id for r in book.rules.values() if sum(c.quantity in belief.links for c in r.when) == len(r.when)}
        shown = alone(block, number, frozenset({*free, rule}), belief.index[cause])
        place = [each.id for each in book.quantities[name].bands].index(band)
        assert shown[place] == pytest.approx(how_often, abs=1e-12), (rule, cause)


@pytest.mark.parametrize("folder", BOOKS, ids=lambda folder: folder.name)
def test_a_system_without_a_cause_is_as_healthy_as_the_book_says(folder: Path) -> None:
    book = read_book(folder)
    belief = Belief(book)
    for name in belief.links:
        block = belief.block_of[name]
        number = [quantity.id for quantity in block.quantities].index(name)
        shown = alone(block, number, frozenset(book.rules), None)
        healthy = [book.quantities[name].healthy.get(band.id, 0.0) for band in book.quantities[name].bands]
        assert shown.tolist() == pytest.approx(healthy, abs=1e-12)


@pytest.mark.parametrize("seed", range(12))
def test_bands_of_every_set_sum_to_one(seed: int) -> None:
    book = by_hand.random_book(Random(900 + seed), causes=6, quantities=5)
    belief = Belief(book)
    for block in belief.blocks:
        tables = block.tables(frozenset(book.rules), [frozenset()] * len(block.quantities), frozenset())
        for number in range(len(block.quantities)):
            table = block.by_itself(tables, number, np.arange(block.sets.count))
            assert table.min() >= 0
            np.testing.assert_allclose(table.sum(axis=1), 1.0, atol=1e-12)


def test_balance_may_read_normal_when_two_causes_push_apart() -> None:
    """Acid and alkali together: with 'cancel' at 50 % half of the cars in which both act read normal."""
    ph = by_hand.quantity("ph", {"acid": 0, "good": 0, "high": 0}, combine="balance", cancel=0.5)
    rules = [
        by_hand.rule("a", {"ph": "acid"}, {"acid_left": 0.8}),
        by_hand.rule("b", {"ph": "high"}, {"alkali_left": 0.8}),
    ]
    book = by_hand.book([ph], [by_hand.cause("acid_left", 0.1), by_hand.cause("alkali_left", 0.1)], rules)
    belief = Belief(book)
    block = belief.block_of["ph"]
    tables = block.tables(frozenset(book.rules), [frozenset()], frozenset())
    acid, good, high = block.by_itself(tables, 0, np.array([3]))[0]
    assert good == pytest.approx(0.2 * 0.2 + 0.5 * 0.8 * 0.8)
    assert acid == pytest.approx(high)


def test_the_worst_of_two_causes_is_read() -> None:
    """Noisy maximum: P(none or raised) is the product of the causes' own."""
    volts = by_hand.quantity("volts", {"quiet": 0, "raised": 0, "high": 0}, normal="quiet", combine="worst_wins")
    rules = [
        by_hand.rule("a", {"volts": "raised"}, {"x": 0.6, "y": 0.3}),
        by_hand.rule("b", {"volts": "high"}, {"x": 0.1, "y": 0.5}),
    ]
    book = by_hand.book([volts], [by_hand.cause("x", 0.1), by_hand.cause("y", 0.1)], rules)
    block = Belief(book).block_of["volts"]
    tables = block.tables(frozenset(book.rules), [frozenset()], frozenset())
    quiet, raised, high = block.by_itself(tables, 0, np.array([3]))[0]
    assert quiet == pytest.approx(0.3 * 0.2)
    assert quiet + raised == pytest.approx(0.9 * 0.5)
    assert high == pytest.approx(1 - 0.45)


def test_first_to_act_is_noisy_or_for_two_bands() -> None:
    """With two bands any order of acting gives 1 - product of (1 - word)."""
    gas = by_hand.quantity("gas", {"not_found": 0, "found": 0}, normal="not_found")
    words = {"a": 0.3, "b": 0.55, "c": 0.92}
    book = by_hand.book([gas], [by_hand.cause(n, 0.1) for n in words], [by_hand.rule("r", {"gas": "found"}, words)])
    block = Belief(book).block_of["gas"]
    tables = block.tables(frozenset(book.rules), [frozenset()], frozenset())
    found = block.by_itself(tables, 0, np.array([block.sets.count - 1]))[0][1]
    assert found == pytest.approx(1 - 0.7 * 0.45 * 0.08)


def test_a_late_cause_is_not_punished_by_several_normal_readings_of_one_group() -> None:
    """Three readings that get worse together: three normal ones say hardly more than one (trial: 0.18, not 0.04)."""

    def still_there(group: str) -> float:
        measured = [by_hand.quantity(f"q{n}", {"good": 0, "bad": 0.001}, group=group) for n in range(3)]
        rules = [by_hand.rule(f"r{n}", {f"q{n}": "bad"}, {"late": 0.65}) for n in range(3)]
        book = by_hand.book(measured, [by_hand.cause("late", 0.2)], rules)
        block = Belief(book).blocks
        ratio = 1.0
        for each in block:
            dead = [frozenset()] * len(each.quantities)
            tables = each.tables(frozenset(book.rules), dead, frozenset())
            seen = {number: np.array([[1.0], [0.0]]) for number in range(len(each.quantities))}
            healthy, late = each.likelihood(tables, seen)[:2, 0]
            ratio *= late / healthy
        return ratio

    assert still_there("") == pytest.approx(0.35**3, rel=0.01)
    assert still_there("together") == pytest.approx(0.35, rel=0.01)
