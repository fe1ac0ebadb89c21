"""What is foretold of a test, against what is found once it was done: on average nothing is learnt that was not known.

The law of total probability, P(cause) = sum over the answers of P(answer) x P(cause | answer), holds for every cause.
"""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.diagnosis.costs import losses
from diagnose.diagnosis.focus import Focus
from diagnose.diagnosis.foretell import Foresaid, foretell_readings, foretell_test
from diagnose.diagnosis.information import Question
from diagnose.diagnosis.posterior import weigh
from diagnose.diagnosis.stakes import stakes
from diagnose.graph.road import Answer, Road, start_state
from diagnose.pipeline import Bench
from diagnose.rulebook.find import shipped_folder


@pytest.fixture(scope="module")
def road() -> Road:
    bench = Bench(shipped_folder() / "passenger-car", "plain")
    return Road(bench.book, bench.rules, bench.belief)


def chances(road: Road, answers: tuple[Answer, ...]) -> dict[str, float]:
    diagnosis = road.plan(road.firings(answers, start_state(road.book))).diagnosis
    return {suspect.cause.id: suspect.probability for suspect in diagnosis.suspects}


def averaged(road: Road, known: tuple[Answer, ...], said: Foresaid, methods: dict[str, str]) -> dict[str, float]:
    total = dict.fromkeys(road.book.causes, 0.0)
    for each in said.answers:
        pairs = zip(said.quantities, each.bands, strict=True)
        new = tuple(Answer(name, band, methods.get(name, "")) for name, band in pairs)
        for name, chance in chances(road, (*known, *new)).items():
            total[name] += each.probability * chance
    return total


TESTS = ["ph_meter", "refractometer", "pressure_test", "read_level", "gas_colour", "fan_check"]


@pytest.mark.parametrize("test", TESTS)
def test_on_average_an_answer_changes_nothing(test: str, road: Road) -> None:
    known = (Answer("look", "brown"),)
    firings = road.firings(known, start_state(road.book))
    said = foretell_test(road.belief, firings, road.book.tests[test])
    assert sum(each.probability for each in said.answers) == pytest.approx(1)
    methods = dict(road.belief.reads[test].readings)
    # hypotheses below one in ten million are left out of the forecast: what they can move is far below this bound
    assert averaged(road, known, said, methods) == pytest.approx(chances(road, known), abs=2e-4)


def test_two_readings_together_are_the_one_after_the_other(road: Road) -> None:
    empty = road.firings((), start_state(road.book))
    both = foretell_readings(road.belief, empty, ("ph", "mixture"))
    assert both.quantities == ("ph", "mixture")
    first = {a.bands[0]: a.probability for a in foretell_readings(road.belief, empty, ("ph",)).answers}
    after = road.firings((Answer("ph", "acid"),), start_state(road.book))
    second = {a.bands[0]: a.probability for a in foretell_readings(road.belief, after, ("mixture",)).answers}
    for each in both.answers:
        if each.bands[0] == "acid":
            assert each.probability == pytest.approx(first["acid"] * second[each.bands[1]], rel=0, abs=1e-5)


GAS = (Answer("level", "low"), Answer("smell", "exhaust"))
PROVEN = (Answer("oil_glycol", "found"),)


@pytest.mark.parametrize("known", [(), (Answer("ph", "acid"),), GAS, PROVEN])
def test_what_is_at_stake_is_what_the_choice_of_tests_reckons_with(known: tuple[Answer, ...], road: Road) -> None:
    """Against the costs by which tests are chosen, over all hypotheses one by one."""
    firings = road.firings(known, start_state(road.book))
    posterior = weigh(road.belief, firings)
    everything = Focus(posterior, np.arange(road.belief.sets.count))
    lost = losses(road.book, road.belief.causes, everything, road.belief.index)
    mass = Question(everything, []).mass
    stop, least = stakes(road.belief, firings)
    assert stop == pytest.approx(lost.of(mass), rel=1e-9)
    known_all = float(np.minimum.reduceat(lost.matrix, lost.starts, axis=1).sum(axis=1) @ mass)
    assert least <= known_all + 1e-9
    assert least == pytest.approx(known_all, rel=0.02)
