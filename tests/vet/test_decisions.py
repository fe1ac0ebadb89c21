"""Gaps made on purpose in the decisions of the shipped book: nobody decides on the car that is told."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from diagnose.case.from_yaml import case_from_text
from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.from_firings import diagnose
from diagnose.findings.bands import band_shares
from diagnose.findings.from_case import find
from diagnose.firings.from_findings import RuleEngine
from diagnose.plan.from_diagnosis import plan
from diagnose.rulebook.find import shipped_folder
from diagnose.rulebook.from_yaml import read_book
from diagnose.rulebook.model import FAMILY, Book, Condition, Rule
from diagnose.vet.check import Fault
from diagnose.vet.checks.decisions import missing_decisions, outranked_decisions
from diagnose.vet.example_car import make_car
from diagnose.vet.whole_book import WholeBook

HEAD = "id: c\ndate: 2026-03-12\ntitle: t\n"


@pytest.fixture(scope="module")
def book() -> Book:
    return read_book(shipped_folder() / "passenger-car")


def without_band(rule: Rule, quantity: str, band: str) -> Rule:
    when = tuple(
        c._replace(bands=tuple(b for b in c.bands if b != band)) if c.quantity == quantity else c for c in rule.when
    )
    return rule._replace(when=when)


def gaps(book: Book) -> list[Fault]:
    return list(missing_decisions(WholeBook(book)))


def decided_on_the_car(fault: Fault, book: Book) -> tuple[str, ...]:
    """The rules that decide on the car that a fault tells, worked up from a case file down the whole road."""
    car = dict(pair.split(": ", 1) for pair in re.findall(r"\{(.*)\}", fault.says)[0].split(", "))
    sections: dict[str, list[str]] = {"readings": []}
    family = car.pop("family")
    for name, value in car.items():
        quantity = book.quantities[name]
        if quantity.role == "given":
            sections.setdefault(quantity.under, []).append(f"  {name}: {value}")
        else:
            sections["readings"].append(f"  - {{quantity: {name}, value: {value}}}")
    lines = [line for section, entries in sections.items() if entries for line in (f"{section}:", *entries)]
    case = case_from_text(f"{HEAD}family: {family}\n" + "\n".join(lines) + "\n", "car.yaml")
    firings = RuleEngine(book, "plain").run(find(case, book))
    return plan(diagnose(firings, Belief(book)), book).decision.rules


def test_a_band_taken_from_the_decisions_leaves_a_gap_that_is_told_with_a_car(book: Book) -> None:
    assert gaps(book) == []
    for quantity, band in (("ph", "low"), ("mixture", "thin")):
        rules = {
            name: without_band(rule, quantity, band) if rule.decides else rule for name, rule in book.rules.items()
        }
        kept = {name: rule for name, rule in rules.items() if all(condition.bands for condition in rule.when)}
        torn = replace(book, rules=kept)
        found = gaps(torn)
        assert found
        assert all(f"{quantity} is {band}" in fault.says for fault in found)
        for fault in found:
            assert decided_on_the_car(fault, torn) == ()


@pytest.mark.parametrize("family", ["conventional", "organic_acid"])
def test_a_decision_for_one_family_leaves_the_others_without(book: Book, family: str) -> None:
    narrowed = {
        name: rule._replace(when=(*rule.when, Condition(FAMILY, (family,), rule.place)))
        if rule.decides == "keep"
        else rule
        for name, rule in book.rules.items()
    }
    torn = replace(book, rules=narrowed)
    found = gaps(torn)
    assert found
    for fault in found:
        assert f"family is not {family}" in fault.says
        assert decided_on_the_car(fault, torn) == ()


def test_a_rule_under_a_broader_one_that_ranks_before_it_never_decides(book: Book) -> None:
    assert list(outranked_decisions(WholeBook(book))) == []
    broad = next(rule for rule in book.rules.values() if rule.decides == "replace" and len(rule.when) == 1)
    keep = next(rule for rule in book.rules.values() if rule.decides == "keep")
    rest = (condition for condition in keep.when if condition.quantity != broad.when[0].quantity)
    under = keep._replace(id="NEW-1", when=(*broad.when, *rest))
    (fault,) = outranked_decisions(WholeBook(replace(book, rules={**book.rules, "NEW-1": under})))
    assert fault.entries == (("rule", "NEW-1"),)
    assert broad.id in fault.says or "'replace'" in fault.says


def test_a_car_can_be_made_up_for_every_band_of_every_reading(book: Book) -> None:
    whole = WholeBook(book)
    lacking = []
    for quantity in book.quantities.values():
        for band in quantity.bands:
            if make_car({quantity.id: (band.id,)}, whole) is None:
                lacking.append((quantity.id, band.id))
    assert lacking == []


def test_the_values_of_a_made_up_car_lie_in_the_band_by_the_usual_instrument(book: Book) -> None:
    whole = WholeBook(book)
    for name in ("ph", "mixture", "water_hardness"):
        quantity = book.quantities[name]
        for family in book.families:
            for number, band in enumerate(quantity.bands):
                car = make_car({name: (band.id,), "family": (family,)}, whole)
                if car is None:  # the band is empty for this family
                    assert family not in band.edges
                    assert "" not in band.edges
                    continue
                interval = car.firings.findings.found[name].interval
                assert interval is not None
                assert band_shares(interval, quantity, family)[number] == pytest.approx(1.0)
