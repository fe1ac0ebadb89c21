"""Cars drawn from the book, tested as the program says until it stops. Run by hand; RESULTS.md keeps the figures.

    python tests/bench/bench_simulated.py [--cars 150]

A car comes in with one of the book's entry symptoms; what is present is drawn from the belief, and each test's answer
from what such a car shows, given all that was read before. Then the same where the cars come from a book whose
judgement was shaken by a factor of 2, so that the program does not merely agree with itself. Beside it: the same cars
tested in the fixed order of the book, and with every test of today done. Writes calibration.svg.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

import numpy as np

from diagnose.diagnosis.answers import Foresight
from diagnose.diagnosis.asking import ask
from diagnose.diagnosis.belief import Belief
from diagnose.diagnosis.costs import losses
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.from_firings import diagnose
from diagnose.diagnosis.information import Question
from diagnose.diagnosis.posterior import Posterior, weigh
from diagnose.diagnosis.reach import way_to
from diagnose.diagnosis.shake import shaken
from diagnose.diagnosis.yields import yielded
from diagnose.graph.road import Answer, Road, State, after, start_state
from diagnose.pipeline import Bench
from diagnose.rulebook.model import Quantity, Test
from diagnose.yamlfile import InputError

BOOK = Path(__file__).parent.parent.parent / "rulebooks" / "passenger-car"
SEED = 11
MOST_TESTS = 12
FACTOR = 2.0


@dataclass
class Tally:
    """What came of the cars of one way of testing."""

    cars: int = 0
    root_first: int = 0
    in_three: float = 0.0
    minutes: float = 0.0
    stopping: float = 0.0
    tests: int = 0
    told: list[tuple[float, bool]] = field(default_factory=list)


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
    parser.add_argument("--cars", type=int, default=150)
    cars = parser.parse_args().cars
    bench = Bench(BOOK, "plain")
    road = Road(bench.book, bench.rules, bench.belief)
    ours = Tally()
    for title, belief in (
        ("from the book", bench.belief),
        (f"from books shaken by {FACTOR:g}", None),
    ):
        tallies = run(road, belief, cars)
        print(f"\n{cars} cars drawn {title}\n")
        print("| way of testing | root first | present in the first three | tests | minutes of testing | all minutes |")
        print("|---|---|---|---|---|---|")
        for name, tally in tallies.items():
            n = tally.cars
            print(
                f"| {name} | {tally.root_first / n:.0%} | {tally.in_three / n:.0%} | {tally.tests / n:.1f} "
                f"| {tally.minutes / n:.0f} | {(tally.minutes + tally.stopping) / n:.0f} |"
            )
        if belief is not None:
            ours = tallies["ours"]
        else:
            shaken_ours = tallies["ours"]
    path = Path(__file__).parent / "calibration.svg"
    path.write_text(svg(ours.told, shaken_ours.told), encoding="utf-8")
    return 0


def run(road: Road, belief: Belief | None, cars: int) -> dict[str, Tally]:
    random = Random(SEED)
    starts = [start for entry in road.book.entries.values() for start in entry.starts]
    ways = ("ours", "no test", "fixed order of the book, until 95 % sure", "every test of today")
    tallies = {way: Tally() for way in ways}
    for number in range(cars):
        truth = belief
        if truth is None:
            truth = Belief(shaken(road.book, FACTOR, Random(1000 + number)), like=road.belief)
        world = World(road, truth, random)
        answers = tuple(Answer(c.quantity, c.bands[0]) for c in random.choice(starts))
        place = world.car(answers)
        seed = random.random()
        for name, tally in tallies.items():
            world.random = Random(seed)
            try:
                one_car(world, place, answers, name, tally)
            except InputError:
                continue  # an answer of the shaken book that the book can't explain
    return tallies


def one_car(world: World, place: int, answers: tuple[Answer, ...], way: str, tally: Tally) -> None:
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
    finish(road, place, answers, state, tally)
    tally.minutes += minutes
    tally.tests += tests


def next_test(road: Road, firings: object, way: str, order: Iterator[Test], state: State) -> Test | None:
    if way == "no test":
        return None
    if way == "ours":
        found = diagnose(firings, road.belief)  # type: ignore[arg-type]
        return found.next_tests[0].test if found.next_tests else None
    posterior = weigh(road.belief, firings)  # type: ignore[arg-type]
    if way.startswith("fixed") and float(posterior.chances.max()) >= 0.95:
        return None
    for test in order:
        if way_to(test, state, road.book).today and yielded(test, posterior).evidence:
            return test
    return None


def finish(road: Road, place: int, answers: tuple[Answer, ...], state: State, tally: Tally) -> None:
    belief = road.belief
    present = {belief.causes[m] for m in belief.sets.members[:, place].tolist() if m < belief.sets.n}
    children = {arc.cause for name in present for arc in belief.book.causes[name].leads_to}
    roots = present - children
    firings = road.firings(answers, state)
    found = diagnose(firings, belief)
    first = next((s.cause.id for s in found.listed() if s.root), "")
    ranked = [s.cause.id for s in found.listed()][:3]
    tally.cars += 1
    tally.root_first += first in roots
    tally.in_three += len(present & set(ranked)) / min(3, len(present))
    tally.told += [(s.probability, s.cause.id in present) for s in found.suspects if s.state != "impossible"]
    tally.stopping += stopping(weigh(belief, firings), place)


def stopping(posterior: Posterior, place: int) -> float:
    """What the repairs that are done, and the causes left in, cost on this car."""
    belief = posterior.belief
    focus = Focus.above(posterior, 1e-5)
    lost = losses(belief.book, belief.causes, focus, belief.index)
    mass = Question(focus, []).mass
    costs = mass @ lost.matrix
    car = Focus(weigh(belief, posterior.firings, proofs=False), np.array([place]))
    real = losses(belief.book, belief.causes, car, belief.index).matrix[0]
    ends = [*lost.starts[1:].tolist(), lost.matrix.shape[1]]
    pairs = zip(lost.starts.tolist(), ends, strict=True)
    return float(sum(real[start + int(np.argmin(costs[start:end]))] for start, end in pairs))


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
