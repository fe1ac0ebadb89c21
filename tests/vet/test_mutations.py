"""Whatever happens to the lines of a book, vetting it gives problems with places, never a crash."""

from __future__ import annotations

import shutil
from pathlib import Path
from random import Random

import pytest

from diagnose.rulebook.find import shipped_folder
from diagnose.vet.from_book import vet
from diagnose.vet.shown import as_json, text


def spoil(lines: list[str], random: Random) -> None:
    """A few lines deleted or doubled, two swapped, or one word of one line replaced by another of the file."""
    way, at = random.randrange(5), random.randrange(len(lines))
    if way == 0:
        del lines[at : at + random.choice((1, 1, 2, 5))]
    elif way == 1:
        lines.insert(random.randrange(len(lines)), lines[at])
    elif way == 2:
        other = random.randrange(len(lines))
        lines[at], lines[other] = lines[other], lines[at]
    else:
        words, others = lines[at].split(" "), random.choice(lines).split(" ")
        words[random.randrange(len(words))] = random.choice(others)
        lines[at] = " ".join(words)


@pytest.mark.parametrize(("name", "times"), [("small", 400), ("passenger-car", 32)])
def test_problems_and_no_crash(name: str, times: int, mended: Path, tmp_path: Path) -> None:
    random = Random(20261124)
    folder = tmp_path / name
    shutil.copytree(mended if name == "small" else shipped_folder() / name, folder)
    files = sorted(folder.rglob("*.yaml"))
    whole = 0
    for _ in range(times):
        path = random.choice(files)
        before = path.read_text(encoding="utf-8")
        lines = before.split("\n")
        spoil(lines, random)
        path.write_text("\n".join(lines), encoding="utf-8")
        vetting = vet(folder, name)
        whole += vetting.book is not None
        assert all(problem.says and problem.place.file.startswith(name) for problem in vetting.problems)
        assert text(vetting)
        assert as_json(vetting)
        path.write_text(before, encoding="utf-8")
    assert whole > times / 8, "few of the books could be judged as a whole"
