"""The wrapper survives the known traps of durable_rules 2.0.28: each one hangs, crashes or lies without it."""

from __future__ import annotations

import random
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from itertools import combinations, count
from types import SimpleNamespace
from typing import Any

import pytest

from diagnose.firings.durable_layout import MOST_GATES, MOST_TERMS, lay_out
from diagnose.firings.matcher import EngineFailure, EngineUnavailable
from diagnose.firings.plain import PlainMatcher

durable = pytest.importorskip("diagnose.firings.durable", reason="durable-rules is not installed")


def terms(count: int) -> list[str]:
    return [f"t{number}" for number in range(count)]


def agree(rules: dict[str, frozenset[str]], *cases: frozenset[str]) -> None:
    engine, plain = durable.DurableMatcher(rules), PlainMatcher(rules)
    for case in cases:
        assert engine.fire(case) == plain.fire(case)


def test_a_fact_may_satisfy_more_than_64_tests_at_one_place() -> None:
    # error 303 without gates: nothing fires
    every = terms(170)
    agree({f"R{term}": frozenset({term}) for term in every}, frozenset(every), frozenset(every[:65]))


def test_more_than_64_second_tests_after_the_same_first_one() -> None:
    every = terms(170)
    agree({f"R{term}": frozenset({"aa", term}) for term in every}, frozenset(["aa", *every]), frozenset(every))


def test_more_than_511_different_first_tests() -> None:
    # the 513th never returns and can't be interrupted: so in a process of its own, with a limit
    program = """
from diagnose.firings.durable import DurableMatcher
every = [f"t{number}" for number in range(700)]
fired = DurableMatcher({f"R{term}": frozenset({term}) for term in every}).fire(frozenset(every))
print(len(fired))
"""
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout == "700\n"


def test_more_than_256_rules_with_the_same_conditions() -> None:
    # error 108 without sharing
    agree({f"R{number}": frozenset({"a", "b"}) for number in range(300)}, frozenset({"a", "b"}), frozenset({"a"}))


def test_more_than_4096_rules() -> None:
    pairs = list(combinations(terms(95), 2))
    assert len(pairs) > 4096
    agree({f"R{first}{second}": frozenset({first, second}) for first, second in pairs}, frozenset(terms(12)))


def test_more_than_252_properties_in_one_case() -> None:
    # error 302 without several rulesets
    every = terms(600)
    rules = {f"R{number}": frozenset(every[number : number + 3]) for number in range(598)}
    agree(rules, frozenset(every), frozenset(every[::2]))


def test_a_rule_with_too_many_conditions_is_refused_before_the_engine_sees_it() -> None:
    with pytest.raises(EngineUnavailable, match="a rule of 201 conditions, 200 at most"):
        durable.DurableMatcher({"R": frozenset(terms(MOST_TERMS + 1))})
    agree({"R": frozenset(terms(MOST_TERMS))}, frozenset(terms(MOST_TERMS)), frozenset(terms(MOST_TERMS - 1)))


@pytest.mark.parametrize("conditions", [1, 2, 3, 8])
def test_the_layout_keeps_every_limit_and_loses_no_rule(conditions: int) -> None:
    choose = random.Random(4)
    every = terms(500)
    wanted = {frozenset(choose.sample(every, choose.randint(1, conditions))) for _ in range(3000)}
    rulesets = lay_out(wanted)
    kept = [frozenset(path) for ruleset in rulesets for gate in ruleset.gates for path in gate.conjunctions]
    assert len(kept) == len(wanted)
    assert set(kept) == wanted
    for ruleset in rulesets:
        assert len(ruleset.terms) + MOST_GATES + len(["closed_", "sid", "id", "the object itself"]) <= 252
        paths = [(f"g{number}", *path) for number, gate in enumerate(ruleset.gates) for path in gate.conjunctions]
        assert most_waiting([*paths, ("closed_",)]) <= 64


def most_waiting(paths: list[tuple[str, ...]]) -> int:
    """The library's own walk over the tests of a ruleset, for a fact that satisfies all, in the worst order."""
    branches: dict[str, list[tuple[str, ...]]] = {}
    for first, *rest in paths:
        branches.setdefault(first, []).append(tuple(rest))
    most = [most_waiting([path for path in below if path]) for below in branches.values()]
    return max([len(branches), *(len(branches) - 1 + below for below in most)])


def test_a_fact_that_satisfies_everything_does_not_overflow_the_engine() -> None:
    # all branches still to be walked wait on one stack of 64
    choose = random.Random(2)
    every = terms(150)
    pairs = choose.sample(list(combinations(every, 2)), 1500)
    triples = choose.sample(list(combinations(every[:40], 3)), 1000)
    rules = {f"R{number}": frozenset(each) for number, each in enumerate([*pairs, *triples, *zip(every)])}
    agree(rules, frozenset(every), frozenset(every[::-2]))


def test_no_two_properties_look_the_same_to_the_engine() -> None:
    # it compares names by a hash of 32 bits (FNV-1, as published: offset basis 2166136261, prime 16777619)
    def fnv1(name: str) -> int:
        value = 2166136261
        for byte in name.encode():
            value = (value * 16777619 % 2**32) ^ byte
        return value

    names = [*terms(20_000), *(f"g{number}" for number in range(MOST_GATES)), "opened_", "closed_", "sid", "id"]
    assert len({fnv1(name) for name in names}) == len(names)


def test_more_than_1024_cases_leave_none_open() -> None:
    # the 1,025th open case is refused, and asking again crashes the process
    engine = durable.DurableMatcher({"R": frozenset({"a"})})
    for _ in range(1100):
        assert engine.fire(frozenset({"a"})) == {"R"}


