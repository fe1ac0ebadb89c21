"""The next tests: by what they save in a minute, doable today, each job once, and what each answer would do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import log2
from random import Random

import by_hand
import pytest
import slow_belief

from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.from_firings import diagnose
from diagnose.diagnosis.model import LISTED, Diagnosis, NextTest
from diagnose.firings.model import Firings
from diagnose.rulebook.model import Book, Cause, ComesBack, Passage, State

ENGINE = State(
    "engine", "engine", ("cold", "warm", "cold_overnight"), by_hand.P,
    (
        Passage("cold", "warm", 20, by_hand.P),
        Passage("cold_overnight", "cold", 0, by_hand.P),
        Passage("cold", "cold_overnight", 720, by_hand.P),
    ),
)  # fmt: skip


def sure(**bands: str) -> dict[str, list[tuple[str, dict[str, float]]]]:
    return {name: [(name_method(name), {band: 1.0})] for name, band in bands.items()}


def name_method(name: str) -> str:
    return "pad" if name == "ph" else "eye"


def acid_book(tests: Sequence[object] = (), **more: object) -> Book:
    """pH acid: combustion gas, worn out or a spoiled pad; a gas test, a meter, a question."""
    measured = [
        by_hand.quantity(
            "ph", {"acid": 0.004, "good": 0}, fooled_by={"pad": ["pad_spoiled"], "meter": []}, better={"pad": "meter"}
        ),
        by_hand.quantity("gas", {"not_found": 0, "found": 0.005}, normal="not_found", fooled_by={"colour": ["breath"]}),
        by_hand.quantity("level", {"low": 0.01, "good": 0}),
        by_hand.quantity("cleaner", {"none": 0, "acid": 0}, role="given", how_often={"none": 0.9, "acid": 0.1}),
    ]
    causes = [
        by_hand.cause("gas_leak", 0.06, repair=240, comes_back=900),
        by_hand.cause("acid_rest", 0.03, prior_when=[({"cleaner": "acid"}, 0.3), ({"cleaner": "none"}, 0.005)]),
        by_hand.cause("leak", 0.1),
        by_hand.cause("pad_spoiled", 0.04, kind="misread"),
        by_hand.cause("breath", 0.03, kind="misread"),
    ]
    rules = [
        by_hand.rule(
            "PH", {"ph": "acid"}, {"gas_leak": 0.55, "acid_rest": 0.75}, next_tests=["gas_test", "ask", "ph_meter"]
        ),
        by_hand.rule("GAS", {"gas": "found"}, {"gas_leak": 0.8}),
        by_hand.rule("LE", {"level": "low"}, {"leak": 0.75}),
    ]
    listed = list(tests) or [
        by_hand.a_test("gas_test", {"gas": "colour"}, minutes=12, needs={"engine": "warm"}),
        by_hand.a_test("ph_meter", {"ph": "meter"}, minutes=4),
        by_hand.a_test("ph_pad", {"ph": "pad"}, minutes=1),
        by_hand.a_test("ask", {"cleaner": ""}, minutes=2),
        by_hand.a_test("look", {"level": "eye"}, minutes=1),
    ]
    return by_hand.book(measured, causes, rules, listed, states=[ENGINE])


def offered(found: Diagnosis) -> dict[str, NextTest]:
    return {choice.test.id: choice for choice in found.next_tests}


def acid(book: Book, **more: object) -> Diagnosis:
    seen = more.pop("seen", sure(ph="acid"))
    return diagnose(by_hand.firings(book, seen, fired=["PH"], **more), Belief(book))


def test_what_pays_most_in_a_minute_comes_first_and_each_spares_more_than_it_takes() -> None:
    found = acid(acid_book())
    assert {choice.test.id for choice in found.next_tests} <= {"gas_test", "ph_meter", "ask"}
    first, *others = found.next_tests
    assert first.saves > first.minutes
    assert all(first.saves / first.minutes >= other.saves / other.minutes for other in others)
    assert all(choice.asked_by == ("PH",) and choice.reason == "pays" for choice in found.next_tests)


def test_a_test_that_spares_less_than_it_takes_is_not_offered() -> None:
    tests = [by_hand.a_test("gas_test", {"gas": "colour"}, minutes=400)]
    found = acid(acid_book(tests))
    assert not found.next_tests
    assert found.verdict.kind == "act"


@pytest.mark.parametrize("seed", range(8))
def test_what_is_saved_is_reckoned_anew_from_the_slow_belief(seed: int) -> None:
    """For each answer the probability of every set, then min(repair, harm) for every cause that is listed."""
    random = Random(900 + seed)
    plain = by_hand.random_book(random, causes=4, quantities=3)
    causes = {
        name: cause._replace(
            repair=cause.repair._replace(minutes=random.uniform(20, 300)),
            comes_back=cause.comes_back._replace(minutes=random.uniform(50, 900)),
        )
        for name, cause in plain.causes.items()
    }
    tests = [by_hand.a_test(name, {name: "meter"}, minutes=1) for name in plain.quantities]
    book = replace(plain, causes=causes, tests={test.id: test for test in tests})
    seen = {n: r[:1] for n, r in by_hand.random_readings(random, book).items() if r[0][0] == "pad"}
    found = diagnose(by_hand.firings(book, seen), Belief(book))
    listed = [suspect.cause for suspect in found.listed()]
    for choice in found.next_tests:
        if choice.reason == "pays" and choice.test.id in Belief(book).links:
            assert choice.saves == pytest.approx(_saved(book, seen, choice.test.id, listed), rel=0.02, abs=0.3)


def _saved(book: Book, seen: by_hand.Seen, name: str, causes: Sequence[Cause]) -> float:
    now = slow_belief.posterior(book, seen)
    joint: dict[str, dict[frozenset[str], float]] = {}
    for band in book.quantities[name].bands:
        told = {**seen, name: [*seen.get(name, []), ("meter", {band.id: 1.0})]}
        joint[band.id] = {
            present: share * _weight(book, present, told) / before if (before := _weight(book, present, seen)) else 0.0
            for present, share in now.items()
        }
    return _stopping(now, causes) - sum(_stopping(after, causes) for after in joint.values())


def _stopping(weights: Mapping[frozenset[str], float], causes: Sequence[Cause]) -> float:
    total = sum(weights.values())
    held = {c.id: sum(share for present, share in weights.items() if c.id in present) for c in causes}
    return sum(min(total * c.repair.minutes, held[c.id] * c.comes_back.minutes) for c in causes)


def test_minutes_hold_the_way_to_the_state_that_the_test_needs() -> None:
    book = acid_book()
    assert offered(acid(book))["gas_test"].minutes == 32
    assert offered(acid(book, state={"engine": "warm"}))["gas_test"].minutes == 12
    assert offered(acid(book, state={"engine": "cold_overnight"}))["gas_test"].minutes == 32


@pytest.mark.parametrize(
    ("needs", "wait", "state", "because"),
    [
        ({"engine": "cold_overnight"}, 0, {}, "it needs the engine cold overnight, which takes 12 h"),
        ({"engine": "cold"}, 0, {"engine": "warm"}, "it needs the engine cold, and that can't be had today"),
        ({}, 720, {}, "it takes 12 h"),
        ({}, 4320, {}, "it takes 3 days"),
    ],
)
def test_what_can_not_be_done_today_waits_with_its_reason(
    needs: Mapping[str, str], wait: float, state: Mapping[str, str], because: str
) -> None:
    tests = [
        by_hand.a_test("gas_test", {"gas": "colour"}, needs=needs, wait=wait),
        by_hand.a_test("ask", {"cleaner": ""}),
        by_hand.a_test("ph_meter", {"ph": "meter"}),
    ]
    found = acid(acid_book(tests), state=state)
    assert "gas_test" not in offered(found)
    assert [(test.id, reason) for test, reason in found.later] == [("gas_test", because)]


def test_one_job_is_listed_once() -> None:
    tests = [by_hand.a_test(name, {"gas": "colour"}) for name in ("gas_test", "ask", "ph_meter", "fourth")]
    book = acid_book(tests)
    rules = [
        rule._replace(next=tuple(t.id for t in tests)) if rule.id == "PH" else rule for rule in book.rules.values()
    ]
    found = acid(replace(book, rules={rule.id: rule for rule in rules}))
    assert len(found.next_tests) == 1


def test_done_by_the_same_or_a_better_method_is_not_offered_again() -> None:
    book = acid_book()
    by_pad = acid(book)
    assert "ph_meter" in offered(by_pad)
    seen = {"ph": [("meter", {"acid": 1.0})]}
    assert not {"ph_meter", "ph_pad"} & set(offered(acid(book, seen=seen)))


def test_unknown_is_not_asked_again_and_not_done_is() -> None:
    book = acid_book()
    assert "gas_test" not in offered(acid(book, status={"gas": "unknown"}))
    assert "gas_test" in offered(acid(book, status={"gas": "not_done"}))
    told = by_hand.firings(book, sure(ph="acid"), fired=["PH"], givens={"cleaner": "none"})
    assert "ask" not in offered(diagnose(told, Belief(book)))


def test_tests_that_no_rule_asks_for_are_weighed_too() -> None:
    book = acid_book()
    found = diagnose(by_hand.firings(book, sure(ph="acid")), Belief(book))
    assert found.next_tests
    assert all(choice.asked_by == () for choice in found.next_tests)


def test_before_a_long_repair_two_principles_must_agree_whatever_the_minutes_say() -> None:
    """Common practice, no source: nothing is taken apart for more than an hour on one physical principle alone."""
    book = acid_book()
    gas_leak = by_hand.cause("gas_leak", 0.6, repair=600, comes_back=900, dismantling=420)
    book = replace(book, causes={**book.causes, "gas_leak": gas_leak})
    found = acid(book)
    assert set(found.unconfirmed) == {"gas_leak"}
    assert len(found.unconfirmed["gas_leak"]) < 2
    assert offered(found)["gas_test"].reason == "confirms"
    short = gas_leak._replace(repair=gas_leak.repair._replace(dismantling=30))
    assert not acid(replace(book, causes={**book.causes, "gas_leak": short})).unconfirmed


def test_what_can_not_be_confirmed_here_is_said() -> None:
    book = acid_book([by_hand.a_test("look", {"level": "eye"}, minutes=1)])
    gas_leak = by_hand.cause("gas_leak", 0.6, repair=600, comes_back=900, dismantling=420)
    found = acid(replace(book, causes={**book.causes, "gas_leak": gas_leak}))
    assert found.verdict.kind == "unconfirmed"
    assert found.verdict.causes == ("gas_leak",)


def test_two_suspects_that_nothing_parts_are_said_to_be_undetermined() -> None:
    found = acid(acid_book([by_hand.a_test("look", {"level": "eye"}, minutes=1)]))
    assert found.verdict.kind == "undetermined"
    assert set(found.verdict.causes) == {"gas_leak", "acid_rest"}


def test_causes_cured_by_the_same_work_are_not_tested_for() -> None:
    book = acid_book([by_hand.a_test("gas_test", {"gas": "colour"}, minutes=2)])
    same = {
        name: c._replace(repair=c.repair._replace(same_repair="one job", minutes=120), comes_back=ComesBack(300, ""))
        for name, c in book.causes.items()
        if name in ("gas_leak", "acid_rest")
    }
    same["pad_spoiled"] = book.causes["pad_spoiled"]._replace(comes_back=ComesBack(0, ""))
    assert offered(acid(book))
    assert not acid(replace(book, causes={**book.causes, **same})).next_tests


@pytest.mark.parametrize(("repair", "comes_back"), [(0, 0), (0, 300), (60, 0)])
def test_costs_of_nothing_end_in_no_test_and_no_division_by_zero(repair: float, comes_back: float) -> None:
    tests = [by_hand.a_test("gas_test", {"gas": "colour"}, minutes=0), by_hand.a_test("nothing", {})]
    book = acid_book(tests)
    free = {
        name: c._replace(repair=c.repair._replace(minutes=repair), comes_back=ComesBack(comes_back, ""))
        for name, c in book.causes.items()
    }
    found = acid(replace(book, causes={**book.causes, **free}))
    assert not found.next_tests
    assert found.listed()


def test_a_book_without_tests_says_what_it_can() -> None:
    found = acid(replace(acid_book(), tests={}))
    assert not found.next_tests
    assert found.verdict.kind in ("act", "undetermined")


def test_a_test_that_yields_no_evidence_is_never_chosen() -> None:
    """So the gate before opening is not chosen by value; the plan puts it where it belongs."""
    opening = by_hand.quantity("opening", {"safe": 0, "not_safe": 0}, normal="safe")
    book = acid_book([by_hand.a_test("gate", {"opening": "eye"}), by_hand.a_test("gas_test", {"gas": "colour"})])
    book = replace(book, quantities={**book.quantities, "opening": opening})
    rules = {name: rule._replace(next=("gate", "gas_test")) for name, rule in book.rules.items()}
    assert list(offered(acid(replace(book, rules=rules)))) == ["gas_test"]


@pytest.mark.parametrize("seed", range(10))
def test_outlook_is_what_the_answer_would_bring(seed: int) -> None:
    """Entering an answer gives the probabilities that the outlook foretold."""
    random = Random(700 + seed)
    plain = by_hand.random_book(random, causes=5, quantities=4)
    tests = [by_hand.a_test(f"{name}-{m}", {name: m}) for name in plain.quantities for m in ("pad", "meter")]
    book = replace(plain, tests={test.id: test for test in tests})
    seen = by_hand.random_readings(random, book)
    belief = Belief(book)
    found = diagnose(by_hand.firings(book, seen), belief)
    for choice in found.next_tests:
        (yields,) = choice.test.yields
        assert sum(outlook.probability for outlook in choice.outlook) == pytest.approx(1.0, abs=0.05)
        for outlook in choice.outlook:
            if outlook.probability < 0.02:
                continue
            if any(method == yields.method for method, _ in seen.get(outlook.quantity, [])):
                continue  # taken anew with the instrument set right: the same method can't be entered twice
            answer = (yields.method, {outlook.band: 1.0})
            told = {**seen, outlook.quantity: [*seen.get(outlook.quantity, []), answer]}
            then = diagnose(by_hand.firings(book, told), belief)
            for name, share in outlook.after.items():
                assert share == pytest.approx(then.suspect(name).probability, abs=0.01)


@pytest.mark.parametrize("seed", range(8))
def test_bits_are_the_mutual_information_with_the_roots(seed: int) -> None:
    """Reckoned anew from the slow belief: for each answer the probability of every set, then Shannon's formula."""
    random = Random(800 + seed)
    plain = by_hand.random_book(random, causes=4, quantities=3)
    tests = [by_hand.a_test(name, {name: "meter"}) for name in plain.quantities]
    pair = by_hand.a_test("two at once", dict.fromkeys(list(plain.quantities)[:2], "meter"))
    book = replace(plain, tests={test.id: test for test in (*tests, pair)})
    seen = {name: readings[:1] for name, readings in by_hand.random_readings(random, book).items()}
    seen = {name: readings for name, readings in seen.items() if readings[0][0] == "pad"}
    found = diagnose(by_hand.firings(book, seen), Belief(book))
    roots = frozenset(suspect.cause.id for suspect in found.suspects if suspect.root)
    for choice in found.next_tests:
        names = [each.quantity for each in choice.test.yields if each.quantity in Belief(book).links]
        assert choice.bits == pytest.approx(_information(book, seen, names, roots or frozenset(book.causes)), abs=0.01)


