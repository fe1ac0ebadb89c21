"""One broken book for each file in `bad/`: tests/books/small with one mistake made in it.

The first lines of a file (see tests/overlay.py) say what must be reported, with nothing else beside it:

    # expect: small/<file>:<line>:<column>: <check>: <sentence>
    #             hint: <hint>
"""

from __future__ import annotations

from pathlib import Path

import pytest
from overlay import changed_book, parts_of

from diagnose.rulebook.checks import CHECKS
from diagnose.rulebook.from_yaml import read_book
from diagnose.yamlfile import InputError

BAD = sorted((Path(__file__).parent / "bad").glob("*.yaml"))


@pytest.mark.parametrize("bad", BAD, ids=lambda path: path.stem)
def test_the_mistake_is_reported_as_expected(bad: Path, tmp_path: Path) -> None:
    expected = changed_book(bad, tmp_path / "small")
    with pytest.raises(InputError) as caught:
        read_book(tmp_path / "small", "small")
    assert [line.strip() for line in str(caught.value).splitlines()] == expected
    for problem in caught.value.problems:
        assert problem.check in CHECKS


def test_there_are_many_and_they_cover_most_checks() -> None:
    assert len(BAD) >= 45
    named = {line.split(": ")[1] for bad in BAD for line in parts_of(bad)[0] if not line.startswith("hint:")}
    # The others need files that can't stand here: links, other encodings, large files.
    files_only = {"link-in-book", "not-a-file", "not-text", "too-large", "too-many-files", "unreadable", "no-such-book"}
    files_only |= {"no-such-file", "wrong-ending", "too-deep", "empty", "bad-key"}
    assert set(CHECKS) - named <= files_only
