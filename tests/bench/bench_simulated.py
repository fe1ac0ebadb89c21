"""Cars drawn from the book, tested as the program says until it stops. Run by hand; RESULTS.md keeps the figures.

    python tests/bench/bench_simulated.py [--cars 400] [--processes 2]

A car comes in with one of the book's entry symptoms; what is present is drawn from the belief, and each test's answer
from what such a car shows, given all that was read before. Then the same where the cars come from a book whose
judgement was shaken by a factor of 2, so that the program does not merely agree with itself. Beside it: the same cars
tested in the fixed order of the book, and with every test of today done. Every car is tested in all the ways, and
each figure stands with its standard error. Writes calibration.svg.

"Root first": the first root that the work-up lists is present, and nothing present led to it. "Right repair first": the
repair that spares most, as the program reckons at the end, mends something that is present; where it would repair
nothing, that nothing present is worth its repair.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import redirect_stdout
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from random import Random
from typing import TextIO

import numpy as np

from diagnose.diagnosis.answers import Foresight
from diagnose.diagnosis.asking import ask
from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.costs import losses, repair_of
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.from_firings import diagnose
from diagnose.diagnosis.information import Question
from diagnose.diagnosis.posterior import Posterior, weigh
from diagnose.diagnosis.reach import way_to
from diagnose.diagnosis.shake import shaken
from diagnose.diagnosis.yields import yielded
from diagnose.graph.road import Answer, Road, State, after, start_state
from diagnose.pipeline import Bench
from diagnose.rulebook.model import Cause, Quantity, Test
from diagnose.yamlfile import InputError

BOOK = Path(__file__).parent.parent.parent / "rulebooks" / "passenger-car"
SEED = 11
MOST_TESTS = 12
SO_FAR = 25
"""After so many cars it is told on the other stream how things stand."""
FIXED = "fixed order of the book, until 95 % sure"
WAYS = ("ours", "no test", FIXED, "every test of today")
FACTOR = 2.0


@dataclass(frozen=True)
class Ending:
    """What came of one car."""

    root_first: bool
    right_repair: bool
    in_three: float
    tests: int
    minutes: float
    stopping: float
    told: tuple[tuple[float, bool], ...]

    @property
    def all_minutes(self) -> float:
        return self.minutes + self.stopping


Car = dict[str, Ending]
"""One car, by way of testing."""


class World:
    """What the cars really do: a belief of its own, asked for the same findings."""

    def __init__(self, road: Road, belief: Belief, random: Random) -> None:
        self.road = road
        self.belief = belief
        self.random = random

    def car(self, answers: tuple[Answer, ...]) -> int:
        """A hypothesis, drawn from what may stand behind these answers; never nothing at all."""
        weights = self.start(answers).weights.copy()
        weights[0] = 0.0
        weights /= weights.sum()
        return int(np.searchsorted(np.cumsum(weights), self.random.random()))

    def start(self, answers: tuple[Answer, ...]) -> Posterior:
        """What may stand behind what a car came in with."""
        return weigh(self.belief, self.road.firings(answers, start_state(self.road.book)), proofs=False)

    def told(self, place: int, quantity: Quantity, answers: tuple[Answer, ...], state: State) -> tuple[Answer, ...]:
        """What people say about the history of this car."""
        if any(answer.quantity == quantity.id for answer in answers):
            return answers
        posterior = weigh(self.belief, self.road.firings(answers, state), proofs=False)
        joint = ask(quantity, posterior, Focus(posterior, np.array([place])), np.array([1.0, 0.0]))[0]
        return (*answers, Answer(quantity.id, quantity.bands[drawn(joint, self.random)].id))

    def answer(self, place: int, test: Test, answers: tuple[Answer, ...], state: State) -> tuple[Answer, ...]:
        """What the car shows in a test, one quantity after the other."""
        for each in test.yields:
            quantity = self.road.book.quantities[each.quantity]
            if quantity.role == "given" and quantity.how_often and quantity.id in self.belief.moves:
                answers = self.told(place, quantity, answers, state)
            if quantity.role != "reading" or any(a.quantity == quantity.id for a in answers):
                continue
            # the truth is one set of causes; what a rule takes for proven does not change it
            posterior = weigh(self.belief, self.road.firings(answers, state), proofs=False)
            left = [told for told in yielded(test, posterior).evidence if told.quantity.id == quantity.id]
            if not left:
                continue
            focus = Focus(posterior, np.array([place]))
            question = Question(Focus.above(posterior, 1e-3), [])
            given = Foresight(posterior, focus, question).given_the_set(self.belief.block_of[quantity.id], left[:1])[0]
            band = quantity.bands[drawn(given, self.random)]
            answers = (*answers, Answer(quantity.id, band.id, each.method))
        return answers


def drawn(shares: np.ndarray[tuple[int], np.dtype[np.float64]], random: Random) -> int:
    return min(int(np.searchsorted(np.cumsum(shares / shares.sum()), random.random())), len(shares) - 1)


def main() -> int:
    parser = argparse.ArgumentParser(description="Test cars that are drawn from the book.")
    parser.add_argument("--cars", type=int, default=400)
    parser.add_argument("--processes", type=int, default=1)
    options = parser.parse_args()
    series: dict[str, list[Car]] = {"from the book": [], f"from books shaken by {FACTOR:g}": []}
    with ProcessPoolExecutor(options.processes) as pool:
        for start in range(0, options.cars, SO_FAR):
            numbers = range(start, min(start + SO_FAR, options.cars))
            for title, cars in series.items():
                found = pool.map(partial(run, shake=cars is not series["from the book"]), numbers)
                cars += [car for car in found if car is not None]
                show(title, cars, numbers.stop, sys.stderr)
    for title, cars in series.items():
        show(title, cars, options.cars, sys.stdout)
    told = [[each for car in cars for each in car["ours"].told] for cars in series.values()]
    path = Path(__file__).parent / "calibration.svg"
    path.write_text(svg(*told), encoding="utf-8")
    return 0


def show(title: str, cars: Sequence[Car], drawn: int, to: TextIO) -> None:
    with redirect_stdout(to):
        print(f"\n{len(cars)} cars drawn {title}\n")
        if len(cars) < drawn:
            print(f"{drawn - len(cars)} more showed what the book can't explain, and are left out.\n")
        table(cars)
        beside(cars)
        to.flush()


def table(cars: Sequence[Car]) -> None:
    heads = ("root first", "right repair first", "present in the first three", "tests", "minutes of testing")
    print(f"| way of testing | {' | '.join(heads)} | all minutes |")
    print("|---|---|---|---|---|---|---|")
    for way in WAYS:
        of = [car[way] for car in cars]
        cells = [
            *(share([float(each) for each in values]) for values in (
                [e.root_first for e in of], [e.right_repair for e in of], [e.in_three for e in of]
            )),
            number([e.tests for e in of], 1),
            number([e.minutes for e in of]),
            number([e.all_minutes for e in of]),
        ]  # fmt: skip
        print(f"| {way} | {' | '.join(cells)} |")


def beside(cars: Sequence[Car]) -> None:
    """Ours and the fixed order on the same cars."""
    spared = [car[FIXED].all_minutes - car["ours"].all_minutes for car in cars]
    lost = [car for car in cars if car[FIXED].root_first and not car["ours"].root_first]
    won = sum(car["ours"].root_first and not car[FIXED].root_first for car in cars)
    print(f"\nOn the same car ours takes {number(spared)} minutes less than the fixed order.", end=" ")
    print(f"In {len(lost)} cars the fixed order names the root first and ours does not, in {won} the other way round.")
    same = [car for car in lost if car["ours"].right_repair]
    rest = [car for car in lost if not car["ours"].right_repair]
    less = [car for car in rest if car["ours"].all_minutes < car[FIXED].all_minutes]
    print(f"Of the {len(lost)}, in {len(same)} the first repair of ours is right all the same;", end=" ")
    print(f"in {len(less)} of the others ours takes fewer minutes in all, wrong repair included; in", end=" ")
    print(f"{len(rest) - len(less)} it does not.")


def share(values: Sequence[float]) -> str:
    """'67 ± 2 %': mean and standard error."""
    return f"{100 * np.mean(values):.0f} ± {100 * error(values):.1f} %"


def number(values: Sequence[float], digits: int = 0) -> str:
    return f"{np.mean(values):.{digits}f} ± {error(values):.{digits}f}"


def error(values: Sequence[float]) -> float:
    """Standard error of the mean."""
    return float(np.std(values, ddof=1) / np.sqrt(len(values))) if len(values) > 1 else float("nan")


@cache
def the_road() -> Road:
    """Once in a process."""
    bench = Bench(BOOK, "plain")
    return Road(bench.book, bench.rules, bench.belief)


def run(number: int, shake: bool) -> Car | None:
    """One car, tested in every way; None where it shows what the book can't explain."""
    road, random = the_road(), Random(f"{SEED} {number}")
    truth = road.belief
    if shake:
        truth = Belief(shaken(road.book, FACTOR, Random(1000 + number)), like=road.belief)
    world = World(road, truth, random)
    starts = [start for entry in road.book.entries.values() for start in entry.starts]
    answers = tuple(Answer(c.quantity, c.bands[0]) for c in random.choice(starts))
    place = world.car(answers)
    seed = random.random()
    found = {}
    for way in WAYS:
        world.random = Random(seed)
        try:
            found[way] = one_car(world, place, answers, way)
        except InputError:
            return None
    return found