def _information(book: Book, seen: by_hand.Seen, names: Sequence[str], about: frozenset[str]) -> float:
    joint: dict[tuple[frozenset[str], tuple[str, ...]], float] = {}
    answers: list[tuple[str, ...]] = [()]
    for name in names:
        answers = [(*before, band.id) for before in answers for band in book.quantities[name].bands]
    now = slow_belief.posterior(book, seen)
    for answer in answers:
        told = dict(seen)
        for name, band in zip(names, answer, strict=True):
            told[name] = [*told.get(name, []), ("meter", {band: 1.0})]
        for present in now:
            before, after = (_weight(book, present, readings) for readings in (seen, told))
            mark = frozenset({"?"}) if present == slow_belief.NOT_IN_BOOK else present & about
            key = (mark, answer)
            joint[key] = joint.get(key, 0.0) + (now[present] * after / before if before else 0.0)
    return _entropy(joint, 0) + _entropy(joint, 1) - _entropy(joint, None)


def _weight(book: Book, present: frozenset[str], seen: by_hand.Seen) -> float:
    if present != slow_belief.NOT_IN_BOOK:
        return slow_belief.likelihood(book, present, seen, tuple(book.rules))
    total = 1.0
    for name, readings in seen.items():
        quantity = book.quantities[name]
        total *= sum(
            (0.5 * quantity.healthy[band.id] + 0.5 / len(quantity.bands))
            * slow_belief._read(quantity, band.id, readings, present)
            for band in quantity.bands
        )
    return total


