"""Files that appear whole or not at all, and are on disk before the record names them."""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from hashlib import file_digest
from pathlib import Path

__all__ = ["digest_of_file", "settle", "sweep", "unfinished", "write"]

_HIDDEN = ".part-"
_LONG_AGO = 24 * 3600.0
"""Seconds after which nobody is still at work, where that cannot be asked."""


@contextmanager
def unfinished(folder: Path) -> Iterator[Path]:
    """A hidden folder in `folder` to make something in, which is then moved out of it, or is itself renamed.

    What is left of it goes at the end; after a kill, with the next `sweep`. No sweep touches it while this process lives.
    """
    while True:
        part = Path(tempfile.mkdtemp(prefix=_HIDDEN, dir=folder))
        held = _hold(part, wait=True)
        if part.is_dir():
            break
        _let_go(held)  # somebody swept it away before it was held
    try:
        yield part
    finally:
        shutil.rmtree(part, ignore_errors=True)
        _let_go(held)


def sweep(folder: Path) -> None:
    """Remove what `unfinished` left in `folder` when its process was killed."""
    for part in folder.glob(_HIDDEN + "*"):
        held = _hold(part, wait=False)
        if held is not None or _forgotten(part):
            shutil.rmtree(part, ignore_errors=True)
        _let_go(held)


def write(path: Path, content: bytes) -> None:
    """A new file, on disk when this returns (its name with the next `settle`)."""
    with path.open("xb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())


def settle(folder: Path) -> None:
    """The names in a folder are on disk when this returns. Windows sees to that itself."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def digest_of_file(path: Path) -> str:
    """SHA-256, in hex. Raises OSError."""
    with path.open("rb") as file:
        return file_digest(file, "sha256").hexdigest()


def _hold(part: Path, wait: bool) -> int | None:
    """A handle that holds the folder until it is let go, or this process ends in whatever way; None if there is none."""
    if os.name != "posix":
        return None
    import fcntl

    handle = None
    try:
        handle = os.open(part, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
        return handle
    except OSError:  # somebody is at work there, it is gone, or this file system knows no locks
        _let_go(handle)
        return None


def _let_go(held: int | None) -> None:
    if held is not None:
        os.close(held)


def _forgotten(part: Path) -> bool:
    """So old that nobody can be at work there any more; for where there are no locks."""
    with suppress(OSError):
        return time.time() - part.stat().st_mtime > _LONG_AGO
    return False
