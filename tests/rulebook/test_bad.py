"""One broken book for each file in `bad/`: tests/books/small with one mistake made in it.

The first lines of a file say what must be reported, word for word, with nothing else beside it:

    # expect: small/<file>:<line>:<column>: <check>: <sentence>
    #             hint: <hint>

Then either `# in: <file>` with the lines `# old:` and `# new:` that change a file of the book, or
YAML that is added to the book as z.yaml (line 1 is the first line after the comments).
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from diagnose.rulebook.checks import CHECKS
from diagnose.rulebook.from_yaml import read_book
from diagnose.yamlfile import InputError

SMALL = Path(__file__).parent.parent / "books" / "small"
BAD = sorted((Path(__file__).parent / "bad").glob("*.yaml"))


@pytest.mark.parametrize("bad", BAD, ids=lambda path: path.stem)
def test_the_mistake_is_reported_as_expected(bad: Path, tmp_path: Path) -> None:
    expected = break_book(bad, tmp_path / "small")
    with pytest.raises(InputError) as caught:
        read_book(tmp_path / "small", "small")
    assert [line.strip() for line in str(caught.value).splitlines()] == expected
    for problem in caught.value.problems:
        assert problem.check in CHECKS


def test_there_are_many_and_they_cover_most_checks() -> None:
    assert len(BAD) >= 45
    named = {line.split(": ")[1] for bad in BAD for line in head_of(bad)[0] if not line.startswith("hint:")}
    # The others need files that can't stand here: links, other encodings, large files.
    files_only = {"link-in-book", "not-a-file", "not-text", "too-large", "too-many-files", "unreadable", "no-such-book"}
    files_only |= {"no-such-file", "wrong-ending", "too-deep", "empty", "bad-key"}
    assert set(CHECKS) - named <= files_only


def break_book(bad: Path, folder: Path) -> list[str]:
    """Write the broken book to `folder`; returns the lines of the expected report."""
    shutil.copytree(SMALL, folder)
    expected, changed, old, new, body = head_of(bad)
    if changed:
        text = (folder / changed).read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{bad.name} no longer fits {changed}"
        (folder / changed).write_text(text.replace(old, new), encoding="utf-8")
    else:
        (folder / "z.yaml").write_text(body, encoding="utf-8")
    return expected


def head_of(bad: Path) -> tuple[list[str], str, str, str, str]:
    """Expected lines, changed file, old and new text of the change, and the YAML below the comments."""
    expected: list[str] = []
    found: dict[str, list[str]] = {"in": [], "old": [], "new": []}
    lines = bad.read_text(encoding="utf-8").split("\n")
    assert lines[0].startswith("# expect: ")
    for number, line in enumerate(lines):
        key, _, rest = line.removeprefix("# ").partition(": ")
        if not line.startswith("# "):
            body = "\n".join(lines[number:])
            break
        if key in found:
            found[key].append(rest)
        else:
            expected.append(line.removeprefix("# expect: ").removeprefix("#").strip())
    return expected, "".join(found["in"]), "\n".join(found["old"]), "\n".join(found["new"]), body
