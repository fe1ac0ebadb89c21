"""The numbers reach every form of a work-up: text, JSON and the stage that shows the arithmetic."""

from __future__ import annotations

import json
from collections.abc import Callable

from diagnose.pipeline import Bench
from diagnose.plan.model import Plan
from diagnose.report import FORMATS
from diagnose.report.model import WorkUp as Made
from diagnose.report.stages import STAGES
from diagnose.report.text import render

WorkUp = Callable[..., Plan]
SYSTEM = "capacity: 10 L, coldest_expected: -28 degC, cap_demanded: 100 kPa, base_glycol: ethylene"
HISTORY = "earlier_mixture: 50 %, since_earlier: 5 months"
THIN = ("mixture 35 %", "ph 8.0, method: meter", "level low", "litres_missing 0.5 L")


def test_json_carries_amounts_with_their_intervals(bench: Bench, work_up: WorkUp) -> None:
    told = json.loads(FORMATS["json"]([Made(work_up(*THIN, system=SYSTEM, history=HISTORY), bench.book)]))["numbers"]
    assert told["frost"][0]["verdict"] == "not enough"
    assert told["frost"][0]["freezing"]["between"][0] < told["frost"][0]["freezing"]["value"]
    assert told["boiling"][0]["capped"]["unit"] == "degC"
    assert told["loss"]["lost"]["unit"] == "L"
    assert told["level_drop"]["missing"] == 0.5
    assert told["litres"]["target"] == 50
    best = next(way for way in told["litres"]["correction"] if way["best"])
    assert best["exact_drain"] == 2.0
    assert best["add"][0] == {"fluid": "concentrate", "amount": 2.5, "buy": [{"size": 1.0, "count": 3}]}
    assert not next(way for way in told["litres"]["correction"] if way["with"] == "50/50 premix")["possible"]


def test_json_of_a_replacement(bench: Bench, work_up: WorkUp) -> None:
    made = work_up("mixture 50 %", "ph 6.0, method: meter", system=SYSTEM)
    told = json.loads(FORMATS["json"]([Made(made, bench.book)]))["numbers"]["litres"]
    first, second = told["refills"]
    assert (first["draining"], second["draining"]) == ("plugs_out", "radiator_only")
    assert first["concentrate_first"]["possible"]
    assert first["concentrate_first"]["waste"] == 24.0
    assert not second["concentrate_first"]["possible"]


def test_a_part_that_is_not_known_is_null(bench: Bench, work_up: WorkUp) -> None:
    told = json.loads(FORMATS["json"]([Made(work_up("ph 8.0, method: meter"), bench.book)]))["numbers"]
    assert told["mixture"] is None
    assert told["loss"] is None
    assert told["litres"] is None
    assert told["frost"] == []


def test_the_arithmetic_is_shown_line_by_line(bench: Bench, work_up: WorkUp) -> None:
    lines = [line.strip() for line in STAGES["plan"](work_up("mixture 35 %", THIN[1], system=SYSTEM), bench.book)]
    assert "drain, and replace by concentrate: 10 L x (50 - 35) / (95 - 35) = 2.5 L" in lines
    assert any(line.startswith("margin: -28 degC - (-20 degC)") for line in lines)


def test_the_work_up_tells_protection_and_litres(bench: Bench, work_up: WorkUp) -> None:
    text = " ".join(render(work_up(*THIN, system=SYSTEM, history=HISTORY), bench.book).split())
    for says in (
        "WHAT IT PROTECTS AGAINST - Protects to -20 degC",
        "coldest night expected -28 degC: 8 K too little, and 5 K to spare are wanted; it takes 47 % or more",
        "Since the earlier reading",
        "Drain 2 L, then add 2.5 L of concentrate (buy 3 x 1 L)",
    ):
        assert says in text
