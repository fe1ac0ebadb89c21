"""A part of the shipped book as large as the one that the speed targets were set for.

The targets speak of about 15 causes, 40 rules and 15 tests. Everything that speaks only of
other causes is left out; quantities and services stay whole.
"""

from __future__ import annotations

from dataclasses import replace

from diagnose.rulebook.model import Book, Rule

CAUSES = (
    "worn_out", "families_mixed", "diluted_with_water", "straight_concentrate", "alkaline_cleaner_left",
    "acid_cleaner_left", "hard_water", "pad_spoiled", "prism_not_zeroed", "head_gasket_gas", "egr_cooler_gas",
    "leak_hose_or_clip", "leak_radiator", "leak_pump_seal", "stray_current", "self_made_voltage",
)  # fmt: skip
TESTS = (
    "safe_to_open", "read_level", "ask_history", "ask_water", "ph_meter", "reserve_titration", "refractometer",
    "water_hardness", "look_and_smell", "voltage_series", "ground_drop", "gas_colour", "cold_pressure_rise",
    "pressure_test", "leak_search",
)  # fmt: skip
RULES = 40
"""Linking rules that are kept, the first ones of the book; deciding rules that need no other test are kept besides."""


def first_part(book: Book) -> Book:
    """The book with CAUSES, TESTS and the rules that speak of them."""
    causes = {
        name: book.causes[name]._replace(
            leads_to=tuple(arc for arc in book.causes[name].leads_to if arc.cause in CAUSES)
        )
        for name in CAUSES
    }
    tests = {name: book.tests[name] for name in TESTS}
    linking = [rule for rule in map(_cut, book.rules.values()) if rule.seen_with][:RULES]
    told = {condition.quantity for rule in linking for condition in rule.when} | {"frost_margin", "interval_share"}
    deciding = [r for r in map(_cut, book.rules.values()) if r.decides and {c.quantity for c in r.when} <= told]
    concluding = [r for r in map(_cut, book.rules.values()) if r.concludes]
    rules = {rule.id: rule for rule in (*linking, *deciding, *concluding)}
    quantities = {
        name: replace(
            quantity,
            methods=tuple(replace(m, fooled_by=tuple(c for c in m.fooled_by if c in CAUSES)) for m in quantity.methods),
        )
        for name, quantity in book.quantities.items()
    }
    return replace(book, causes=causes, tests=tests, rules=rules, quantities=quantities)


def _cut(rule: Rule) -> Rule:
    return rule._replace(
        seen_with=tuple(link for link in rule.seen_with if link.cause in CAUSES),
        next=tuple(name for name in rule.next if name in TESTS),
        proves=rule.proves if rule.proves in CAUSES else "",
    )