def one_car(world: World, place: int, answers: tuple[Answer, ...], way: str) -> Ending:
    road = world.road
    state = start_state(road.book)
    minutes, tests = 0.0, 0
    order = iter(road.book.tests.values())
    while tests < (MOST_TESTS if way == "ours" else 999):
        firings = road.firings(answers, state)
        test = next_test(road, firings, way, order, state)
        if test is None:
            break
        told = world.answer(place, test, answers, state)
        minutes += test.minutes + way_to(test, state, road.book).minutes
        tests += 1
        state = after(test, state)
        if told == answers and way == "ours":
            break
        answers = told
    return finish(road, place, answers, state, minutes, tests)


def next_test(road: Road, firings: object, way: str, order: Iterator[Test], state: State) -> Test | None:
    if way == "no test":
        return None
    if way == "ours":
        found = diagnose(firings, road.belief)  # type: ignore[arg-type]
        return found.next_tests[0].test if found.next_tests else None
    posterior = weigh(road.belief, firings)  # type: ignore[arg-type]
    if way == FIXED and float(posterior.chances.max()) >= 0.95:
        return None
    for test in order:
        if way_to(test, state, road.book).today and yielded(test, posterior).evidence:
            return test
    return None


def finish(road: Road, place: int, answers: tuple[Answer, ...], state: State, minutes: float, tests: int) -> Ending:
    belief = road.belief
    present = {belief.causes[m] for m in belief.sets.members[:, place].tolist() if m < belief.sets.n}
    children = {arc.cause for name in present for arc in belief.book.causes[name].leads_to}
    roots = present - children
    firings = road.firings(answers, state)
    found = diagnose(firings, belief)
    first = next((s.cause.id for s in found.listed() if s.root), "")
    ranked = [s.cause.id for s in found.listed()][:3]
    posterior = weigh(belief, firings)
    cost, repairs = stopping(posterior, place)
    worth = {name for name in present if _worth_it(belief.book.causes[name])}
    needed = {repair_of(belief.book.causes[name]) for name in present}
    return Ending(
        root_first=first in roots,
        right_repair=repairs[0] in needed if repairs else not worth,
        in_three=len(present & set(ranked)) / min(3, len(present)),
        tests=tests,
        minutes=minutes,
        stopping=cost,
        told=tuple((s.probability, s.cause.id in present) for s in found.suspects if s.state != "impossible"),
    )


