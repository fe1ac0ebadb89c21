"""The belief against the same story reckoned in plain Python over every set and every hidden event."""

from __future__ import annotations

from random import Random

import by_hand
import pytest
import slow_belief

from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.contradiction import Contradiction
from diagnose.diagnosis.posterior import Posterior, weigh
from diagnose.rulebook.model import Book


def assert_same(found: Posterior, book: Book, wanted: dict[frozenset[str], float]) -> None:
    for name, chance in slow_belief.marginals(wanted, book.causes).items():
        assert found.chances[found.belief.index[name]] == pytest.approx(chance, abs=1e-9)
    assert found.not_in_book == pytest.approx(wanted.get(slow_belief.NOT_IN_BOOK, 0.0), abs=1e-9)
    assert found.nothing_wrong == pytest.approx(wanted.get(frozenset(), 0.0), abs=1e-9)


@pytest.mark.parametrize("seed", range(24))
def test_chains_groups_instruments_and_every_way_to_combine(seed: int) -> None:
    random = Random(seed)
    book = by_hand.random_book(random, causes=random.randint(1, 6), quantities=4)
    belief = Belief(book)
    for _ in range(2):
        seen = by_hand.random_readings(random, book)
        assert_same(weigh(belief, by_hand.firings(book, seen)), book, slow_belief.posterior(book, seen))


@pytest.mark.parametrize("seed", range(8))
def test_proven_and_impossible_causes(seed: int) -> None:
    random = Random(100 + seed)
    book = by_hand.random_book(random, causes=6, quantities=3)
    proven = tuple(random.sample(["c1", "c2", "c3"], random.randint(1, 2)))
    only = by_hand.quantity("fitted", {"yes": 0, "no": 0}, normal="yes", role="given")
    causes = [
        by_hand.cause(
            c.id,
            max(c.how_common.value, 0.01),
            {arc.cause: arc.how_often.value for arc in c.leads_to},
            only_when={"fitted": "yes"} if c.id == "c4" else None,
        )
        for c in book.causes.values()
    ]
    proofs = [by_hand.rule(f"proof-{name}", {"q0": "good"}, proves=name) for name in proven]
    book = by_hand.book([*book.quantities.values(), only], causes, [*book.rules.values(), *proofs])
    seen = by_hand.random_readings(random, book)
    seen.pop("q0", None)
    fired = [rule.id for rule in proofs]
    found = weigh(Belief(book), by_hand.firings(book, seen, givens={"fitted": "no"}, fired=fired))
    wanted = slow_belief.posterior(book, seen, impossible=["c4"], proven=proven)
    assert_same(found, book, wanted)
    assert found.history.impossible == {"c4": "fitted"}


def test_history_moves_the_prior_by_the_first_entry_that_surely_holds() -> None:
    asked = by_hand.quantity("cleaner", {"none": 0, "acid": 0}, role="given")
    q = by_hand.quantity("ph", {"acid": 0.004, "good": 0})
    book = by_hand.book(
        [asked, q],
        [by_hand.cause("rest", 0.03, prior_when=[({"cleaner": "acid"}, 0.3), ({"cleaner": "none"}, 0.005)])],
        [by_hand.rule("r", {"ph": "acid"}, {"rest": 0.75})],
    )
    belief = Belief(book)
    seen = {"ph": [("eye", {"acid": 1.0})]}
    for said, own in (({}, 0.03), ({"cleaner": "acid"}, 0.3), ({"cleaner": "none"}, 0.005)):
        found = weigh(belief, by_hand.firings(book, seen, givens=said))
        assert_same(found, book, slow_belief.posterior(book, seen, own={"rest": own}))


def test_only_rules_in_force_link() -> None:
    random = Random(7)
    book = by_hand.random_book(random, causes=4, quantities=3)
    seen = by_hand.random_readings(random, book)
    in_force = [name for name in book.rules if random.random() < 0.5]
    found = weigh(Belief(book), by_hand.firings(book, seen, in_force=in_force))
    assert_same(found, book, slow_belief.posterior(book, seen, in_force=in_force))


def test_one_liquid_several_instruments() -> None:
    """Two that disagree raise the misreading; the same reading twice by one tool would add nothing."""
    ph = by_hand.quantity("ph", {"acid": 0.004, "good": 0}, fooled_by={"pad": ["pad_spoiled"], "meter": []})
    causes = [by_hand.cause("gas", 0.06), by_hand.cause("pad_spoiled", 0.05, kind="misread")]
    book = by_hand.book([ph], causes, [by_hand.rule("r", {"ph": "acid"}, {"gas": 0.55})])
    belief = Belief(book)

    def chances(*readings: tuple[str, str]) -> tuple[float, float]:
        seen = {"ph": [(method, {band: 1.0}) for method, band in readings]}
        found = weigh(belief, by_hand.firings(book, seen))
        assert_same(found, book, slow_belief.posterior(book, seen))
        return found.chances[0], found.chances[1]

    gas, spoiled = chances(("pad", "acid"))
    both_gas, both_spoiled = chances(("pad", "acid"), ("meter", "acid"))
    apart_gas, apart_spoiled = chances(("pad", "acid"), ("meter", "good"))
    assert both_gas > gas > 0.06
    assert both_spoiled < spoiled
    assert apart_spoiled > 0.9 > 0.1 > apart_gas