def _entropy(joint: Mapping[tuple[object, object], float], axis: int | None) -> float:
    sums: dict[object, float] = {}
    for key, share in joint.items():
        part = key if axis is None else key[axis]
        sums[part] = sums.get(part, 0.0) + share
    return -sum(share * log2(share) for share in sums.values() if share > 0)


def test_asking_is_told_by_the_priors_it_moves() -> None:
    """'Was an acid cleaner used?' leads where the answer itself would lead."""
    book = acid_book()
    belief = Belief(book)
    choice = offered(acid(book))["ask"]
    for outlook in choice.outlook:
        told: Firings = by_hand.firings(book, sure(ph="acid"), fired=["PH"], givens={"cleaner": outlook.band})
        then = diagnose(told, belief)
        for name, share in outlook.after.items():
            assert share == pytest.approx(then.suspect(name).probability, abs=0.005)


def test_why_says_what_a_test_parts() -> None:
    choice = offered(acid(acid_book()))["gas_test"]
    assert choice.parts[0] == "gas_leak"
    assert choice.why.startswith("parts gas_leak from acid_rest: if gas is 'found', gas_leak rises from ")
    assert "; if not, it falls to " in choice.why


def test_every_test_offered_moves_a_listed_cause() -> None:
    found = acid(acid_book())
    listed = {suspect.cause.id for suspect in found.suspects if suspect.state in LISTED}
    for choice in found.next_tests:
        assert set(choice.parts) & listed
