"""Every `console` block of the documents is real: its commands are run and their output compared.

A line `...` in a block stands for any lines. `pytest --renew` writes the other blocks anew.
"""

from __future__ import annotations

import os
import re
import subprocess
import sysconfig
from dataclasses import dataclass
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent
DOCUMENTS = ("README.md", "DEVELOPERS.md", "rulebooks/README.md")
BLOCK = re.compile(r"^```console\n(.*?)^```$", re.DOTALL | re.MULTILINE)
PROMPT = "$ "
LEFT_OUT = "..."
COLUMNS = 100


@dataclass(frozen=True)
class Block:
    document: str
    line: int
    text: str

    def __str__(self) -> str:
        return f"{self.document}:{self.line}"

    def commands(self) -> list[tuple[str, str]]:
        """Each command with the output shown under it."""
        parts: list[tuple[str, list[str]]] = []
        for line in self.text.splitlines():
            if line.startswith(PROMPT):
                parts.append((line.removeprefix(PROMPT), []))
            else:
                assert parts, f"{self}: the block does not begin with a command ('$ ...')"
                parts[-1][1].append(line)
        return [(command, "\n".join(lines)) for command, lines in parts]


def blocks(document: str) -> list[Block]:
    text = (TOP / document).read_text(encoding="utf-8")
    return [Block(document, text.count("\n", 0, found.start()) + 1, found[1]) for found in BLOCK.finditer(text)]


def run(command: str, folder: Path) -> str:
    """What a person sees in a terminal of COLUMNS columns: both streams, and no blank end."""
    scripts = sysconfig.get_path("scripts")
    environment = {**os.environ, "PATH": f"{scripts}{os.pathsep}{os.environ['PATH']}", "COLUMNS": str(COLUMNS)}
    done = subprocess.run(
        ["bash", "-c", command], cwd=folder, env=environment, stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, timeout=60, check=False,
    )  # fmt: skip
    return "\n".join(line.rstrip() for line in done.stdout.rstrip("\n").split("\n"))


def matches(shown: str, real: str) -> bool:
    """Whether output is what is shown, where a line LEFT_OUT stands for any lines (or none)."""
    pattern = "".join(r"(?:.*\n)*" if line == LEFT_OUT else re.escape(line) + r"\n" for line in shown.splitlines())
    return re.fullmatch(pattern, "".join(f"{line}\n" for line in real.splitlines())) is not None


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A stand-in for the project's folder in which a command may write."""
    for name in ("cases", "rulebooks", "README.md"):
        (tmp_path / name).symlink_to(TOP / name)
    return tmp_path


ALL = [block for document in DOCUMENTS for block in blocks(document)]


@pytest.mark.parametrize("block", ALL, ids=str)
def test_block(block: Block, folder: Path, renew: bool) -> None:
    if not (Path(sysconfig.get_path("scripts")) / "diagnose").exists():
        pytest.skip("the program is not installed, only on the path")
    real = [(command, run(command, folder)) for command, _ in block.commands()]
    if renew and LEFT_OUT not in block.text.splitlines():
        path = TOP / block.document
        text = "".join(
            f"{PROMPT}{command}\n{output}\n" if output else f"{PROMPT}{command}\n" for command, output in real
        )
        path.write_text(path.read_text(encoding="utf-8").replace(block.text, text), encoding="utf-8")
        return
    for (command, shown), (_, output) in zip(block.commands(), real, strict=True):
        assert shown not in ("", LEFT_OUT) or not output, f"nothing is shown of what '{command}' prints"
        assert matches(shown, output), f"{command}\n--- shown\n{shown}\n--- real\n{output}"


def test_every_command_has_a_line_in_the_readme() -> None:
    from diagnose.cli.main import COMMANDS

    text = (TOP / "README.md").read_text(encoding="utf-8")
    assert [name for name in COMMANDS if f"diagnose {name}" not in text] == []


@pytest.mark.parametrize(
    ("shown", "real", "same"),
    [
        ("a\nb", "a\nb", True),
        ("a\nb", "a\nc", False),
        ("a\n...", "a\nb\nc", True),
        ("a\n...", "a", True),
        ("...\nc", "a\nb\nc", True),
        ("...\nc", "a\nc\nb", False),
        ("a\n...\nd", "a\nb\nc\nd", True),
        ("a\n...\nd", "a\nd", True),
        ("a\n...\nd", "a\nb\nc", False),
        ("a...b", "axb", False),
        ("a.b", "axb", False),
        ("", "", True),
        ("", "a", False),
    ],
)
def test_lines_left_out(shown: str, real: str, same: bool) -> None:
    assert matches(shown, real) is same
