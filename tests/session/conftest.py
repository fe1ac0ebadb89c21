from __future__ import annotations

from pathlib import Path

import pytest
from sessions import TODAY

from diagnose.pipeline import Bench
from diagnose.session.session import Session


@pytest.fixture(scope="session")
def bench(top: Path) -> Bench:
    return Bench(top / "rulebooks" / "passenger-car", "plain")


@pytest.fixture
def session(bench: Bench) -> Session:
    return Session(bench, "", "estate", TODAY)
