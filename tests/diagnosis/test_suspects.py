"""Who is listed, as a root or a consequence, and what speaks for and against."""

from __future__ import annotations

from random import Random

import by_hand
import pytest
import slow_belief

from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.from_firings import diagnose
from diagnose.diagnosis.model import Diagnosis, Suspect
from diagnose.diagnosis.weights import NEAR_ONE
from diagnose.rulebook.model import Book


def work_up(book: Book, seen: by_hand.Seen, **more: object) -> Diagnosis:
    return diagnose(by_hand.firings(book, seen, **more), Belief(book))


def sure(**bands: str) -> dict[str, list[tuple[str, dict[str, float]]]]:
    return {name: [("eye", {band: 1.0})] for name, band in bands.items()}


@pytest.fixture(scope="module")
def leak() -> Book:
    """A leak is topped up with water; the mixture gets thin and the inhibitors wear."""
    measured = [
        by_hand.quantity("mixture", {"thin": 0.01, "good": 0}),
        by_hand.quantity("level", {"low": 0.01, "good": 0}),
        by_hand.quantity("ph", {"low": 0.008, "good": 0}),
        by_hand.quantity("pressure", {"falls": 0.01, "good": 0}),
    ]
    causes = [
        by_hand.cause("leak", 0.08, {"diluted": 0.75}),
        by_hand.cause("diluted", 0.1, {"worn": 0.3}),
        by_hand.cause("worn", 0.2),
        by_hand.cause("other", 0.02),
    ]
    rules = [
        by_hand.rule("MI", {"mixture": "thin"}, {"diluted": 0.75}),
        by_hand.rule("LE", {"level": "low"}, {"leak": 0.75}),
        by_hand.rule("PH", {"ph": "low"}, {"worn": 0.55}),
        by_hand.rule("PR", {"pressure": "falls"}, {"leak": 0.75}),
    ]
    return by_hand.book(measured, causes, rules)


def test_topped_up_thin_and_low_is_one_story_from_the_leak(leak: Book) -> None:
    found = work_up(leak, sure(mixture="thin", level="low"))
    first, second = found.listed()[:2]
    assert (first.cause.id, first.root, first.story[0]) == ("leak", True, "diluted")
    assert (second.cause.id, second.root, second.roots) == ("diluted", False, ("leak",))
    assert second.probability > 0.9 > 0.5 > second.as_root
    assert [suspect.cause.id for suspect in found.listed() if suspect.root] == ["leak"]


def test_thin_with_a_steady_level_and_pressure_that_holds_is_its_own_root(leak: Book) -> None:
    found = work_up(leak, sure(mixture="thin", level="good", pressure="good"))
    first = found.listed()[0]
    assert (first.cause.id, first.root, first.roots) == ("diluted", True, ())
    assert first.as_root > 0.8


def test_where_shares_are_the_same_on_paper_a_fault_comes_before_a_misreading() -> None:
    oil = by_hand.quantity("oil", {"good": 0, "glycol": 0.0001})
    ph = by_hand.quantity("ph", {"acid": 0.0001, "good": 0}, fooled_by={"pad": ["spoiled"], "meter": []})
    causes = [by_hand.cause("spoiled", 0.05, kind="misread"), by_hand.cause("cooler", 0.2)]
    rules = [
        by_hand.rule("O", {"oil": "glycol"}, {"cooler": 0.9}),
        by_hand.rule("P", {"ph": "acid"}, {"cooler": 0.001}),
    ]
    seen = {**sure(oil="glycol"), "ph": [("pad", {"acid": 1.0}), ("meter", {"good": 1.0})]}
    found = work_up(by_hand.book([oil, ph], causes, rules, not_in_book=0.0), seen)
    assert found.suspect("spoiled").as_root > found.suspect("cooler").as_root > 0.995
    assert [suspect.cause.id for suspect in found.listed()] == ["cooler", "spoiled"]


def test_as_root_is_present_without_any_parent(leak: Book) -> None:
    seen = sure(mixture="thin", ph="low")
    found = work_up(leak, seen)
    wanted = slow_belief.posterior(leak, seen)
    parents = {"leak": set(), "diluted": {"leak"}, "worn": {"diluted"}, "other": set()}
    for name, above in parents.items():
        share = sum(p for present, p in wanted.items() if name in present and not present & above)
        assert found.suspect(name).as_root == pytest.approx(share, abs=1e-9)


def test_a_cause_that_readings_do_not_raise_is_no_suspect(leak: Book) -> None:
    found = work_up(leak, sure(mixture="thin", ph="good"))
    worn = found.suspect("worn")
    assert worn.probability > 0.1
    assert worn.state == "unlikely"
    assert worn.weights == ()