def test_the_better_instrument_is_believed_where_nothing_can_have_fooled_either() -> None:
    healthy = {"good": 0, "milky": 0.01, "glycol": 0.002}
    oil = by_hand.quantity("oil", healthy, fooled_by={"eye": [], "test": []}, better={"eye": "test"})
    rules = [
        by_hand.rule("r", {"oil": "glycol"}, {"gasket": 0.5}),
        by_hand.rule("s", {"oil": "milky"}, {"gasket": 0.3}),
    ]
    book = by_hand.book([oil], [by_hand.cause("gasket", 0.05)], rules)
    belief = Belief(book)
    both = {"oil": [("eye", {"milky": 1.0}), ("test", {"glycol": 1.0})]}
    found = weigh(belief, by_hand.firings(book, both))
    assert_same(found, book, slow_belief.posterior(book, {"oil": [("test", {"glycol": 1.0})]}))


def test_unknown_and_not_done_are_no_evidence() -> None:
    book = by_hand.random_book(Random(3), causes=4, quantities=2)
    belief = Belief(book)
    silent = weigh(belief, by_hand.firings(book, {}, status={"q0": "unknown", "q1": "not_done"}))
    assert silent.chances.tolist() == weigh(belief, by_hand.firings(book, {})).chances.tolist()


def test_readings_that_nothing_explains_are_refused_by_name() -> None:
    book = by_hand.book(
        [
            by_hand.quantity("film", {"good": 0, "oil": 0.0}, fooled_by={"eye": [], "tube": []}),
            by_hand.quantity("ph", {"acid": 0.004, "good": 0}),
        ],
        [by_hand.cause("oil", 0.05)],
        [by_hand.rule("r", {"film": "oil"}, {"oil": 0.9}), by_hand.rule("s", {"ph": "acid"}, {"oil": 0.1})],
    )
    seen = {"film": [("eye", {"good": 1.0}), ("tube", {"oil": 1.0})], "ph": [("eye", {"good": 1.0})]}
    with pytest.raises(Contradiction) as caught:
        weigh(Belief(book), by_hand.firings(book, seen))
    (problem,) = caught.value.problems
    assert problem.check == "contradiction"
    assert "film ('good' and 'oil')" in problem.says
    assert "ph" not in problem.says


def test_a_proof_of_what_the_car_has_not_is_refused() -> None:
    given = by_hand.quantity("cooler", {"fitted": 0, "none": 0}, normal="fitted", role="given")
    oil = by_hand.quantity("oil", {"clean": 0, "glycol": 0.001}, normal="clean")
    proof = by_hand.rule("PROOF", {"oil": "glycol"}, {"cooler_leak": 0.9})
    sure = by_hand.rule("SURE", {"oil": "glycol"}, proves="cooler_leak")
    book = by_hand.book(
        [given, oil], [by_hand.cause("cooler_leak", 0.02, only_when={"cooler": "fitted"})], [proof, sure]
    )
    firings = by_hand.firings(book, {"oil": [("eye", {"glycol": 1.0})]}, givens={"cooler": "none"}, fired=["SURE"])
    with pytest.raises(
        Contradiction, match=r"oil \('glycol'\) proves 'cooler_leak', but cooler \('none'\) rules it out"
    ):
        weigh(Belief(book), firings)


def test_a_proof_outweighs_a_prior_of_nothing() -> None:
    q = by_hand.quantity("q", {"good": 0, "bad": 0.01})
    rules = [by_hand.rule("r", {"q": "bad"}, {"leak": 0.5}), by_hand.rule("proof", {"q": "bad"}, proves="leak")]
    book = by_hand.book([q], [by_hand.cause("leak", 0.0), by_hand.cause("other", 0.1)], rules)
    found = weigh(Belief(book), by_hand.firings(book, {"q": [("eye", {"bad": 1.0})]}, fired=["proof"]))
    assert found.chances.tolist() == pytest.approx([1.0, 0.1])


def test_many_proven_causes_at_once() -> None:
    names = [f"c{n}" for n in range(6)]
    q = by_hand.quantity("q", {"good": 0, "bad": 0.01})
    rules = [by_hand.rule("r", {"q": "bad"}, dict.fromkeys(names, 0.5))]
    proofs = [by_hand.rule(f"p{name}", {"q": "bad"}, proves=name) for name in names[:5]]
    book = by_hand.book([q], [by_hand.cause(name, 0.1) for name in names], [*rules, *proofs])
    seen = {"q": [("eye", {"bad": 1.0})]}
    found = weigh(Belief(book), by_hand.firings(book, seen, fired=[rule.id for rule in proofs]))
    assert_same(found, book, slow_belief.posterior(book, seen, proven=names[:5]))
