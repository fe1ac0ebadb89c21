"""Books as they were read last time, so that a start need not read and compile them again.

What Python does with its own modules: beside nothing of the user's, in the user's cache folder, one file a book, good
only for exactly these files of the book, this program and these libraries. Whatever is odd about a kept file, the book
is read anew; whatever goes wrong when it is kept, the work-up does not hang on it.
"""

from __future__ import annotations

import os
import pickle
import stat
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from zlib import adler32, crc32

from diagnose.diagnosis.belief import Belief
from diagnose.rulebook.find import find_book
from diagnose.rulebook.model import Book

FOLDER = "DIAGNOSE_CACHE"
"""The environment variable that names another folder; set to nothing, no book is kept."""
_PACKAGE = str(Path(__file__).parent.parent)
_SUM = 4


def compiled(name: str) -> tuple[Book, Belief]:
    """The book with this name or in this folder, read and compiled. Raises InputError."""
    folder = find_book(name)
    key = _key(folder)
    place = _place(folder) if key else None
    if place is not None:
        with suppress(Exception):  # a file that can't be made sense of is as good as none
            found = _load(place, key)
            if found is not None:
                return found
    from diagnose.rulebook.from_yaml import read_book  # only where a book has to be read

    book = read_book(folder)
    made = book, Belief(book)
    if place is not None and _key(folder) == key:
        with suppress(OSError):
            _save(place, key, made)
    return made


def _place(folder: Path) -> Path | None:
    """Where this book is kept; None where nothing is to be kept, or somebody else could write there."""
    wanted = os.environ.get(FOLDER)
    if wanted == "":
        return None
    try:
        home = Path(wanted) if wanted else _users_own() / "diagnose"
        home.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not _ours(home.stat()):
            return None
    except (OSError, RuntimeError):
        return None
    return home / f"{_sum(os.fsencode(os.path.realpath(folder))).decode()}.book"


def _users_own() -> Path:
    """The folder that the system has for what can be made anew. Raises RuntimeError where nobody knows the home."""
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches"
    told = Path(os.environ.get("XDG_CACHE_HOME", ""))
    return told if told.is_absolute() else Path.home() / ".cache"


def _ours(about: os.stat_result) -> bool:
    """Whether nobody else can have written it: what is kept is loaded as trustingly as a program."""
    if sys.platform == "win32":
        return True
    return about.st_uid == os.geteuid() and not about.st_mode & (stat.S_IWGRP | stat.S_IWOTH)


def _key(folder: Path) -> bytes:
    """What a kept book hangs on: its files as they are now, how they are named, and the program. b"" if unreadable."""
    parts = [f"{sys.version}\0{folder}\0".encode("utf-8", "surrogateescape")]
    try:
        for entry in _below(_PACKAGE):
            if entry.name.endswith(".py"):
                about = entry.stat()
                parts.append(os.fsencode(f"{entry.path}\0{about.st_size}\0{about.st_mtime_ns}\0"))
        for entry in _below(str(folder)):
            parts.append(os.fsencode(entry.path) + b"\0")
            if entry.name.endswith(".yaml"):
                text = Path(entry.path).read_bytes()
                parts.append(b"%d\0%b" % (len(text), text))
    except (OSError, ValueError):
        return b""
    return _sum(b"".join(parts))


def _sum(raw: bytes) -> bytes:
    """Tells apart what differs by accident. Importing a hash that withstands intent takes 3 ms, and nobody means harm:
    who could write here could as well write the book.
    """
    return b"%08x%08x%08x" % (crc32(raw), adler32(raw), len(raw) & 0xFFFFFFFF)


def _below(folder: str) -> Iterator[os.DirEntry[str]]:
    """Every file in the folder and in those inside it, in a fixed order."""
    with os.scandir(folder) as found:
        entries = sorted(found, key=lambda entry: entry.name)
    for entry in entries:
        if not entry.is_dir():
            yield entry
        elif entry.name != "__pycache__":
            yield from _below(entry.path)


def _load(place: Path, key: bytes) -> tuple[Book, Belief] | None:
    with place.open("rb") as file:
        if not _ours(os.fstat(file.fileno())) or file.read(len(key)) != key:
            return None
        told, raw = file.read(_SUM), file.read()
    if crc32(raw).to_bytes(_SUM, "big") != told:
        return None
    found: tuple[Book, Belief] = pickle.loads(raw)
    return found


def _save(place: Path, key: bytes, made: tuple[Book, Belief]) -> None:
    """Whole or not at all: another start may read it meanwhile."""
    import tempfile  # only where a book is kept

    raw = pickle.dumps(made, pickle.HIGHEST_PROTOCOL)
    handle, name = tempfile.mkstemp(dir=place.parent, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(key + crc32(raw).to_bytes(_SUM, "big") + raw)
        Path(name).replace(place)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
