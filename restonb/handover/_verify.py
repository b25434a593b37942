"""Is what was handed over whole and unchanged? A bag, a zip, a record file or a build folder, in plain words."""

from __future__ import annotations

import filecmp
import shutil
import tempfile
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from restonb.errors import HandoverError
from restonb.handover import check
from restonb.handover.bag import write_zip

__all__ = ["Checked", "verify"]


@dataclass(frozen=True, slots=True)
class Checked:
    """`ok` when there is no fault. `entries` and `head` are those of the record, `seal` that of a bag. `notes` say what
    could not be asked."""

    ok: bool
    what: str
    faults: tuple[str, ...]
    entries: int
    head: str
    seal: str = ""
    notes: tuple[str, ...] = ()

    def __str__(self) -> str:
        if not self.ok:
            count = f"{len(self.faults)} fault{'s' if len(self.faults) > 1 else ''}"
            return "\n".join((f"{self.what}: {count}, do not rely on it", *self.faults, *self.notes))
        count = "1 entry" if self.entries == 1 else f"{self.entries} entries in one unbroken chain"
        lines = [f"{self.what}: whole, {count}", f"head {self.head}"]
        return "\n".join((*lines, *([f"seal {self.seal}"] if self.seal else ()), *self.notes))


def verify(path: Path | str, seal: str = "", head: str = "") -> Checked:
    """Check a bag, its zip, a record file or a build folder: its files, its chain and its head.

    `seal` and `head` are digests noted elsewhere (printed by the export), to compare with; without them a
    whole bag that was made anew cannot be told from the first. Raises HandoverError if there is nothing that
    can be checked at `path`.
    """
    path = Path(path)
    if not path.exists():
        raise HandoverError(f"there is no {str(path)!r}; write the path of a bag, a zip or a build folder")
    if path.is_dir():
        if (path / "bagit.txt").exists() or (path / check.LISTED).exists():
            return _bag(path, path.name, seal, head)
        if (path / "record.sqlite").exists():
            return _record(path, head)
        raise HandoverError(f"{path.name} is neither a bag nor a build; write the folder that holds bagit.txt")
    if zipfile.is_zipfile(path) or path.suffix.lower() == ".zip":
        return _zip(path, seal, head)
    return _record(path, head)


def _bag(folder: Path, what: str, seal: str, head: str, more: tuple[str, ...] = ()) -> Checked:
    found = [*more, *check.faults(folder, seal)]
    number, code = check.head(folder)
    if head and not code.startswith(head.strip().lower()):
        found.append(f"the head is {code[:16]}..., not the {head.strip()[:16]}... that was given")
    own = folder / check.SEALED
    return Checked(
        not found,
        what,
        tuple(found),
        int(number) if number.isdecimal() else 0,
        code,
        check.digest(own) if own.is_file() else "",
    )


def _record(path: Path, head: str) -> Checked:
    from restonb import record

    found = record.verify(path, head or None)
    what = "record.sqlite" if path.is_dir() else path.name
    return Checked(found.ok, what, found.faults, found.entries, found.head, notes=found.notes)


def _zip(path: Path, seal: str, head: str) -> Checked:
    """Unpack, check the bag, pack it again: the same bag gives the same zip, so no byte of it may differ."""
    with tempfile.TemporaryDirectory(prefix="restonb-verify-") as work:
        out = Path(work, "bag")
        try:
            found = list(_unpack(path, out))
        except (zipfile.BadZipFile, OSError, EOFError, NotImplementedError, ValueError, RuntimeError) as error:
            found = [f"the zip cannot be unpacked: {error}"]
        tops = [p for p in out.iterdir() if p.is_dir()] if out.is_dir() else []
        if found or len(tops) != 1:
            return Checked(False, path.name, tuple(found or ["the zip holds no bag"]), 0, "")
        again = Path(work, "again.zip")
        write_zip(tops[0], again, tops[0].name)
        more = () if filecmp.cmp(path, again, shallow=False) else ("the zip was changed or repacked outside its files",)
        return _bag(tops[0], path.name, seal, head, more)


def _unpack(path: Path, out: Path) -> Iterator[str]:
    """Unpack what `write_zip` writes and nothing else: plain names, nothing compressed, nothing twice."""
    with zipfile.ZipFile(path) as packed:
        items = packed.infolist()
        names = [i.filename for i in items]
        if sum(i.file_size for i in items) > path.stat().st_size or any(i.compress_type for i in items):
            yield "the zip was repacked: its files are compressed"
            return
        if len(set(names)) != len(names):
            yield "the zip holds one name twice"
            return
        for item in items:
            parts = item.filename.split("/")
            if len(parts) < 2 or "\\" in item.filename or ":" in item.filename or {"", ".", ".."} & set(parts):
                yield f"the zip holds {item.filename[:120]!r}: not a name that belongs there"
                return
            target = out.joinpath(*parts)
            target.parent.mkdir(parents=True, exist_ok=True)
            with packed.open(item) as source, target.open("xb") as sink:
                shutil.copyfileobj(source, sink, 1 << 20)
