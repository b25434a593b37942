"""A BagIt bag (RFC 8493) around a folder of data, and the same bag as one zip file. Both are the same every time."""

from __future__ import annotations

import errno
import glob
import os
import shutil
import tempfile
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from importlib.resources import files
from pathlib import Path
from typing import IO

from restonb.errors import HandoverError
from restonb.handover import check

__all__ = ["close_bag", "in_place_of", "settle", "write_whole", "write_zip"]

_BAGIT = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
_BUSY = "busy"
_ZIP_TIME = (1980, 1, 1, 0, 0, 0)
_NAME = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_./")


def close_bag(folder: Path, info: Mapping[str, str], readme: str) -> str:
    """Make a bag of `folder`, whose `data/` is complete; answers the seal: the SHA-256 of its list of tag files.

    `info` goes into bag-info.txt, with the size and number of the files. Raises HandoverError for a file name
    that not every system can store.
    """
    payload = check.listing(folder, payload=True)
    for name in payload:
        if not set(name) <= _NAME or ".." in name:
            raise HandoverError(f"the file name {name!r} cannot go into a bag; use letters, digits, '-', '_', '.'")
    size = sum((folder / name).stat().st_size for name in payload)
    labels = {**info, "Payload-Oxum": f"{size}.{len(payload)}"}
    _put(folder / "bagit.txt", _BAGIT)
    _put(folder / "bag-info.txt", "".join(f"{k}: {' '.join(v.split())}\n" for k, v in sorted(labels.items())))
    _put(folder / "README.txt", readme)
    _put(folder / "check.py", files(__package__).joinpath("check.py").read_text(encoding="utf-8"))
    (folder / check.LISTED).write_bytes(check.manifest_bytes(payload))
    (folder / check.SEALED).write_bytes(check.manifest_bytes(check.listing(folder, payload=False)))
    return check.digest(folder / check.SEALED)


def write_zip(folder: Path, target: Path, top: str) -> None:
    """The files of `folder` below `top/` in one zip: sorted, with fixed dates, stored as they are.

    Not compressed, because compressors differ between machines and the zip must not; pictures, which make up
    most of it, would not shrink.
    """
    names = sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())
    with zipfile.ZipFile(target, "w", zipfile.ZIP_STORED) as packed:
        for name in names:
            item = zipfile.ZipInfo(f"{top}/{name}", _ZIP_TIME)
            item.create_system = 3
            item.external_attr = 0o100644 << 16
            item.file_size = (folder / name).stat().st_size
            with (folder / name).open("rb") as source, packed.open(item, "w") as sink:
                shutil.copyfileobj(source, sink, 1 << 20)


@contextmanager
def in_place_of(target: Path) -> Iterator[Path]:
    """A working folder beside `target` that takes its place when all went well, and vanishes when not.

    What an export that was killed left behind is put right first: an earlier `target` that it had moved aside comes
    back, and its working folder goes.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    for left in target.parent.glob(f".{glob.escape(target.name)}.????????"):
        _put_right(left, target)
    work = Path(tempfile.mkdtemp(prefix=f".{target.name}.", dir=target.parent))
    new, old = work / "new", work / "old"
    busy = None
    try:
        busy = (work / _BUSY).open("wb")
        _taken(busy)
        new.mkdir()
        yield new
        if target.exists():
            os.replace(target, old)
        os.replace(new, target)
    finally:
        if busy:
            busy.close()
        if old.exists() and not target.exists():  # pragma: no cover - the second rename failed
            os.replace(old, target)
        shutil.rmtree(work, ignore_errors=True)


def _put_right(work: Path, target: Path) -> None:
    """Of an export that is still at work, nothing is touched."""
    if not work.is_dir():
        return
    with suppress(OSError):
        with (work / _BUSY).open("ab") as busy:
            if not _taken(busy):
                return
        if (work / "old").exists() and not target.exists():
            os.replace(work / "old", target)
        shutil.rmtree(work, ignore_errors=True)


def _taken(file: IO[bytes]) -> bool:
    """Whether this process has it for itself, until it is closed or the process ends, however it ends."""
    try:
        import fcntl
    except ImportError:  # pragma: no cover - Windows does not delete what somebody has open: that is lock enough
        return True
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        return error.errno not in (errno.EAGAIN, errno.EACCES)  # a file system without locks
    return True


def settle() -> None:
    """Everything that was written is on disk: a power cut leaves no names without their content. One call for all
    files, since a bag may hold thousands; where the system has none (Windows) it writes them down by itself, later.
    """
    if hasattr(os, "sync"):
        os.sync()


def write_whole(path: Path, text: str) -> None:
    """The file has this text, or what it had before; on disk when this returns."""
    part = path.with_name(f".{path.name}.part")
    try:
        with part.open("wb") as file:
            file.write(text.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        os.replace(part, path)
    finally:
        part.unlink(missing_ok=True)


def _put(path: Path, text: str) -> None:
    path.write_bytes(text.encode("utf-8"))
