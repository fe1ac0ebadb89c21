"""From the text of a case to the litres of its plan, against shop arithmetic that can be checked on paper."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.fluid.refill import FillPlan
from diagnose.pipeline import Bench
from diagnose.plan.from_diagnosis import plan
from diagnose.plan.model import Litres, Plan
from diagnose.rulebook.model import Book, Reckoning

WorkUp = Callable[..., Plan]
GOOD_PH = "ph 8.0, method: meter"
ACID = "ph 6.0, method: meter"


def litres(made: Plan) -> Litres:
    assert made.numbers is not None
    assert made.numbers.litres is not None
    return made.numbers.litres


def positions(bench: Bench) -> Reckoning:
    assert bench.book.reckoning is not None
    return bench.book.reckoning


def with_positions(book: Book, **changed: object) -> Book:
    assert book.reckoning is not None
    return replace(book, reckoning=book.reckoning._replace(**changed))  # type: ignore[arg-type]


def pure(bench: Bench) -> Book:
    """The shipped book, its concentrate without water, as the textbook sum has it."""
    return with_positions(bench.book, water_in_concentrate=positions(bench).water_in_concentrate._replace(value=0.0))


def retaining(bench: Bench, share: float, **more: object) -> Book:
    """The shipped book with one way of draining that leaves exactly so much inside."""
    (first, *_) = positions(bench).draining
    return with_positions(bench.book, draining=(first._replace(stays=(share, share)),), **more)


class TestCorrection:
    """Mass balance for a full, well mixed system that is drained first: d = V (want - now) / (added - now)."""

    def test_thin_with_concentrate_that_holds_five_percent_water(self, work_up: WorkUp) -> None:
        """10 L, 35 to 50 % with 95 % concentrate: 10 x 15 / 60 = 2.500 L."""
        made = work_up("mixture 35 %", GOOD_PH, system="capacity: 10 L")
        assert made.decision.service.id == "correct"
        correction = litres(made).correction
        assert correction is not None
        best = correction.best
        assert best is not None
        assert best.name == "concentrate"
        assert best.exact_drain == pytest.approx(2.5, abs=0.001)
        assert best.drain == pytest.approx(2.5)
        assert best.result is not None
        assert best.result.value == pytest.approx(50.0)

    @pytest.mark.parametrize(
        ("now", "capacity", "drained"),
        [(35, "10 L", 2.308), (30, "12 L", 3.429), (25, "8 L", 2.667), (65, "10 L", 2.308)],
    )
    def test_textbook_sums(self, bench: Bench, work_up: WorkUp, now: int, capacity: str, drained: float) -> None:
        """With pure concentrate into the thin ones and water into the strong one."""
        made = plan(work_up(f"mixture {now} %", GOOD_PH, system=f"capacity: {capacity}").diagnosis, pure(bench))
        correction = litres(made).correction
        assert correction is not None
        assert correction.best is not None
        assert correction.best.exact_drain == pytest.approx(drained, abs=0.001)

    def test_a_capacity_in_quarts(self, work_up: WorkUp) -> None:
        """10.57 US quarts are 10.0 L (1 qt = 0.946353 L, NIST SP 811)."""
        correction = litres(work_up("mixture 35 %", GOOD_PH, system="capacity: 10.57 qt")).correction
        assert correction is not None
        assert correction.best is not None
        assert correction.best.exact_drain == pytest.approx(2.5, abs=0.002)

    def test_premix_alone_cannot_reach_it_and_says_so(self, work_up: WorkUp) -> None:
        says = litres(work_up("mixture 35 %", GOOD_PH, system="capacity: 10 L")).says
        assert any(line.startswith("50/50 premix alone cannot reach 50 %") for line in says)
        assert says[1].startswith("Drain 2.5 L, then add 2.5 L of concentrate (buy 3 x 1 L)")

    def test_what_is_missing_counts_as_drained(self, work_up: WorkUp) -> None:
        """10 L low by 1 L at 35 %: of the 2.5 L that have to change, 1 L is out already."""
        made = work_up("mixture 35 %", GOOD_PH, "level low", "litres_missing 1 L", system="capacity: 10 L")
        correction = litres(made).correction
        assert correction is not None
        assert correction.best is not None
        assert correction.best.exact_drain == pytest.approx(1.5, abs=0.001)
        assert sum(portion.amount for portion in correction.best.add) == pytest.approx(2.5)

    def test_low_by_nobody_knows_how_much(self, work_up: WorkUp) -> None:
        says = litres(work_up("mixture 35 %", GOOD_PH, "level low", system="capacity: 10 L")).says
        assert "what is missing counts as drained" in says[-1]

    def test_without_a_capacity_for_each_litre_of_it(self, work_up: WorkUp) -> None:
        found = litres(work_up("mixture 35 %", GOOD_PH))
        assert found.capacity is None
        assert found.correction is not None
        assert found.correction.best is not None
        assert found.correction.best.exact_drain == pytest.approx(0.25, abs=0.001)
        assert "for each litre" in found.says[0]

    def test_the_coldest_night_raises_the_target(self, work_up: WorkUp) -> None:
        """ASHRAE, ethylene glycol: 55 vol % freezes at -44.3 degC, so -40 with 5 K to spare takes a little more."""
        found = litres(work_up("mixture 44 %", GOOD_PH, system="capacity: 10 L, coldest_expected: -40 degC"))
        assert found.target.climate
        assert found.target.mixture == pytest.approx(56, abs=1)

    def test_beyond_the_scale_nothing_is_reckoned(self, work_up: WorkUp) -> None:
        found = litres(work_up("mixture -60 degC", GOOD_PH, system="capacity: 10 L"))
        assert found.correction is None
        assert "Thin a sample" in found.says[0]

    def test_other_services_have_no_litres(self, work_up: WorkUp) -> None:
        made = work_up("mixture 50 %", GOOD_PH, system="capacity: 10 L")
        assert made.decision.service.quantities == "none"
        assert made.numbers is not None
        assert made.numbers.litres is None


class TestReplacement:
    @pytest.mark.parametrize(("retained", "ends_at"), [(0.35, 32.5), (0.2, 40.0)])
    def test_premix_over_rinse_water(self, bench: Bench, work_up: WorkUp, retained: float, ends_at: float) -> None:
        """50 % premix over retained water ends at 50 x (1 - r); the old filling is hardly more than water."""
        diagnosis = work_up("mixture 1 %", GOOD_PH, system="capacity: 10 L").diagnosis
        found = litres(plan(diagnosis, retaining(bench, retained)))
        (refill,) = found.refills
        assert refill.reckoned.premix_after_flush.result is not None
        assert refill.reckoned.premix_after_flush.result.value == pytest.approx(ends_at, abs=0.1)
        assert any("Not ready-made mixture over rinse water" in line for line in found.says)

    @pytest.mark.parametrize("retained", [0.2, 0.35])
    def test_half_the_capacity_of_concentrate_first(self, bench: Bench, work_up: WorkUp, retained: float) -> None:
        """V x 0.5 = 5.0 L of pure concentrate in 10 L, however much water stayed."""
        water = positions(bench).water_in_concentrate._replace(value=0.0)
        diagnosis = work_up("mixture 1 %", GOOD_PH, system="capacity: 10 L").diagnosis
        (refill,) = litres(plan(diagnosis, retaining(bench, retained, water_in_concentrate=water))).refills
        concentrate, to_mark = refill.reckoned.concentrate_first.fill
        assert concentrate.amount == pytest.approx(5.0)
        assert to_mark.amount == pytest.approx(10 * (1 - retained) - 5.0)

    @pytest.mark.parametrize(
        ("retained", "most_old", "drains"),
        [(0.5, 10, 4), (0.5, 5, 5), (0.5, 2, 6), (0.35, 5, 3), (0.2, 10, 2), (0.2, 2, 3)],
    )
    def test_drains_until_little_of_the_old_is_left(
        self, bench: Bench, work_up: WorkUp, retained: float, most_old: float, drains: int
    ) -> None:
        """r to the power n: 0.5^5 = 3.1 %, 0.35^3 = 4.3 %, 0.2^2 = 4 %, 0.2^3 = 0.8 %."""
        share = positions(bench).most_old._replace(value=most_old)
        diagnosis = work_up("mixture 50 %", ACID, system="capacity: 10 L").diagnosis
        (refill,) = litres(plan(diagnosis, retaining(bench, retained, most_old=share))).refills
        assert refill.reckoned.concentrate_first.drains == drains
        assert refill.reckoned.concentrate_first.old.value == pytest.approx(100 * retained**drains)

    def test_the_plugs_come_first_and_the_radiator_alone_is_told_in_a_line(self, work_up: WorkUp) -> None:
        """A service drain with the plugs out yields about 80 % (car manuals of 2001 and 2002)."""
        made = work_up("mixture 50 %", ACID, system="capacity: 10 L")
        assert made.decision.service.id == "replace"
        found = litres(made)
        assert [refill.draining.id for refill in found.refills] == ["plugs_out", "radiator_only"]
        assert found.refills[0].reckoned.drains_out.value == pytest.approx(8.0)
        assert sum("radiator only" in line for line in found.says) == 1

    def test_the_lines_stand_in_the_step_of_the_service(self, work_up: WorkUp) -> None:
        made = work_up("mixture 50 %", ACID, system="capacity: 10 L")
        (step,) = [step for step in made.steps if step.kind == "service"]
        assert set(litres(made).says) <= set(step.lines)

    def test_without_a_mixture_the_usual_one_is_taken_and_said(self, work_up: WorkUp) -> None:
        found = litres(work_up(ACID, system="capacity: 10 L"))
        assert any("taken as 50 %" in line for line in found.says)
        assert any("Go by the count" in line for line in found.says)


SHARE = st.floats(0, 1)


@settings(max_examples=60, deadline=None)
@given(read=st.floats(12, 36), off=st.floats(-1.5, 1.5), strength=st.floats(95, 100), size=SHARE)
def test_the_true_result_of_a_correction_lies_inside(
    work_up: WorkUp, read: float, off: float, strength: float, size: float
) -> None:
    """A true system within what the reading, the capacity and the concentrate leave open, worked as the plan says."""
    made = work_up(f"mixture {read:.4f} %", GOOD_PH, system="capacity: 8..9 L")
    if made.decision.service.id != "correct":
        return
    correction = litres(made).correction
    assert correction is not None
    best = correction.best
    assert best is not None
    assert best.result is not None
    true, volume, drained = float(f"{read:.4f}") + off, 8 + size, best.drain  # what was written down
    added = sum(portion.amount for portion in best.add)
    after = ((volume - drained) * true + added * strength) / (volume - drained + added)
    assert best.result.low - 1e-6 <= after <= best.result.high + 1e-6


@settings(max_examples=60, deadline=None)
@given(old=st.floats(30, 58), off=st.floats(-1.5, 1.5), strength=st.floats(95, 100), kept=SHARE)
def test_the_true_result_of_a_replacement_lies_inside(
    work_up: WorkUp, old: float, off: float, strength: float, kept: float
) -> None:
    """Drain, rinse and fill as the plan says, with a share retained that nobody knows beforehand."""
    made = work_up(f"mixture {old:.4f} %", ACID, system="capacity: 10 L")
    if made.decision.service.id != "replace":
        return
    refill = litres(made).refills[0]
    found: FillPlan = refill.reckoned.concentrate_first
    assert found.result is not None
    low, high = refill.draining.stays
    share = low + kept * (high - low)
    glycol = old + off
    for _ in range(found.drains):
        glycol *= share
    after = glycol + found.fill[0].amount * strength / 10
    slack = 1.5 * share**found.drains  # the old mixture's own doubt, which is not carried into the last tenth
    assert found.result.low - slack <= after <= found.result.high + slack
    assert share**found.drains <= refill.reckoned.most_old + 1e-9
