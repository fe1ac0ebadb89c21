"""A text file that is written whole or not at all, and never over what somebody else wrote meanwhile."""

from __future__ import annotations

import contextlib
import os
import re
import tempfile
from pathlib import Path

from diagnose.yamlfile.place import InputError, Place, Problem

_BOM = b"\xef\xbb\xbf"


class NotSaved(Exception):
    """Writing failed and the file is as it was; says why in one sentence."""


class ChangedOutside(NotSaved):
    """The file is no longer what was last read or written here."""


class SavedFile:
    """The file at `path`, as last read or written here; it need not exist yet."""

    def __init__(self, path: Path, shown_as: str) -> None:
        self.path = path
        self.shown_as = shown_as
        self._last: bytes | None = None

    def load(self) -> str:
        """The text as it stands now; '' where there is no file. Raises InputError where it can't be read."""
        start = Place(self.shown_as)
        try:
            self._last = self._now()
            return (self._last or b"").decode("utf-8-sig")
        except UnicodeDecodeError:
            raise InputError(
                [Problem(start, "not-text", "this is not text in UTF-8", "save it as UTF-8 text")]
            ) from None
        except OSError as error:
            says = f"the file can't be read: {error.strerror}"
            raise InputError([Problem(start, "unreadable", says)]) from None

    def save(self, text: str) -> None:
        """Write `text` to a temporary file beside it, to the disk, and put it in the file's place. Raises NotSaved."""
        try:
            if self._now() != self._last:
                raise ChangedOutside(f"{self.shown_as} was changed by somebody else meanwhile")
            raw = text.encode("utf-8")
            if (self._last or b"").startswith(_BOM):
                raw = _BOM + raw
            _write(self.path, raw)
        except (OSError, UnicodeEncodeError) as error:
            why = getattr(error, "strerror", None) or "it holds signs that no file can hold"
            raise NotSaved(f"{self.shown_as} could not be written: {why}") from None
        self._last = raw

    def clear_rests(self) -> None:
        """Delete temporary files that a program left beside it when it was killed while writing.

        What stands in them was never answered for: the file itself holds the last answer that was.
        """
        target = self.path.resolve()
        rest = re.compile(rf"\.{re.escape(target.name)}\.[a-z0-9_]{{8}}\.part")
        with contextlib.suppress(OSError):
            for beside in target.parent.iterdir():
                if rest.fullmatch(beside.name):
                    beside.unlink()

    def _now(self) -> bytes | None:
        try:
            return self.path.read_bytes()
        except FileNotFoundError:
            return None


def _write(path: Path, raw: bytes) -> None:
    target = path.resolve()  # a link stays a link
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".part", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(raw)
            file.flush()
            os.fsync(file.fileno())
        with contextlib.suppress(OSError):
            Path(name).chmod(target.stat().st_mode & 0o777 if target.exists() else 0o666 & ~_umask())
        Path(name).replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(name).unlink()
        raise
    with contextlib.suppress(OSError, AttributeError):  # not every system can write a folder to the disk
        folder = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _umask() -> int:
    now = os.umask(0o077)
    os.umask(now)
    return now
