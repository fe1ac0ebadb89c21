"""Every way through every tree, for every answer that a line stands for, done again by the running engine.

The trees are compiled by one engine, and proven on another that knows nothing of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

import pytest

from diagnose.case.from_yaml import case_from_text
from diagnose.diagnosis.contradiction import Contradiction
from diagnose.diagnosis.foretell import foretell_test
from diagnose.diagnosis.model import NextTest
from diagnose.graph.choice import at_stake
from diagnose.graph.explore import RARE
from diagnose.graph.road import Answer, Road, after, case_text, start_state
from diagnose.graph.tree_model import Ending, Outcome, Question, Tree
from diagnose.pipeline import Bench
from diagnose.plan.model import Plan
from diagnose.rulebook.model import FAMILY

ENTRIES = ("ph_out", "mixture_out", "level_low", "voltage_found", "dirty_or_oily", "overheats", "hard_water_fill")


@dataclass(frozen=True)
class Arrival:
    """A car that came to a box: what is known by then, how it stands, how probable that is and what it took."""

    box: str
    answers: tuple[Answer, ...]
    state: Mapping[str, str]
    reach: float
    minutes: float


def arrivals(tree: Tree, bench: Bench) -> Iterator[Arrival]:
    """Every box on every way, once for each answer that each line on the way stands for."""
    book = bench.book
    waiting = [Arrival(tree.root, (), start_state(book), 1.0, 0.0)]
    while waiting:
        here = waiting.pop()
        yield here
        question = tree.questions.get(here.box)
        if question is None:
            continue
        test = book.tests.get(question.test)
        state = after(test, here.state) if test else here.state
        minutes = here.minutes + question.minutes
        shares = foretold(question, here, bench)
        for branch in question.branches:
            for outcome in branch.outcomes:
                computed = {a.quantity for a in outcome.answers if not a.method}
                known = tuple(a for a in here.answers if a.quantity not in computed)
                answers = (*known, *outcome.answers)
                reach = here.reach * shares(outcome)
                waiting.append(Arrival(branch.to, answers, state, reach, minutes))


def foretold(question: Question, here: Arrival, bench: Bench) -> Callable[[Outcome], float]:
    """How probable each outcome is for this car: boxes that several ways lead to keep the shares of the first."""
    if not question.test:
        return lambda outcome: outcome.probability
    road = Road(bench.book, bench.rules, bench.belief)
    test = bench.book.tests[question.test]
    said = foretell_test(bench.belief, road.firings(here.answers, here.state), test, question.asks)
    known = {frozenset(zip(said.quantities, each.bands, strict=True)): each.probability for each in said.answers}

    def share(outcome: Outcome) -> float:
        told = frozenset((a.quantity, a.band) for a in outcome.answers if a.quantity in said.quantities)
        return known[told]

    return share


def worked_up(bench: Bench, answers: tuple[Answer, ...], state: Mapping[str, str]) -> Plan:
    """The whole road on exactly these findings: a case file, unless something in it can only be computed."""
    book = bench.book
    roles = {book.quantities[answer.quantity].role for answer in answers if answer.quantity != FAMILY}
    if roles <= {"reading", "given"}:
        return bench.work_up(case_from_text(case_text(answers, state, book), "case"))
    road = Road(book, bench.rules, bench.belief)
    return road.plan(road.firings(answers, state))


@pytest.mark.parametrize("entry", ENTRIES)
def test_the_program_does_what_is_drawn(entry: str, car: Bench, car_trees: Mapping[str, Tree]) -> None:
    prove(car_trees[entry], Bench(car.book, "plain"))


@pytest.mark.parametrize("entry", ["ph_out", "level_low"])
def test_on_a_small_book_too(entry: str, small: Bench, small_trees: Mapping[str, Tree]) -> None:
    prove(small_trees[entry], Bench(small.book, "plain"))


def prove(tree: Tree, bench: Bench) -> None:
    minutes, undrawn, boxes = 0.0, 0.0, set()
    for here in arrivals(tree, bench):
        boxes.add(here.box)
        if here.box == tree.root:
            continue
        plan = worked_up(bench, here.answers, here.state)
        if here.box in tree.questions:
            question = tree.questions[here.box]
            agrees_on_the_test(question, plan, tree)
            lost = sum(not branch.outcomes for branch in question.branches)
            shares = foretold(question, here, bench)
            other = 1 - sum(shares(outcome) for branch in question.branches for outcome in branch.outcomes)
            assert lost or other == pytest.approx(0, abs=1e-9)
            undrawn += here.reach * other
            minutes += here.reach * other * (here.minutes + question.minutes)
            minutes += here.reach * stopping_beyond(question, here, bench, other)
        else:
            agrees_on_the_end(tree.endings[here.box], plan)
            undrawn += here.reach * (tree.endings[here.box].kind == "continue")
            minutes += here.reach * (here.minutes + stop(bench, here))
    assert boxes | {"continue"} >= {*tree.questions, *tree.endings}
    assert undrawn == pytest.approx(tree.expected.undrawn, abs=1e-6)
    assert minutes == pytest.approx(tree.expected.tree, rel=1e-6)
    assert tree.expected.live_least <= tree.expected.live_most


def can_be_drawn(plan: Plan) -> list[NextTest]:
    """What is offered, less questions for a number of which no share is known, such as the age of the fill, less
    the search for the family, whose limits the lines tell, and less what is read for the work only."""
    found = []
    for choice in plan.diagnosis.next_tests:
        if choice.outlook and choice.reason not in ("before", "reckons"):
            found.append(choice)
        elif choice.outlook:
            decided = plan.decision.confirmed or plan.decision.service
            assert decided.id in ("replace", "correct"), "what is read for the work only is left out too"
        else:
            left_out = ("ask_age", "ask_for_the_fill", "find_the_family")
            assert choice.test.id in left_out, "nothing but these is left out of a tree"
    return found


def agrees_on_the_test(question: Question, plan: Plan, tree: Tree) -> None:
    offered = can_be_drawn(plan)
    best, drawn = offered[0], next(choice for choice in offered if choice.test.id == question.test)
    assert drawn.minutes == pytest.approx(question.minutes)
    if drawn is not best:
        assert best.reason == drawn.reason == "pays"
        worth = [choice.saves / max(choice.minutes, 1.0) for choice in (best, drawn)]
        assert worth[1] >= worth[0] * (1 - tree.tolerance) - 1e-9
    if question.asks:
        assert drawn.outlook[0].quantity == question.asks


def agrees_on_the_end(ending: Ending, plan: Plan) -> None:
    assert (ending.kind == "continue") == bool(can_be_drawn(plan))
    roots = [(suspect.cause.id, suspect.state) for suspect in plan.diagnosis.listed() if suspect.root]
    assert list(ending.causes) == [root for root in roots if root in ending.causes]
    assert ending.causes[:1] == tuple(roots[:1]) or ending.causes[0][1] != "possible"
    assert {root for root in roots if root[1] != "possible"} <= {*ending.causes} or len(ending.causes) == 3
    decision = plan.decision
    drawn = (ending.decision, ending.after, ending.firm, ending.drive)
    assert drawn == (decision.service.id, decision.after, decision.firm, plan.may_drive)


def stopping_beyond(question: Question, here: Arrival, bench: Bench, other: float) -> float:
    """What it costs to stop after the answers that are not drawn, times their probability.

    The engine is asked about each of them that is no rarer than RARE; the others are taken to move nothing.
    """
    if not question.test or other <= 1e-9:
        return other * stop(bench, here)
    road = Road(bench.book, bench.rules, bench.belief)
    test = bench.book.tests[question.test]
    said = foretell_test(bench.belief, road.firings(here.answers, here.state), test, question.asks)
    outcomes = [outcome.answers for branch in question.branches for outcome in branch.outcomes]
    drawn = {tuple(a.band for name in said.quantities for a in each if a.quantity == name) for each in outcomes}
    by = {answer.quantity: answer.method for answer in outcomes[0]}
    raw = tuple(answer for answer in outcomes[0] if answer.quantity not in said.quantities)
    total, rest = 0.0, other
    for each in said.answers:
        if each.bands in drawn or each.probability < RARE:
            continue
        told = [Answer(name, band, by[name]) for name, band in zip(said.quantities, each.bands, strict=True)]
        computed = {answer.quantity for answer in told if not answer.method}
        answers = (*(a for a in here.answers if a.quantity not in computed), *raw, *told)
        try:
            total += each.probability * stop(bench, replace(here, answers=answers, state=after(test, here.state)))
        except Contradiction:
            continue
        rest -= each.probability
    return total + rest * stop(bench, here)


def stop(bench: Bench, here: Arrival) -> float:
    road = Road(bench.book, bench.rules, bench.belief)
    return at_stake(bench.belief, road.firings(here.answers, here.state)).stop


def test_every_answer_stands_once(car_trees: Mapping[str, Tree]) -> None:
    """No answer of a test stands on two lines, and the shares of all lines make no more than the whole."""
    for tree in car_trees.values():
        for question in tree.questions.values():
            outcomes = [outcome for branch in question.branches for outcome in branch.outcomes]
            assert len({outcome.answers for outcome in outcomes}) == len(outcomes)
            assert sum(outcome.probability for outcome in outcomes) <= 1 + 1e-9
            assert len({branch.to for branch in question.branches}) == len(question.branches)


def test_the_trees_can_be_read(car_trees: Mapping[str, Tree]) -> None:
    """Twenty questions and no more after what was found, and none is a tree in name only."""
    assert set(car_trees) == set(ENTRIES)
    for tree in car_trees.values():
        assert 4 <= len(tree.questions) <= 21
        assert sum(ending.kind == "result" for ending in tree.endings.values()) >= 2


WITNESSES = [
    ({"volts_all_off": "0.05 V", "volts_loads_on": "0.45 V"}, "quiet", "none", "follows_a_load"),
    (
        {"volts_battery_off": "0.40 V", "volts_all_off": "0.40 V", "volts_loads_on": "0.40 V"},
        "raised",
        "stays",
        "steady",
    ),
    (
        {"volts_all_off": "0.05 V", "volts_loads_on": "0.06 V", "volts_cranking": "0.6 V"},
        "quiet",
        "none",
        "only_cranking",
    ),
]


@pytest.mark.parametrize(("volts", "at_rest", "without_battery", "pattern"), WITNESSES)
def test_what_can_only_be_computed_is_what_numbers_give(
    volts: dict[str, str], at_rest: str, without_battery: str, pattern: str, car: Bench
) -> None:
    """A car of which figures are recorded and one that is said to be in the bands that follow come to the same."""
    follows = {
        **({"cranking_swing": "swings"} if "volts_cranking" in volts else {}),
        "volts_highest": "high",
        "volts_at_rest": at_rest,
        "voltage_at_rest": without_battery,
        "voltage_pattern": pattern,
    }
    readings = "".join(f"  - {{quantity: {name}, value: {value}}}\n" for name, value in volts.items())
    head = "id: volts\ndate: 2000-01-01\ntitle: volts\nfamily: unknown\n"
    recorded = car.work_up(case_from_text(f"{head}readings:\n{readings}", "case"))
    raw = tuple(Answer(name, "any", "voltmeter") for name in volts)
    said = (*raw, *(Answer(name, band) for name, band in follows.items()))
    told = worked_up(car, said, start_state(car.book))
    assert recorded.decision.service == told.decision.service
    chances = {s.cause.id: s.probability for s in recorded.diagnosis.suspects}
    for suspect in told.diagnosis.suspects:
        assert suspect.probability == pytest.approx(chances[suspect.cause.id], abs=1e-9)


def test_the_proof_can_fail(small: Bench, small_trees: Mapping[str, Tree]) -> None:
    """A box that says something else, an answer on another line, another test: each is found."""
    tree = small_trees["level_low"]
    other = {"replace": "keep"}
    wrong_ends = {
        name: replace(ending, decision=other.get(ending.decision, "replace")) if ending.decision else ending
        for name, ending in tree.endings.items()
    }
    start = tree.questions[tree.root]
    first = next(question for question in tree.questions.values() if question.test and len(question.branches) > 1)
    turned = [replace(b, to=to.to) for b, to in zip(first.branches, reversed(first.branches), strict=True)]
    another = next(name for name in small.book.tests if name != first.test)
    tampered = [
        replace(tree, endings=wrong_ends),
        replace(tree, questions={**tree.questions, first.id: replace(first, branches=tuple(turned))}),
        replace(tree, questions={**tree.questions, first.id: replace(first, test=another)}),
        replace(tree, questions={**tree.questions, first.id: replace(first, minutes=first.minutes + 1)}),
    ]
    assert start.id != first.id
    for wrong in tampered:
        with pytest.raises((AssertionError, StopIteration, IndexError)):
            prove(wrong, small)
