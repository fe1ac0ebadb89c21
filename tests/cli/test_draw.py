"""`diagnose draw`: what it writes, and one clear sentence for everything that can't be drawn."""

from __future__ import annotations

import builtins
import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from diagnose.cli.draw import draw
from diagnose.report.diagram import engine

SMALL = str(Path(__file__).parents[1] / "books" / "small")


def run(*arguments: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(draw, arguments)
    return done.exit_code, done.stdout, done.stderr


def test_a_tree_goes_to_stdout_and_progress_does_not() -> None:
    code, out, err = run(SMALL, "--tree", "level_low", "--as", "json")
    assert code == 0
    assert json.loads(out)["id"] == "small.tree.level_low"
    assert err.startswith("Level low: asking the program\n")


def test_a_theme_a_cause_and_the_whole() -> None:
    for arguments in (["--theme", "ph"], ["--cause", "gas"], ["--map"]):
        code, out, err = run(SMALL, *arguments)
        assert (code, err) == (0, "")
        assert out.startswith('digraph "small.map')


def test_the_way_of_a_case_is_marked(tmp_path: Path) -> None:
    case = tmp_path / "one.yaml"
    case.write_text("id: one\ndate: 2026-01-01\ntitle: one\nreadings:\n  - {quantity: level, value: low}\n")
    code, out, _ = run(SMALL, "--case", str(case), "--as", "json")
    assert code == 0
    made = json.loads(out)
    assert made["id"] == "small.tree.level_low.case.one"
    assert {node["mark"] for node in made["nodes"]} == {"", "path"}


def test_against_an_older_edition(tmp_path: Path) -> None:
    shutil.copytree(SMALL, tmp_path / "small")
    rules = tmp_path / "small" / "rules" / "ph.yaml"
    rules.write_text(rules.read_text("utf-8").replace("acid_residue: usually", "acid_residue: often"), encoding="utf-8")
    code, out, _ = run(SMALL, "--theme", "ph", "--against", str(tmp_path / "small"), "--as", "json")
    assert code == 0
    made = json.loads(out)
    changed = {(edge["mark"], edge["word"]) for edge in made["edges"] if edge["mark"]}
    assert changed == {("removed", "seen with it often"), ("added", "seen with it usually")}
    assert made["notes"][0] == "Boxes: no change. Lines: 1 added, 1 removed."


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([SMALL], "say what to draw: --tree ENTRY"),
        ([SMALL, "--tree", "level_lo"], "has no entry 'level_lo'\n    hint: did you mean 'level_low'?"),
        ([SMALL, "--theme", "phh"], "has no theme 'phh'"),
        ([SMALL, "--cause", "gass"], "has no cause 'gass'\n    hint: did you mean 'gas'?"),
        ([SMALL, "--map", "--tree", "ph_out"], "a map has no tree"),
        ([SMALL, "--theme", "ph", "--cause", "gas"], "can't stand together"),
        ([SMALL, "--all"], "--all takes a folder with -o"),
        ([SMALL, "--map", "-o", "/no/such/folder/x.dot"], "can't be written: No such file or directory"),
    ],
)
def test_wrong_usage_is_one_sentence(arguments: list[str], says: str) -> None:
    code, out, err = run(*arguments)
    assert (code, out) == (2, "")
    assert says in err


def test_a_case_that_came_in_with_nothing(tmp_path: Path) -> None:
    case = tmp_path / "one.yaml"
    case.write_text("id: one\ndate: 2026-01-01\ntitle: one\nreadings:\n  - {quantity: level, value: at_mark}\n")
    code, _, err = run(SMALL, "--case", str(case))
    assert code == 2
    assert "came in with no entry of the book 'small'\n    hint: name one with --tree; its entries: ph_out" in err


@pytest.mark.parametrize(("missing", "form"), [("graphviz", "svg"), ("graphviz", "png"), ("typst", "pdf")])
def test_a_missing_extra_is_said_in_one_sentence(missing: str, form: str, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("graphviz")
    real = builtins.__import__

    def without(name: str, *rest: object) -> object:
        if name == missing or name.startswith(f"{missing}."):
            raise ModuleNotFoundError(name)
        return real(name, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(builtins, "__import__", without)
    code, out, err = run(SMALL, "--theme", "ph", "--as", form)
    assert (code, out) == (2, "")
    assert f"needs the library {missing}" in err
    assert "pip install 'diagnose[draw]'" in err


def test_without_the_wheel_a_dot_on_the_path_is_taken(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def none(name: str) -> object:
        raise engine.importlib.metadata.PackageNotFoundError(name)

    program = tmp_path / "dot"
    program.write_text("")
    monkeypatch.setattr(engine.importlib.metadata, "distribution", none)
    monkeypatch.setattr(engine.shutil, "which", lambda name: str(program) if name == "dot" else None)
    engine._program.cache_clear()
    try:
        assert engine._program() == program
        monkeypatch.setattr(engine.shutil, "which", lambda name: None)
        engine._program.cache_clear()
        with pytest.raises(engine.Refused, match="drawing needs Graphviz, which is not installed"):
            engine._program()
    finally:
        engine._program.cache_clear()


def test_text_forms_need_no_drawing_library() -> None:
    program = f"""
import sys
from diagnose.cli.draw import draw
draw([{SMALL!r}, "--theme", "ph", "--as", "dot"], standalone_mode=False)
print(*sorted({{"graphviz", "typst", "networkx"}} & sys.modules.keys()), file=sys.stderr)
"""
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.startswith("digraph")
    assert done.stderr == "\n"