def _worth_it(cause: Cause) -> bool:
    return cause.comes_back.minutes > cause.repair.minutes


def stopping(posterior: Posterior, place: int) -> tuple[float, tuple[str, ...]]:
    """What the repairs that are done, and the causes left in, cost on this car; and the repairs."""
    belief = posterior.belief
    focus = Focus.above(posterior, 1e-5)
    lost = losses(belief.book, belief.causes, focus, belief.index)
    mass = Question(focus, []).mass
    costs = mass @ lost.matrix
    car = Focus(weigh(belief, posterior.firings, proofs=False), np.array([place]))
    real = losses(belief.book, belief.causes, car, belief.index).matrix[0]
    ends = [*lost.starts[1:].tolist(), lost.matrix.shape[1]]
    pairs = zip(lost.starts.tolist(), ends, strict=True)
    return float(sum(real[s + int(np.argmin(costs[s:e]))] for s, e in pairs)), lost.chosen(mass)


def svg(ours: list[tuple[float, bool]], other: list[tuple[float, bool]]) -> str:
    """How often a cause was present, over the probability that was told, in tenths; the dashed line is right."""
    lines = [
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 320 320" font-family="sans-serif" font-size="11">',
        '<rect x="40" y="20" width="260" height="260" fill="none" stroke="#444"/>',
        '<line x1="40" y1="280" x2="300" y2="20" stroke="#888" stroke-dasharray="4 3"/>',
        '<text x="170" y="308" text-anchor="middle">probability that was told</text>',
        '<text x="14" y="150" text-anchor="middle" transform="rotate(-90 14 150)">cars that had the cause</text>',
    ]
    for told, colour, name, y in ((ours, "#1b6ca8", "from the book", 36), (other, "#b5541c", "from shaken books", 50)):
        points = []
        for low in np.arange(0, 1, 0.1):
            of = [(p, is_so) for p, is_so in told if low <= p < low + 0.1 + (low >= 0.89)]
            if len(of) >= 10:
                points.append((float(np.mean([p for p, _ in of])), float(np.mean([s for _, s in of]))))
        path = " ".join(f"{40 + 260 * x:.1f},{280 - 260 * y_:.1f}" for x, y_ in points)
        lines.append(f'<polyline points="{path}" fill="none" stroke="{colour}" stroke-width="1.5"/>')
        for x, y_ in points:
            lines.append(f'<circle cx="{40 + 260 * x:.1f}" cy="{280 - 260 * y_:.1f}" r="3" fill="{colour}"/>')
        lines.append(f'<text x="48" y="{y}" fill="{colour}">{name}</text>')
    return "\n".join([*lines, "</svg>"]) + "\n"


if __name__ == "__main__":
    sys.exit(main())
