"""What a work-up says on frost, boiling, loss and level, against handbook values."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.plan.model import Numbers, Plan

WorkUp = Callable[..., Plan]
GOOD_PH = "ph 8.0, method: meter"


def numbers(made: Plan) -> Numbers:
    assert made.numbers is not None
    return made.numbers


class TestFrost:
    @pytest.mark.parametrize(
        ("percent", "glycol", "freezes"),
        [  # ASHRAE Fundamentals, by volume
            (30, "ethylene", -15.9), (40, "ethylene", -24.9), (50, "ethylene", -37.2), (55, "ethylene", -44.3),
            (30, "propylene", -13.1), (40, "propylene", -21.5), (50, "propylene", -33.7),
        ],
    )  # fmt: skip
    def test_by_the_trades_table(self, work_up: WorkUp, percent: int, glycol: str, freezes: float) -> None:
        (frost,) = numbers(work_up(f"mixture {percent} %", GOOD_PH, system=f"base_glycol: {glycol}")).frost
        assert frost.freezing.value == pytest.approx(freezes, abs=0.3)
        assert frost.freezing.low < freezes < frost.freezing.high

    def test_a_good_mixture_that_fails_the_climate(self, work_up: WorkUp) -> None:
        """44 % protects to about -29.5 degC, which is no 5 K under -28 (a laboratory's guide asks for 5 K)."""
        made = work_up("mixture 44 %", GOOD_PH, system="coldest_expected: -28 degC")
        (frost,) = numbers(made).frost
        assert frost.verdict == "not enough"
        assert made.decision.service.id == "correct"
        assert "only 1.2 K" in numbers(made).says[0]
        assert "5 K are wanted" in numbers(made).says[0]

    def test_too_little_says_by_how_much(self, work_up: WorkUp) -> None:
        says = numbers(work_up("mixture 39 %", GOOD_PH, system="coldest_expected: -28 degC")).says[0]
        assert "coldest night expected -28 degC: 4.2 K too little" in says

    def test_beyond_the_scale_a_sentence_and_no_number(self, work_up: WorkUp) -> None:
        found = numbers(work_up("mixture 68 %", GOOD_PH, system="coldest_expected: -28 degC"))
        assert found.frost == ()
        assert found.says[0].startswith("68 % is beyond the scale: no useful gain, poorer cooling")
        assert "degC" not in found.says[0]

    def test_an_unknown_glycol_is_told_for_both(self, work_up: WorkUp) -> None:
        """-29 degC on a scale is -29 degC whichever glycol the scale is made for; on the ethylene scale it is not."""
        plain = numbers(work_up("mixture -29 degC", GOOD_PH, system="base_glycol: unknown")).frost
        assert [frost.glycol for frost in plain] == ["ethylene", "propylene"]
        assert [frost.freezing.value for frost in plain] == pytest.approx([-29, -29], abs=0.3)
        scale = "mixture -29 degC, scale: ethylene"
        ethylene, propylene = numbers(work_up(scale, GOOD_PH, system="base_glycol: unknown")).frost
        assert ethylene.freezing.value == pytest.approx(-29, abs=0.3)
        assert propylene.freezing.value > -25

    def test_what_no_scale_reads_gives_no_number(self, work_up: WorkUp) -> None:
        """ASTM D3321: mixtures of the two glycols read wrong on either scale."""
        made = work_up("mixture -41 degC", "jug wrong_glycol", "two_gauges hydrometer_weaker", GOOD_PH)
        found = numbers(made)
        if made.diagnosis.suspect("glycols_mixed").probability >= 0.5:
            assert found.frost == ()
            assert "no scale reads" in found.says[0]
        else:
            pytest.fail("the readings no longer speak for mixed glycols; choose others for this test")


class TestTwoGauges:
    def test_far_apart_only_one_glycol_fits(self, work_up: WorkUp) -> None:
        """Propylene at 50 vol %: index 1.3893 at 20 degC (measured), which the ethylene scale reads as about 56 %, and
        1.0391 g/mL (Melinder), which a hydrometer for ethylene reads as about 28 mass %, 26 vol %."""
        found = numbers(work_up("mixture 55 %", "mixture 26 %, method: hydrometer", GOOD_PH)).gauges
        assert found is not None
        assert found.agreement == "hydrometer_weaker"
        assert found.propylene is not None
        assert found.propylene.high == 1.0
        assert found.propylene.low > 0.4

    def test_close_together_they_fit_ethylene(self, work_up: WorkUp) -> None:
        made = work_up("mixture 50 %", "mixture 48 %, method: hydrometer", GOOD_PH)
        assert numbers(made).gauges is not None
        assert "Refractometer and hydrometer together: the two fit ethylene glycol." in numbers(made).says

    def test_one_gauge_says_nothing_of_the_glycol(self, work_up: WorkUp) -> None:
        assert numbers(work_up("mixture 50 %", GOOD_PH)).gauges is None


class TestBoiling:
    @pytest.mark.parametrize(
        ("system", "open_at", "capped_at"),
        [  # Raoult's law with published vapour pressures; trade anchor: 50/50 under 15 psi boils at 265 degF (129.4)
            ("cap_demanded: 15 psi", 107.7, 129.6),
            ("cap_demanded: 103.4 kPa, altitude: 1000 m", 104.2, 127.7),
            ("cap_demanded: 103.4 kPa, altitude: 3000 m", 97.3, 124.2),
        ],
    )
    def test_under_the_cap_and_open(self, work_up: WorkUp, system: str, open_at: float, capped_at: float) -> None:
        (boiling,) = numbers(work_up("mixture 50 %", GOOD_PH, system=system)).boiling
        assert boiling.open.value == pytest.approx(open_at, abs=0.3)
        assert boiling.capped.value == pytest.approx(capped_at, abs=0.4)

    def test_the_margin_to_the_highest_temperature(self, work_up: WorkUp) -> None:
        system = "cap_demanded: 15 psi, highest_temperature: 126 degC"
        says = " ".join(numbers(work_up("mixture 50 %", GOOD_PH, system=system)).says)
        assert "Highest temperature seen 126 degC: 4 K to spare, 5.6 K are wanted" in says

    def test_a_cap_that_lets_go_early_is_named(self, work_up: WorkUp) -> None:
        made = work_up("mixture 50 %", "cap_pressure weak", GOOD_PH, system="cap_demanded: 15 psi")
        assert "This cap does not hold that" in " ".join(numbers(made).says)


class TestBalance:
    HISTORY = "earlier_mixture: 50 %, since_earlier: 5 months, distance_since_earlier: 10000 km"

    def test_litres_lost_and_how_fast(self, work_up: WorkUp) -> None:
        """9 L from 50 to 40 %: 9 x (1 - 40/50) = 1.8 L at once, 9 x ln(50/40) = 2.0 L drop by drop."""
        made = work_up("mixture 40 %", GOOD_PH, system="capacity: 9 L", history=self.HISTORY)
        loss = numbers(made).loss
        assert loss is not None
        assert loss.lost.value == pytest.approx(1.9, abs=0.05)
        assert loss.lost.low < 1.8
        assert loss.lost.high > 2.01
        assert loss.each_month is not None
        assert loss.each_month.value == pytest.approx(1.9 / 5, abs=0.02)
        assert "LOS-27" in {firing.rule.id for firing in made.diagnosis.firings.sure()}

    def test_a_young_loss_is_found_while_the_mixture_is_still_good(self, work_up: WorkUp) -> None:
        history = self.HISTORY.replace("50 %", "56 %")
        system = "capacity: 9 L, base_glycol: ethylene"
        made = work_up("mixture 44 %, zero: 0 %, scale: ethylene", GOOD_PH, system=system, history=history)
        assert made.decision.service.id == "fault_first"
        assert "DE-59" in made.decision.rules
        assert "prism_not_zeroed" not in {suspect.cause.id for suspect in made.diagnosis.listed()}

    def test_with_a_zero_nobody_looked_at_the_prism_is_suspected_too(self, work_up: WorkUp) -> None:
        history = self.HISTORY.replace("50 %", "56 %")
        made = work_up("mixture 44 %", GOOD_PH, system="capacity: 9 L, base_glycol: ethylene", history=history)
        assert "prism_not_zeroed" in {suspect.cause.id for suspect in made.diagnosis.listed()}

    def test_cooling_takes_a_twentieth_of_the_system(self, work_up: WorkUp) -> None:
        """50 vol % ethylene glycol grows by 4.5 % from 20 to 95 degC (ASHRAE's densities): 4.3 % of the hot volume."""
        made = work_up("mixture 50 %", GOOD_PH, "level low", "litres_missing 0.3 L", system="capacity: 9 L")
        cooling = numbers(made).cooling
        assert cooling is not None
        assert cooling.amount.value == pytest.approx(9 * 0.043, abs=0.02)
        assert "by itself no sign of a leak" in " ".join(numbers(made).says)
        assert "LOS-29" in {firing.rule.id for firing in made.diagnosis.firings.sure()}
