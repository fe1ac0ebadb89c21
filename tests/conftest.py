from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent

# what several tests share stands beside this file
sys.path.insert(0, str(Path(__file__).parent))


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--renew", action="store_true", help="write what is expected anew; read the difference afterwards")


@pytest.fixture(scope="session", autouse=True)
def cache(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Books are kept for the length of the tests, and not in anybody's own folder."""
    os.environ["DIAGNOSE_CACHE"] = str(tmp_path_factory.mktemp("cache"))


@pytest.fixture(scope="session")
def renew(request: pytest.FixtureRequest) -> bool:
    """Whether expected output is to be written anew instead of compared."""
    return bool(request.config.getoption("--renew"))


@pytest.fixture(scope="session")
def top() -> Path:
    """The folder of the project."""
    return TOP
