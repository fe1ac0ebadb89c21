"""Where books stand: those shipped with the program, and folders of the user's own."""

from __future__ import annotations

from pathlib import Path

from diagnose.rulebook.files import HEAD
from diagnose.yamlfile import InputError, Place, Problem, did_you_mean, short

_PACKAGE = Path(__file__).parent.parent


def shipped_folder() -> Path:
    """The folder of the shipped books: inside the installed package, or beside it in a source checkout."""
    installed = _PACKAGE / "rulebooks"
    return installed if installed.is_dir() else _PACKAGE.parent / "rulebooks"


def list_books() -> tuple[Path, ...]:
    """The folders of the shipped books, by name."""
    try:
        folders = sorted(shipped_folder().iterdir())
    except OSError:
        return ()
    return tuple(folder for folder in folders if not folder.is_symlink() and (folder / HEAD).is_file())


def find_book(name_or_folder: str) -> Path:
    """The folder of the shipped book with this name, else the folder of the user's own. Raises InputError.

    A shipped name comes first; `./name` always means a folder. Whether a folder holds a book is
    for `read_book` to say.
    """
    shipped = {folder.name: folder for folder in list_books()}
    if name_or_folder in shipped:
        return shipped[name_or_folder]
    if not name_or_folder.strip():
        says = "the name of the rulebook is empty"
        raise InputError([Problem(Place("rulebook"), "no-such-book", says, _hint("", shipped))])
    folder = Path(name_or_folder)
    try:
        if folder.exists():
            return folder
    except (OSError, ValueError):  # such as a name longer than a file system takes
        pass
    name = short(name_or_folder)
    says = f"there is no shipped rulebook and no folder called '{name}'"
    raise InputError([Problem(Place(name), "no-such-book", says, _hint(name, shipped))])


def _hint(name: str, shipped: dict[str, Path]) -> str:
    return did_you_mean(name, shipped, f"shipped rulebooks: {', '.join(shipped)}" if shipped else "name a folder")
