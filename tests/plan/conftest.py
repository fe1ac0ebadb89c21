from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.case.from_yaml import case_from_text
from diagnose.pipeline import Bench
from diagnose.plan.model import Plan
from diagnose.rulebook.find import shipped_folder

WorkUp = Callable[..., Plan]


@pytest.fixture(scope="session")
def bench() -> Bench:
    return Bench(shipped_folder() / "passenger-car", "plain")


@pytest.fixture(scope="session")
def work_up(bench: Bench) -> WorkUp:
    """work_up('mixture 35 %', 'ph 8.0', system='capacity: 10 L', history='...') from the text of a case."""

    def make(*readings: str, system: str = "", history: str = "", more: str = "") -> Plan:
        lines = ["id: c", "date: 2026-03-12", "title: t", "family: organic_acid"]
        lines += [f"system: {{{system}}}"] if system else []
        lines += [f"history: {{{history}}}"] if history else []
        lines += ["readings:"] if readings else []
        for reading in readings:
            quantity, value = reading.split(" ", 1)
            lines.append(f"  - {{quantity: {quantity}, value: {value}}}")
        return bench.work_up(case_from_text("\n".join(lines) + "\n" + more, "case.yaml"))

    return make