def test_a_case_in_which_nothing_fires_can_be_deleted() -> None:
    # wild memory is freed without the rule that opens each case; the poisoned allocator makes it crash at once
    program = """
from diagnose.firings.durable import DurableMatcher
for _ in range(20):
    engine = DurableMatcher({"R": frozenset({"a", "b"})})
    for _ in range(20):
        assert engine.fire(frozenset({"a"})) == frozenset()
print("alive")
"""
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, timeout=60, check=False,
        env={"MALLOC_PERTURB_": "165", "PYTHONPATH": ":".join(sys.path)},
    )  # fmt: skip
    assert (done.stdout, done.returncode) == ("alive\n", 0)


@pytest.mark.parametrize(
    "term", ["id", "sid", "$s", "$and", "opened_", "closed_", "g0", "t0", "null", "ö 'x' \\ \"", ""]
)
def test_names_that_mean_something_to_the_engine(term: str) -> None:
    agree({term: frozenset({term}), "R": frozenset({term, "t1"})}, frozenset({term}), frozenset({term, "t1"}))


def test_terms_that_no_rule_asks_for() -> None:
    # the engine raises for a fact that no rule looks at
    agree({"R": frozenset({"a"})}, frozenset(), frozenset({"x"}), frozenset({"a", "x"}))


def test_a_fact_that_only_later_tests_look_at() -> None:
    agree({"R": frozenset({"a", "b"})}, frozenset({"b"}))


def test_the_same_case_twice() -> None:
    # 'already observed' without a case number of its own
    agree({"R": frozenset({"a"})}, frozenset({"a"}), frozenset({"a"}))


def test_no_rules_at_all() -> None:
    agree({}, frozenset({"a"}))


def test_no_threads_are_started() -> None:
    before = threading.active_count()
    engine = durable.DurableMatcher({"R": frozenset({"a"})})
    engine.fire(frozenset({"a"}))
    assert threading.active_count() == before


def test_several_matchers_of_the_same_rules_live_side_by_side() -> None:
    # the engine refuses a ruleset name twice in one host and spoils the dict it is given
    rules = {"R": frozenset({"a"})}
    first, second = durable.DurableMatcher(rules), durable.DurableMatcher(rules)
    assert first.fire(frozenset({"a"})) == second.fire(frozenset({"a"})) == {"R"}
    assert rules == {"R": frozenset({"a"})}


def test_threads_may_share_a_matcher() -> None:
    choose = random.Random(7)
    every = terms(40)
    rules = {f"R{number}": frozenset(choose.sample(every, 2)) for number in range(80)}
    cases = [frozenset(choose.sample(every, 15)) for _ in range(400)]
    engine, plain = durable.DurableMatcher(rules), PlainMatcher(rules)
    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(engine.fire, cases)) == [plain.fire(case) for case in cases]


def test_an_exception_in_an_action_is_not_swallowed(monkeypatch: pytest.MonkeyPatch) -> None:
    # the engine stores it in the case's state and goes on as if nothing had happened
    def spoiled(into: set[str], names: list[str]) -> Any:
        def remember(_: Any) -> None:
            if "R" in names:
                raise ValueError("spoiled")
            into.update(names)

        return remember

    monkeypatch.setattr(durable, "_remember", spoiled)
    engine = durable.DurableMatcher({"R": frozenset({"a"})})
    with pytest.raises(EngineFailure, match="spoiled"):
        engine.fire(frozenset({"a"}))
    assert engine.fire(frozenset({"b"})) == frozenset()


def test_a_case_that_is_not_worked_to_its_end_is_not_a_result(monkeypatch: pytest.MonkeyPatch) -> None:
    engine = durable.DurableMatcher({"R": frozenset({"a"})})
    assert_fact = durable.QuietHost.assert_fact

    def refuse(host: Any, name: str, fact: dict[str, Any]) -> None:
        if "closed_" in fact:
            raise durable.engine.MessageNotHandledException(fact)
        assert_fact(host, name, fact)

    monkeypatch.setattr(durable.QuietHost, "assert_fact", refuse)
    with pytest.raises(EngineFailure, match="left over"):
        engine.fire(frozenset({"a"}))


def test_a_refused_fact_is_a_failure_that_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    engine = durable.DurableMatcher({"R": frozenset({"a"})})
    real = durable.QuietHost.assert_fact

    def overfull(host: Any, name: str, fact: dict[str, Any]) -> None:
        real(host, name, {**fact, **{f"p{number}": 1 for number in range(300)}} if "closed_" in fact else fact)

    monkeypatch.setattr(durable.QuietHost, "assert_fact", overfull)
    with pytest.raises(EngineFailure, match="302"):
        engine.fire(frozenset({"a"}))


def test_a_computer_put_to_sleep_does_not_lock_the_case(monkeypatch: pytest.MonkeyPatch) -> None:
    # an action of more than ten seconds is never completed; here an hour goes by at each look at the clock
    start = datetime(2026, 1, 1)
    hours = count()

    class Leaping:
        now = staticmethod(lambda: start + timedelta(hours=next(hours)))
        utcfromtimestamp = staticmethod(lambda _: start)

    engine = durable.DurableMatcher({"R": frozenset({"a"}), "S": frozenset({"a", "b"})})
    monkeypatch.setattr(durable.engine, "datetime", SimpleNamespace(datetime=Leaping))
    assert engine.fire(frozenset({"a", "b"})) == {"R", "S"}


def test_warnings_made_errors_do_not_stop_a_case() -> None:
    # from Python 3.12 on the library's own clock warns at each firing
    program = """
from diagnose.firings.durable import DurableMatcher
print(*DurableMatcher({"R": frozenset({"a"})}).fire(frozenset({"a"})))
"""
    done = subprocess.run([sys.executable, "-W", "error", "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout == "R\n"
