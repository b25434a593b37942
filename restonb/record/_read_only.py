"""Reading a record where nothing can be written: in a folder of somebody else, from a disc, on a disk that is full."""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
from pathlib import Path

__all__ = ["open_to_read"]

_HELD = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)


def open_to_read(path: Path) -> sqlite3.Connection:
    """A connection that writes nothing, neither to the file nor into its folder. Raises sqlite3.Error or OSError.

    Beside a record that is open stands an index of its log, which SQLite wants to make even to read. Where it cannot,
    the file alone is read; and where a log was left that holds the newest entries, a copy of both, in memory.
    """
    uri = path.absolute().as_uri()
    try:
        return _tried(f"{uri}?mode=ro")
    except sqlite3.OperationalError as error:
        if getattr(error, "sqlite_errorcode", 0) & 0xFF in _HELD:
            raise
    log = path.with_name(path.name + "-wal")
    if log.exists() and log.stat().st_size:
        return _of_a_copy(path, log)
    return _tried(f"{uri}?mode=ro&immutable=1")


def _of_a_copy(path: Path, log: Path) -> sqlite3.Connection:
    failed: Exception | None = None
    for place in (tempfile.gettempdir(), "/dev/shm"):
        try:
            with tempfile.TemporaryDirectory(prefix="restonb-", dir=place) as own:
                copy = Path(own) / path.name
                shutil.copyfile(path, copy)
                shutil.copyfile(log, copy.with_name(log.name))
                return _in_memory(copy)
        except (sqlite3.OperationalError, OSError) as error:  # no room there either
            failed = failed or error
    assert failed is not None
    raise failed


def _in_memory(copy: Path) -> sqlite3.Connection:
    memory = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    try:
        source = sqlite3.connect(copy)
        try:
            source.backup(memory)
        finally:
            source.close()
        memory.execute("PRAGMA query_only = ON")
    except BaseException:
        memory.close()
        raise
    return memory


def _tried(uri: str) -> sqlite3.Connection:
    db = sqlite3.connect(uri, uri=True, timeout=10.0, isolation_level=None, check_same_thread=False)
    try:
        db.execute("SELECT 1 FROM sqlite_schema LIMIT 1").fetchone()
    except BaseException:
        db.close()
        raise
    return db
