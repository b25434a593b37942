"""A BagIt bag (RFC 8493) around a folder of data, and the same bag as one zip file. Both are the same every time."""

from __future__ import annotations

import os
import shutil
import tempfile
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path

from restonb.errors import HandoverError
from restonb.handover import check

__all__ = ["close_bag", "in_place_of", "write_zip"]

_BAGIT = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
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
    (folder / check.LISTED).write_bytes(check.written(payload))
    (folder / check.SEALED).write_bytes(check.written(check.listing(folder, payload=False)))
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
    """A working folder beside `target` that takes its place when all went well, and vanishes when not."""
    target.parent.mkdir(parents=True, exist_ok=True)
    work = Path(tempfile.mkdtemp(prefix=f".{target.name}.", dir=target.parent))
    new, old = work / "new", work / "old"
    try:
        new.mkdir()
        yield new
        if target.exists():
            os.replace(target, old)
        os.replace(new, target)
    finally:
        if old.exists() and not target.exists():  # pragma: no cover - the second rename failed
            os.replace(old, target)
        shutil.rmtree(work, ignore_errors=True)


def _put(path: Path, text: str) -> None:
    path.write_bytes(text.encode("utf-8"))
