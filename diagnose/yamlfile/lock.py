"""One session at a time on one file. The system gives the lock back when a program ends, however it ends."""

from __future__ import annotations

import contextlib
import errno
import os
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
    file = _taken(beside)
    try:
        yield
    finally:
        # Windows deletes no file that is open; elsewhere it goes while the lock still holds, so that nobody
        # takes the lock of a file that is about to go
        if sys.platform == "win32":
            _give_back(file)
            file.close()
        with contextlib.suppress(OSError):
            beside.unlink()
        file.close()


def _taken(beside: Path) -> IO[bytes]:
    """The file, open and locked. One that was deleted between opening and locking locks nobody out: open it anew."""
    while True:
        file = beside.open("ab")
        try:
            _take(file)
        except BaseException:
            file.close()
            raise
        if _is_there(file, beside):
            return file
        file.close()


def _is_there(file: IO[bytes], beside: Path) -> bool:
    if sys.platform == "win32":
        return True  # an open file can't be deleted
    try:
        return os.path.samestat(os.fstat(file.fileno()), beside.stat())
    except FileNotFoundError:
        return False


def _take(file: IO[bytes]) -> None:
    if sys.platform == "win32":
        import msvcrt

        file.seek(0)  # what is locked begins where the file stands
        try:
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError as error:
            if error.errno in (errno.EACCES, errno.EDEADLK):
                raise Taken from None
        return
    import fcntl

    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise Taken from None
    except OSError:
        return  # a file system without locks: a change by somebody else is still noticed when writing


def _give_back(file: IO[bytes]) -> None:
    """On Windows a lock is to be given back before the file is closed, or it is freed when the system finds time."""
    if sys.platform == "win32":
        import msvcrt

        file.seek(0)
        with contextlib.suppress(OSError):
            msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)
