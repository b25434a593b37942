"""What SQLite's errors mean for a record: wait a little, look whether there is room, or say it in plain words."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable
from pathlib import Path
from types import TracebackType
from typing import TypeVar

from restonb.errors import RecordError

__all__ = ["is_want_of_room", "patiently", "plain_words"]

_T = TypeVar("_T")
_PATIENCE = 120.0


def patiently(what: Callable[[], _T]) -> _T:
    """Do it, again and again while somebody else holds the file: they hold it for milliseconds."""
    end = 0.0
    while True:
        try:
            return what()
        except sqlite3.OperationalError as error:
            if _code_of(error) & 0xFF not in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
                raise
            now = time.monotonic()
            end = end or now + _PATIENCE
            if now > end:
                raise
            from random import uniform

            time.sleep(uniform(0.0005, 0.005))


class plain_words:
    """In it, errors of SQLite become a RecordError: one plain line that says what is lost (nothing) and what to do."""

    __slots__ = ("_path",)

    def __init__(self, path: Path) -> None:
        self._path = path

    def __enter__(self) -> None:
        pass

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if error is None:
            return
        if isinstance(error, sqlite3.Error):
            code = _code_of(error)
            code = sqlite3.SQLITE_FULL if code in _GROWING else code & 0xFF
            words = _WORDS.get(code, "{name}: {error}").format(name=self._path.name, error=error)
        elif isinstance(error, UnicodeDecodeError):  # what SQLite says of a damaged file quotes the damage
            words = _WORDS[sqlite3.SQLITE_CORRUPT].format(name=self._path.name, error=error.reason)
        elif isinstance(error, OSError):
            words = f"{self._path.name}: {error.strerror or error}; nothing that was taken is lost"
        else:
            return
        raise RecordError(words) from error


def is_want_of_room(error: sqlite3.Error) -> bool:
    """Whether a file that cannot be opened to be written may still be there to be read."""
    return _code_of(error) & 0xFF in _NO_ROOM


def _code_of(error: sqlite3.Error) -> int:
    """SQLite's code. What Python's module itself raises bears none: 'could not decode to UTF-8' is damage."""
    damage = sqlite3.SQLITE_CORRUPT if isinstance(error, sqlite3.OperationalError) else 0
    return getattr(error, "sqlite_errorcode", None) or damage


_GROWING = (sqlite3.SQLITE_IOERR_SHMSIZE, sqlite3.SQLITE_IOERR_SHMOPEN)
"""What a full disk brings up when a record is opened: there is no room for the index of its log."""
_NO_ROOM = (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY)

_KEPT = "this was not taken, and nothing that was taken before is lost"
_WORDS = {
    sqlite3.SQLITE_FULL: f"the disk is full: {_KEPT}; make room and enter it again",
    sqlite3.SQLITE_IOERR: f"the disk could not be read or written ({{error}}): {_KEPT}; check the disk",
    sqlite3.SQLITE_BUSY: f"another program holds {{name}}: {_KEPT}; close it and enter it again",
    sqlite3.SQLITE_LOCKED: f"another program holds {{name}}: {_KEPT}; close it and enter it again",
    sqlite3.SQLITE_READONLY: f"{{name}} can only be read here: {_KEPT}; copy the build folder",
    sqlite3.SQLITE_CANTOPEN: "{name} could not be opened: see that the folder exists and is yours",
    sqlite3.SQLITE_CORRUPT: "{name} is damaged ({error}): run verify on it, and go back to a copy",
    sqlite3.SQLITE_NOTADB: "{name} is damaged or is not a record: move it away, or go back to a copy",
    sqlite3.SQLITE_CONSTRAINT: f"the record refused it ({{error}}): {_KEPT}",
}
