"""The same work-up on every processor: they add up in different orders, and differ in the last digits."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from diagnose.diagnosis.costs import Losses
from diagnose.diagnosis.value import Option, Problem

NEWER = ("AVX512_SPR", "AVX512_ICL", "AVX512_SKX", "AVX512F", "X86_V4", "X86_V3", "AVX2", "FMA3", "ASIMDHP", "ASIMDDP")
"""What numpy uses where a processor has it, under the names of its releases; it passes over what it has not."""


def test_work_ups_do_not_hang_on_what_a_processor_can_do(top: Path) -> None:
    command = [sys.executable, "-c", "from diagnose.cli.main import run; run()", "case", "--engine", "plain"]
    command += [str(file) for file in sorted((top / "cases").glob("*.yaml"))]
    plainly = {**os.environ, "NPY_DISABLE_CPU_FEATURES": " ".join(NEWER)}
    here, there = (
        subprocess.run(command, env=env, capture_output=True, text=True, check=True).stdout
        for env in (dict(os.environ), plainly)
    )
    assert here == there


def alike(*given: np.ndarray) -> Problem:
    """One cause, three hypotheses, and tests that take the same minutes."""
    matrix = np.array([[500.0, 60.0], [0.0, 60.0], [0.0, 60.0]])
    losses = Losses(matrix, np.array([0]), ("repair",), (("cause",),))
    options = [Option(f"test {number}", 5, each) for number, each in enumerate(given)]
    return Problem(np.array([0.3, 0.6, 0.1]), losses, options)


@pytest.mark.parametrize("noise", [1e-13, -1e-13])
def test_digits_that_differ_between_processors_order_nothing(noise: float) -> None:
    """Two tests that tell the same: the first one stays first, whatever rounding did to the other."""
    given = np.array([[0.9, 0.1], [0.2, 0.8], [0.5, 0.5]])
    problem = alike(given, given + np.array([[noise, -noise], [0, 0], [0, 0]]))
    step = problem.best(problem.mass, 0)
    assert step is not None
    assert step.option == 0


@pytest.mark.parametrize("noise", [0.0, 1e-13, -1e-13])
def test_a_test_that_spares_nothing_but_noise_spares_nothing(noise: float) -> None:
    problem = alike(np.full((3, 3), 1 / 3) + np.array([[noise, 0, -noise], [0, 0, 0], [0, 0, 0]]))
    (step,) = problem.steps(problem.mass, 0)
    assert step.saves == 0.0
