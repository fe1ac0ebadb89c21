"""The rules of the house: who may import whom, types and style."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest


def settings(top: Path) -> dict[str, object]:
    with (top / "pyproject.toml").open("rb") as file:
        tool = tomllib.load(file)["tool"]
    assert isinstance(tool, dict)
    return tool


def run(top: Path, *command: str) -> None:
    done = subprocess.run([sys.executable, *command], cwd=top, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_every_folder_is_a_package(top: Path) -> None:
    folders = {path.parent for path in (top / "diagnose").rglob("*.py")}
    assert [folder for folder in sorted(folders) if not (folder / "__init__.py").is_file()] == []


def test_the_road_goes_one_way_and_every_library_has_one_home(top: Path) -> None:
    pytest.importorskip("importlinter", reason="import-linter is not installed")
    program = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True))"
    run(top, "-c", program)


def test_every_library_that_is_used_has_a_home(top: Path) -> None:
    grimp = pytest.importorskip("grimp", reason="import-linter is not installed")
    graph = grimp.build_graph("diagnose", include_external_packages=True, cache_dir=None)
    outside = {name for name in graph.modules if name.partition(".")[0] != "diagnose"} - sys.stdlib_module_names
    linter = settings(top)["importlinter"]
    assert isinstance(linter, dict)
    housed = {name for contract in linter["contracts"] for name in contract.get("protected_modules", ())}
    assert {name.partition(".")[0] for name in outside} == housed


def test_types(top: Path) -> None:
    pytest.importorskip("mypy", reason="mypy is not installed")
    run(top, "-m", "mypy")


def test_style(top: Path) -> None:
    if importlib.util.find_spec("ruff") is None:
        pytest.skip("ruff is not installed")
    run(top, "-m", "ruff", "check", "diagnose", "tests")


def test_a_case_is_worked_up_without_the_drawing_libraries(top: Path) -> None:
    cases = sorted((top / "cases").glob("*.yaml"))
    assert cases
    program = f"""
import sys
from diagnose.cli.main import main
for form in ("text", "json"):
    main(["case", "--as", form, {str(cases[0])!r}], standalone_mode=False)
drawing = {{"networkx", "graphviz", "typst", "matplotlib", "scipy"}}
print(*sorted(drawing & sys.modules.keys()), file=sys.stderr)
"""
    done = subprocess.run([sys.executable, "-c", program], cwd=top, capture_output=True, text=True, check=True)
    assert done.stdout
    assert done.stderr == "\n"