def test_a_common_cause_may_still_be_listed(leak: Book) -> None:
    """A prior of 70 % can't rise by half again; above one half the odds count."""
    measured = by_hand.quantity("q", {"good": 0, "bad": 0.01})
    book = by_hand.book([measured], [by_hand.cause("old", 0.7)], [by_hand.rule("r", {"q": "bad"}, {"old": 0.75})])
    assert work_up(book, sure(q="bad")).suspect("old").state == "probable"
    assert work_up(book, {}).suspect("old").state == "unlikely"


def test_states_in_order(leak: Book) -> None:
    fitted = by_hand.quantity("fitted", {"yes": 0, "no": 0}, normal="yes", role="given")
    causes = [*leak.causes.values(), by_hand.cause("cooler", 0.05, only_when={"fitted": "yes"})]
    proof = by_hand.rule("SEEN", {"level": "low"}, proves="leak")
    book = by_hand.book([*leak.quantities.values(), fitted], causes, [*leak.rules.values(), proof])
    found = work_up(book, sure(mixture="thin", level="low"), givens={"fitted": "no"}, fired=["SEEN"])
    states = {suspect.cause.id: suspect.state for suspect in found.suspects}
    assert states["leak"] == "proven"
    assert states["diluted"] == "probable"
    assert states["cooler"] == "impossible"
    assert found.suspects[-1].ruled_out_by == "fitted: no"
    assert found.suspect("leak").proven_by == ("SEEN",)
    assert found.suspect("leak").probability == 1.0
    assert found.nothing_wrong == 0.0
    assert found.not_in_book == 0.0
    assert {weight.quantity for weight in found.suspect("leak").weights} == {"level", "mixture"}


@pytest.mark.parametrize("seed", range(12))
def test_weights_are_odds_with_all_over_odds_with_one_left_out(seed: int) -> None:
    random = Random(300 + seed)
    book = by_hand.random_book(random, causes=5, quantities=4)
    seen = by_hand.random_readings(random, book)
    found = work_up(book, seen)
    whole = slow_belief.marginals(slow_belief.posterior(book, seen), book.causes)
    for suspect in found.listed():
        told = {weight.quantity: weight.factor for weight in suspect.weights}
        for name in seen:
            rest = {other: readings for other, readings in seen.items() if other != name}
            before = slow_belief.marginals(slow_belief.posterior(book, rest), book.causes)[suspect.cause.id]
            now = whole[suspect.cause.id]
            factor = now / (1 - now) / (before / (1 - before))
            if name in told:
                assert told[name] == pytest.approx(factor, rel=0.02)
            else:
                assert NEAR_ONE[0] * 0.98 < factor < NEAR_ONE[1] * 1.02
        strengths = [max(weight.factor, 1 / weight.factor) for weight in suspect.weights]
        assert strengths == sorted(strengths, reverse=True)


def test_weights_where_a_reading_excludes_all_else() -> None:
    """The healthy share is nothing: the film excludes every set without the leak, and still gets a finite factor."""
    film = by_hand.quantity("film", {"good": 0, "oil": 0.0})
    ph = by_hand.quantity("ph", {"acid": 0.01, "good": 0})
    rules = [by_hand.rule("F", {"film": "oil"}, {"cooler": 0.9}), by_hand.rule("P", {"ph": "acid"}, {"cooler": 0.3})]
    book = by_hand.book([film, ph], [by_hand.cause("cooler", 0.02), by_hand.cause("x", 0.1)], rules, not_in_book=0.0)
    found = work_up(book, sure(film="oil", ph="acid")).suspect("cooler")
    film_weight, *others = found.weights
    assert found.probability == pytest.approx(1.0)
    assert (film_weight.quantity, film_weight.factor, others) == ("film", 1e6, [])


def test_rules_behind_a_weight(leak: Book) -> None:
    found = work_up(leak, sure(mixture="thin", level="low", ph="good"))
    rules = {(s.cause.id, w.quantity): w.rules for s in found.listed() for w in s.weights}
    assert rules["leak", "level"] == ("LE",)
    assert rules["leak", "mixture"] == ("MI",)  # through what it leads to
    assert rules["diluted", "mixture"] == ("MI",)


def test_every_cause_of_the_book_stands_in_the_diagnosis_once(leak: Book) -> None:
    found = work_up(leak, sure(mixture="thin"))
    assert sorted(suspect.cause.id for suspect in found.suspects) == sorted(leak.causes)
    listed = [_is_listed(suspect) for suspect in found.suspects]
    assert listed == sorted(listed, reverse=True)


def _is_listed(suspect: Suspect) -> bool:
    return suspect.state in ("proven", "probable", "possible")
