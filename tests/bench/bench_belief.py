"""How long a posterior and a whole diagnosis take in books of several sizes. Run by hand; RESULTS.md keeps the figures.

    python tests/bench/bench_belief.py

The books are made up at random, with chains, groups and instruments like a real one's. Each time is the least of
several runs, and the median over the cases is shown. "Next test" is the whole choice of what to test next, "with
rollout" the same with each of the best tests followed to the end. The clock is the processor time of this process,
which other programs stretch less than the wall's; and a loop in bare Python is timed in the same run, so that figures
from two machines can be compared.
"""

from __future__ import annotations

import platform
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from random import Random
from statistics import median
from time import process_time
from typing import TypeVar

sys.path.insert(0, str(Path(__file__).parent.parent / "diagnosis"))

import by_hand

from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.choice import choose_tests
from diagnose.diagnosis.from_firings import diagnose
from diagnose.diagnosis.model import Suspect
from diagnose.diagnosis.posterior import Posterior, weigh
from diagnose.diagnosis.shop import EVERY_TOOL
from diagnose.diagnosis.suspects import suspects_of
from diagnose.firings.model import Firings
from diagnose.rulebook.model import Book, Rule

T = TypeVar("T")
Weighed = tuple[Posterior, tuple[Suspect, ...]]
RUNS = 12
CASES = 20
SQUARES = 100_000
NEXT_TEST_AT_MOST, ROLLOUT_AT_MOST = 3.0, 200.0
"""Milliseconds, at 30 causes."""


@dataclass(frozen=True)
class Size:
    causes: int
    arcs: int
    quantities: int
    readings: int
    posterior_at_most: float | None
    diagnosis_at_most: float | None


SIZES = (
    Size(15, 6, 15, 8, None, 1.0),
    Size(20, 8, 20, 8, None, 1.0),
    Size(30, 12, 25, 8, 0.3, None),
    Size(50, 25, 45, 12, None, 5.0),
    Size(50, 25, 45, 20, None, 5.0),
)


def main() -> None:
    print(f"Python {platform.python_version()}\n")
    print(f"The sum of {SQUARES:,} squares in bare Python takes {bare():.1f} ms, the least of {RUNS} runs.\n")
    print(
        "| causes | sets | readings | compile | first case | posterior | target | next test | target | with rollout "
        "| target | diagnosis | target |"
    )
    print("|---|---|---|---|---|---|---|---|---|---|---|---|---|")
    for size in SIZES:
        book = make_book(size, Random(size.causes))
        random = Random(5)
        cases = [make_case(book, random, size.readings) for _ in range(CASES)]
        start = process_time()
        belief = Belief(book)
        compiled = process_time()
        diagnose(cases[0], belief)
        first = process_time()
        weight = least(lambda case, belief=belief: weigh(belief, case), cases)
        whole = least(lambda case, belief=belief: diagnose(case, belief), cases)
        weighed = [(posterior, suspects_of(posterior)) for posterior in (weigh(belief, case) for case in cases)]
        choice = least(choosing(rollout=False), weighed)
        rolled = least(choosing(rollout=True), weighed, runs=3)
        at_30 = size.causes == 30
        print(
            f"| {size.causes} | {belief.sets.count:,} | {size.readings} | {1000 * (compiled - start):.1f} ms "
            f"| {1000 * (first - compiled):.1f} ms | {weight:.2f} ms | {held(weight, size.posterior_at_most)} "
            f"| {choice:.2f} ms | {held(choice, NEXT_TEST_AT_MOST if at_30 else None)} "
            f"| {rolled:.1f} ms | {held(rolled, ROLLOUT_AT_MOST if at_30 else None)} "
            f"| {whole:.2f} ms | {held(whole, size.diagnosis_at_most)} |"
        )


def bare() -> float:
    """Milliseconds of a loop that needs nothing but Python."""
    best = float("inf")
    for _ in range(RUNS):
        start = process_time()
        sum(n * n for n in range(SQUARES))
        best = min(best, process_time() - start)
    return 1000 * best


def choosing(rollout: bool) -> Callable[[Weighed], object]:
    return lambda case: choose_tests(case[0], case[1], EVERY_TOOL, rollout)


def least(run: Callable[[T], object], cases: list[T], runs: int = RUNS) -> float:
    """Median over the cases of the least milliseconds."""
    best = [float("inf")] * len(cases)
    for _ in range(runs):
        for number, case in enumerate(cases):
            start = process_time()
            run(case)
            best[number] = min(best[number], process_time() - start)
    return 1000 * median(best)


def held(measured: float, at_most: float | None) -> str:
    if at_most is None:
        return ""
    return f"{at_most:g} ms {'held' if measured <= at_most else 'MISSED'}"


def make_book(size: Size, random: Random) -> Book:
    names = [f"c{number:02d}" for number in range(size.causes)]
    arcs: dict[str, dict[str, float]] = {name: {} for name in names}
    while sum(map(len, arcs.values())) < size.arcs:
        parent, child = sorted(random.sample(names, 2))
        arcs[parent].setdefault(child, random.choice([0.15, 0.3, 0.55, 0.75]))
    misreads = names[-max(1, size.causes // 10) :]
    kinds = {name: "misread" if name in misreads else "fault" for name in names}
    causes = [by_hand.cause(n, random.choice([0.005, 0.01, 0.03, 0.06, 0.12]), arcs[n], kind=kinds[n]) for n in names]
    measured, rules, tests = [], [], []
    for number in range(size.quantities):
        name = f"q{number}"
        combine = ["balance", "first_to_act", "worst_wins"][number % 3]
        bands = ["good", "bad", "worse"] if combine == "worst_wins" else ["far_below", "below", "good", "above"]
        measured.append(
            by_hand.quantity(
                name,
                {band: random.uniform(0.002, 0.008) for band in bands},
                combine=combine,
                cancel=0.5 if combine == "balance" else 0.0,
                group="inhibitors" if number < 3 else "gas" if number < 7 else "",
                fooled_by={"pad": [random.choice(misreads)] if number % 3 == 0 else [], "meter": []},
                better={"pad": "meter"},
            )
        )
        linked = min(size.causes // 2, 14) if number < 3 else random.randint(4, 9)
        for cause in random.sample(names[: -len(misreads)], linked):
            band = random.choice([band for band in bands if band != "good"])
            ask = [f"t{random.randrange(size.quantities)}"]
            share = random.choice([0.15, 0.3, 0.55, 0.75])
            rules.append(by_hand.rule(f"r{len(rules)}", {name: band}, {cause: share}, ask))
        tests.append(by_hand.a_test(f"t{number}", {name: "pad"}, minutes=random.choice([1, 2, 5, 10, 20])))
    return by_hand.book(measured, causes, rules, tests)


def make_case(book: Book, random: Random, readings: int) -> Firings:
    """One or two causes, and what they show in some of the quantities."""
    present = random.sample(list(book.causes), random.choice([1, 1, 2]))
    seen = {}
    for name in random.sample(list(book.quantities), readings):
        band = "good"
        for rule in book.rules.values():
            link = rule.seen_with[0]
            if rule.when[0].quantity == name and link.cause in present and random.random() < link.how_often.value:
                band = rule.when[0].bands[0]
        seen[name] = [("pad", {band: 1.0})]
    fired = [rule.id for rule in book.rules.values() if _holds(rule, seen)]
    return by_hand.firings(book, seen, fired=fired)


def _holds(rule: Rule, seen: by_hand.Seen) -> bool:
    (condition,) = rule.when
    return any(condition.bands[0] in bands for _, bands in seen.get(condition.quantity, ()))


if __name__ == "__main__":
    main()
