"""`graphs/` holds what would be drawn now."""

from __future__ import annotations

import difflib
import importlib.metadata
import json
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from diagnose.cli.draw.folder import all_files
from diagnose.rulebook.find import list_books

LOCKED = "0.2.2"
"""The version of graphviz-pure in requirements.lock: another one may lay out otherwise."""
PAGES = sorted((Path(__file__).parents[1] / "graphs").glob("*/tree-*.md"))
SHOWN = 60
needs_npm = pytest.mark.skipif(
    not os.environ.get("MERMAID_HOME") or shutil.which("node") is None,
    reason="no node, or MERMAID_HOME names no folder with npm's mermaid and jsdom",
)


def can_compare_pictures() -> bool:
    try:
        return importlib.metadata.version("graphviz-pure") == LOCKED
    except importlib.metadata.PackageNotFoundError:
        return False


@pytest.mark.parametrize("book", [folder.name for folder in list_books()])
def test_the_drawings_are_up_to_date(book: str, top: Path) -> None:
    folder = top / "graphs" / book
    pictures = can_compare_pictures()
    made = all_files(book, pictures)
    kept = {path.name for path in folder.glob("*") if path.name.startswith(("tree-", "rules-"))}
    kept -= set() if pictures else {name for name in kept if name.endswith(".svg")}
    difference = [f"{name} stands in graphs/ and would not be drawn" for name in sorted(kept - set(made))]
    for name, data in made.items():
        old = (folder / name).read_text(encoding="utf-8") if (folder / name).is_file() else ""
        new = data.decode()
        if old != new:
            lines = difflib.unified_diff(old.splitlines(), new.splitlines(), f"graphs/{book}/{name}", "now", n=0)
            difference += [line[:200].rstrip() for line in lines]
    hint = f"renew with: diagnose draw {book} --all -o graphs/{book}"
    assert not difference, "\n".join([*difference[:SHOWN], hint])


@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.stem)
def test_mermaid_keeps_within_its_limits(page: Path) -> None:
    (text,) = drawings(page)
    assert len(text) <= 50_000
    assert sum('|"' in line for line in text.splitlines()) <= 500


@needs_npm
@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.stem)
def test_mermaids_own_parser_takes_every_tree(page: Path, tmp_path: Path) -> None:
    (text,) = drawings(page)
    (tmp_path / "one.mmd").write_text(text, encoding="utf-8")
    script = Path(__file__).parent / "graph" / "mermaid_parse.mjs"
    command = ["node", str(script), str(tmp_path / "one.mmd")]
    done = subprocess.run(command, cwd=os.environ["MERMAID_HOME"], capture_output=True, text=True, check=True)
    found = json.loads(done.stdout)
    dot = page.with_suffix(".dot").read_text(encoding="utf-8")
    boxes = re.findall(r'^    "[^"]+" \[label=', dot, re.MULTILINE)
    lines = re.findall(r'^  "[^"]+" -> ', dot, re.MULTILINE)
    assert (len(found["nodes"]), len(found["edges"])) == (len(boxes), len(lines))


def drawings(page: Path) -> list[str]:
    return re.findall(r"^```mermaid\n(.*?)^```$", page.read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE)
