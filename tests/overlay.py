"""Files that change a book in one place, for tests: what a book looks like with one thing different.

A file begins with lines `# expect: ...` (and `#   hint: ...`), what must then be reported, word for
word. Then come either `# in: <file>` with the lines `# old:` and `# new:` that change a file of the
book, or YAML that is added to the book (line 1 is the first line after the comments).
"""

from __future__ import annotations

import shutil
from pathlib import Path

SMALL = Path(__file__).parent / "books" / "small"


def changed_book(overlay: Path, folder: Path, book: Path = SMALL) -> list[str]:
    """Write a changed copy of a book to `folder`; returns the lines of the expected report."""
    shutil.copytree(book, folder)
    return change(overlay, folder)


def change(overlay: Path, folder: Path, added_as: str = "z.yaml") -> list[str]:
    """Change the book in `folder`; returns the lines of the expected report."""
    expected, changed, old, new, body = parts_of(overlay)
    if changed:
        text = (folder / changed).read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{overlay.name} no longer fits {changed}"
        (folder / changed).write_text(text.replace(old, new), encoding="utf-8")
    else:
        (folder / added_as).write_text(body, encoding="utf-8")
    return expected


def parts_of(overlay: Path) -> tuple[list[str], str, str, str, str]:
    """Expected lines, changed file, old and new text of the change, and the YAML below the comments."""
    expected: list[str] = []
    found: dict[str, list[str]] = {"in": [], "old": [], "new": []}
    lines = overlay.read_text(encoding="utf-8").split("\n")
    body = ""
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
