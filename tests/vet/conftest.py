from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from overlay import SMALL, change

MENDED = sorted((Path(__file__).parent / "mended").glob("*.yaml"))


@pytest.fixture(scope="session")
def mended(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small book with everything mended that vet finds in it."""
    folder = tmp_path_factory.mktemp("mended") / "small"
    shutil.copytree(SMALL, folder)
    (folder / "reckoning.yaml").unlink(missing_ok=True)  # nobody vouches for its figures
    for overlay in MENDED:
        change(overlay, folder, added_as="mended.yaml")
    return folder
