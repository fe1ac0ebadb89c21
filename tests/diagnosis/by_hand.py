"""Small books, findings and firings built by hand, so that the belief is tested apart from the readers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from random import Random

from diagnose.case.model import Case
from diagnose.findings.model import Finding, Findings, Reading
from diagnose.firings.model import Firing, Firings
from diagnose.rulebook.model import (
    Arc,
    Band,
    Book,
    Cause,
    ComesBack,
    Condition,
    Drive,
    Link,
    Method,
    PriorWhen,
    Quantity,
    Repair,
    Rule,
    Scale,
    State,
    Word,
    Yield,
)
from diagnose.rulebook.model import (
    Test as BookTest,
)
from diagnose.yamlfile import Place

P = Place("by hand", 1, 1)
PRINCIPLES = {"eye": "sight", "pad": "chemical", "meter": "electrical"}


def word(value: float) -> Word:
    return Word(f"{value:.4%}", value, P)


def quantity(
    name: str,
    healthy: Mapping[str, float],
    normal: str = "good",
    combine: str = "first_to_act",
    cancel: float = 0.0,
    group: str = "",
    fooled_by: Mapping[str, Sequence[str]] | None = None,
    role: str = "reading",
    how_often: Mapping[str, float] | None = None,
    better: Mapping[str, str] | None = None,
) -> Quantity:
    """`healthy` names every band in order; the normal one takes the rest. `fooled_by` lists the methods."""
    fooled_by = {"eye": ()} if fooled_by is None else fooled_by
    rest = 1 - sum(share for band, share in healthy.items() if band != normal)
    return Quantity(
        id=name, label=name, role=role, unit="", possible=(0.0, 0.0),
        bands=tuple(Band(band, band, band, {}, (), (), P) for band in healthy),
        normal=normal if role != "given" else "",
        healthy={band: rest if band == normal else share for band, share in healthy.items()},
        combine=combine, cancel=cancel, moves_together=group,
        methods=tuple(
            Method(method, method, 0.0, PRINCIPLES.get(method, method), tuple(fools), (better or {}).get(method, ""), P)
            for method, fools in fooled_by.items()
        ),
        read_as=(), formula=None, instead_of=(), under="", ask="", sources=(), place=P,
        how_often={band: word(share) for band, share in (how_often or {}).items()}, assume="",
    )  # fmt: skip


def cause(
    name: str,
    prior: float,
    leads_to: Mapping[str, float] | None = None,
    prior_when: Sequence[tuple[Mapping[str, str], float]] = (),
    only_when: Mapping[str, str] | None = None,
    kind: str = "fault",
    repair: float = 60.0,
    comes_back: float = 300.0,
    dismantling: float = 0.0,
    same_repair: str = "",
    by_service: bool = False,
) -> Cause:
    return Cause(
        id=name, label=name, short=name, kind=kind, how_common=word(prior),
        prior_when=tuple(PriorWhen(conditions(when), word(share), "", P) for when, share in prior_when),
        only_when=conditions(only_when or {}),
        leads_to=tuple(Arc(child, word(share), "", P) for child, share in (leads_to or {}).items()),
        mechanism="", repair=Repair("", "", repair, dismantling, "", same_repair, P, by_service),
        comes_back=ComesBack(comes_back, ""),
        drive=Drive("yes", ""), customer="", cautions=(), sources=(), place=P,
    )  # fmt: skip


def conditions(when: Mapping[str, str]) -> tuple[Condition, ...]:
    return tuple(Condition(name, (band,), P) for name, band in when.items())


def rule(
    name: str,
    when: Mapping[str, str],
    seen_with: Mapping[str, float] | None = None,
    next_tests: Sequence[str] = (),
    proves: str = "",
) -> Rule:
    return Rule(
        id=name, title=name, theme="", lesson="", when=conditions(when),
        seen_with=tuple(Link(each, word(share), P) for each, share in (seen_with or {}).items()),
        next=tuple(next_tests), concludes=None, decides="", proves=proves, drive=None, says="", because="", limits="",
        sources=(), fires=(), silent=(), place=P,
    )  # fmt: skip


def a_test(
    name: str,
    yields: Mapping[str, str],
    minutes: float = 5.0,
    wait: float = 0.0,
    needs: Mapping[str, str] | None = None,
) -> BookTest:
    return BookTest(
        id=name, label=name, steps=(), minutes=minutes, wait=wait, tools=(), needs=needs or {}, leaves={}, opens=False,
        dismantling=0.0, spoils=(), cautions=(), misleads="",
        yields=tuple(Yield(each, method, P) for each, method in yields.items()), sources=(), place=P,
    )  # fmt: skip


def book(
    quantities: Sequence[Quantity],
    causes: Sequence[Cause],
    rules: Sequence[Rule],
    tests: Sequence[BookTest] = (),
    not_in_book: float = 0.02,
    states: Sequence[State] = (),
) -> Book:
    return Book(
        id="by-hand", title="", edition="1", language="en", scope="", defers_to="", weights_are="",
        how_often=Scale(()), how_common=Scale(()), not_in_book=word(not_in_book), sources={}, families={},
        quantities={each.id: each for each in quantities}, states={each.id: each for each in states},
        causes={each.id: each for each in causes}, tests={each.id: each for each in tests}, services={}, cautions={},
        rules={each.id: each for each in rules}, place=P,
    )  # fmt: skip


Seen = Mapping[str, Sequence[tuple[str, Mapping[str, float]]]]
"""For each quantity its readings: the method, and the likelihood of the bands that are possible."""


def firings(
    of: Book,
    seen: Seen,
    givens: Mapping[str, str] | None = None,
    in_force: Sequence[str] | None = None,
    status: Mapping[str, str] | None = None,
    fired: Sequence[str] = (),
    state: Mapping[str, str] | None = None,
) -> Firings:
    found = {name: finding(of.quantities[name], readings) for name, readings in seen.items()}
    for name, how in (status or {}).items():
        found[name] = Finding(of.quantities[name], how, (), (), None, how, "", False, False)
    told = {name: finding(of.quantities[name], [("", {band: 1.0})]) for name, band in (givens or {}).items()}
    case = Case("by-hand", date(2026, 1, 1), "", "", (), (), (), (), "", None, None, P)
    return Firings(
        engine="by hand",
        findings=Findings(case, {"any": 1.0}, found, told, dict(state or {}), ()),
        fired=tuple(Firing(of.rules[name], "fires", of.rules[name].when) for name in fired),
        in_force=frozenset(of.rules if in_force is None else in_force),
        concluded_by={},
    )


def finding(of: Quantity, readings: Sequence[tuple[str, Mapping[str, float]]]) -> Finding:
    taken = []
    for method, bands in readings:
        total = sum(bands.values())
        shares = tuple(bands.get(band.id, 0.0) / total for band in of.bands)
        taken.append(Reading(method, " or ".join(bands), None, shares, P))
    possible = [band.id for n, band in enumerate(of.bands) if all(reading.shares[n] > 0 for reading in taken)]
    either = [band.id for n, band in enumerate(of.bands) if any(reading.shares[n] > 0 for reading in taken)]
    return Finding(
        of,
        "known",
        tuple(taken),
        tuple(possible or either),
        None,
        " or ".join(possible or either),
        "",
        not possible,
        False,
    )


def random_book(random: Random, causes: int, quantities: int, not_in_book: float = 0.02) -> Book:
    """A book of every kind of link: chains, groups, balance, worst wins, instruments that can be fooled."""
    names = [f"c{number}" for number in range(causes)]
    made = []
    for number, name in enumerate(names):
        arcs = {later: random.uniform(0.1, 0.9) for later in names[number + 1 :] if random.random() < 0.3}
        made.append(cause(name, random.choice([0.0, 0.01, 0.05, 0.1, 0.3]) if number else 0.1, arcs))
    made.append(cause("fooled", 0.06, kind="misread"))
    measured, rules = [], []
    for number in range(quantities):
        combine = random.choice(["first_to_act", "balance", "worst_wins"])
        bands = ["far_below", "below", "good", "above", "far_above"]
        if combine == "worst_wins":
            bands = ["good", "bad", "worse"]
        elif random.random() < 0.3:
            bands = ["good", "above"]
        measured.append(
            quantity(
                f"q{number}",
                {band: random.uniform(0.001, 0.01) for band in bands},
                combine=combine,
                cancel=random.choice([0.0, 0.5, 0.8]) if combine == "balance" else 0.0,
                group=random.choice(["", "g", "g"]),
                fooled_by={"pad": ["fooled"] if random.random() < 0.6 else [], "meter": []},
                better={"pad": "meter"},
            )
        )
        for name in names:
            if random.random() < 0.6:
                left = 0.99
                for band in random.sample([b for b in bands if b != "good"], random.randint(1, min(2, len(bands) - 1))):
                    share = random.uniform(0.02, min(0.7, left))
                    left -= share
                    if left > 0.05:
                        rules.append(rule(f"r{len(rules)}", {f"q{number}": band}, {name: share}))
    return book(measured, made, rules, not_in_book=not_in_book)


def random_readings(random: Random, of: Book) -> dict[str, list[tuple[str, dict[str, float]]]]:
    """Sure and straddling readings by one instrument or two that do not exclude each other, of linked quantities."""
    linked = {condition.quantity for each in of.rules.values() for condition in each.when}
    seen = {}
    for each in of.quantities.values():
        if each.id not in linked or random.random() < 0.2:
            continue
        readings = []
        for method in random.sample(["pad", "meter"], random.randint(1, 2)):
            bands = random.sample([band.id for band in each.bands], random.randint(1, 2))
            readings.append((method, {band: random.uniform(0.2, 1.0) for band in bands}))
        if len(readings) == 2 and not set(readings[0][1]) & set(readings[1][1]):
            readings.pop()
        seen[each.id] = readings
    return seen
