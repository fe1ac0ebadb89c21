"""One session at a time on one file. The system gives the lock back when a program ends, however it ends."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import IO


class Taken(Exception):
    """Another program has the lock."""


@contextlib.contextmanager
def only_one(path: Path) -> Iterator[None]:
    """Hold the lock that stands for `path`. Raises Taken; OSError where no file can be made beside it."""
    beside = path.resolve().with_name(f".{path.name}.lock")
    with beside.open("ab") as file:
        _take(file)
        try:
            yield
        finally:
            with contextlib.suppress(OSError):
                beside.unlink()


def _take(file: IO[bytes]) -> None:
    if sys.platform == "win32":
        import msvcrt

        try:
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            raise Taken from None
        return
    import fcntl

    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise Taken from None
    except OSError:
        return  # a file system without locks: a change by somebody else is still noticed when writing
