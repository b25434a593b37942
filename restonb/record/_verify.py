"""Is this what was written? The chain of digests, the structure, the files that it names, and a head noted earlier."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from restonb.record import _schema
from restonb.record._canonical import GENESIS
from restonb.record._read_only import open_to_read
from restonb.record._sealed import faults_of_files, not_sealed

__all__ = ["Verification", "verify"]


@dataclass(frozen=True, slots=True)
class Verification:
    """What was found. `entries` counts those that hold, from the first; `head` is the last one's digest. `notes` say
    what could not be asked."""

    ok: bool
    entries: int
    head: str
    faults: tuple[str, ...]
    notes: tuple[str, ...] = ()

    def __str__(self) -> str:
        if self.ok:
            return "; ".join((f"{self.entries} entries, unbroken", f"head {self.head}", *self.notes))
        return "; ".join((*self.faults, *self.notes))


def verify(path: Path | str, head: str | None = None) -> Verification:
    """Walk the whole record; given a build folder, also every file that a run filed and every photo. Never raises, and
    changes nothing.

    A chain cannot show that its end was cut off: give `head`, the digest (or its first 12 digits or more)
    that an earlier run or export printed, and it must be found. What this shows is that the file is what was
    written, not who wrote it: somebody who rewrites every entry also rewrites every digest, and only a head
    kept elsewhere shows that.
    """
    path, build = Path(path), None
    if path.is_dir():
        path, build = path / "record.sqlite", path
    if not path.is_file():
        return Verification(False, 0, GENESIS, (f"there is no file {path.name}",))
    walk, notes = _Walk(head), []
    try:
        db = _open(path)
    except (sqlite3.Error, OSError, ValueError) as error:  # ValueError: damage in the words of the error itself
        return Verification(False, 0, GENESIS, (f"{path.name} cannot be opened: {error}",))
    try:
        for step in (_structure, _whole):
            walk.faults += _try(step, db)
        walk.faults[:0] = _try(walk.entries, db)
        if build is not None:
            walk.faults += _try(lambda db: faults_of_files(db, build), db)
            notes = _try(_unsealed, db)
    finally:
        db.close()
    if head is not None and not walk.found:
        walk.faults.append(
            f"the head noted earlier ({head[:12]}) is not in this record: entries were cut off or rewritten"
        )
    return Verification(not walk.faults, walk.count, walk.previous, tuple(walk.faults), tuple(notes))


_AT = re.compile(rb"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}[+-][0-9]{2}:[0-9]{2}")
_KIND = re.compile(rb"[a-z]+")
_COLUMNS = ("at", "kind", "body", "previous", "digest")


class _Walk:
    def __init__(self, head: str | None) -> None:
        self.wanted = head.strip().lower() if head is not None else None
        self.found = self.wanted is None or (len(self.wanted) == 64 and self.wanted == GENESIS)
        self.faults: list[str] = []
        self.count = 0
        self.previous = GENESIS

    def entries(self, db: sqlite3.Connection) -> Iterator[str]:
        """The first entry that does not hold; what follows it cannot be judged."""
        types = ", ".join(f"typeof({c}) <> 'text'" for c in _COLUMNS)
        rows = db.execute(f"SELECT seq, {types}, {', '.join(_COLUMNS)} FROM entry NOT INDEXED ORDER BY seq")
        for seq, *rest in rows:
            expected = self.count + 1
            if seq != expected:
                yield f"entry {expected} is missing: {seq} is in its place"
                return
            for column, other in zip(_COLUMNS, rest[:5], strict=True):
                if other:
                    yield f"entry {seq}: its {column} is not text"
                    return
            at, kind, body, previous, digest = rest[5:]
            if previous != self.previous.encode():
                yield f"entry {seq}: its previous digest is not that of entry {seq - 1}"
                return
            if not _AT.fullmatch(at):
                yield f"entry {seq}: its time {_start_of(at)} is not how a time is written"
                return
            if not _KIND.fullmatch(kind):
                yield f"entry {seq}: its kind {_start_of(kind)} is not known"
                return
            words = (at, sha256(body).hexdigest().encode(), kind, previous, seq)
            true = sha256(b'{"at":"%b","body":"%b","kind":"%b","previous":"%b","seq":%d}' % words).hexdigest()
            if digest != true.encode():
                yield f"entry {seq}: its digest does not match what it says (time, kind or body was changed)"
                return
            self.count, self.previous = seq, true
            if self.wanted and len(self.wanted) >= 12 and true.startswith(self.wanted):
                self.found = True


def _structure(db: sqlite3.Connection) -> Iterator[str]:
    application = db.execute("PRAGMA application_id").fetchone()[0]
    version = db.execute("PRAGMA user_version").fetchone()[0]
    if application != _schema.APPLICATION:
        yield f"the file says that it belongs to another program (application id {application})"
    if not 0 < version <= len(_schema.MIGRATIONS):
        yield f"the file has format version {version}: this restonb knows 1 to {len(_schema.MIGRATIONS)}"
        return
    rows = db.execute("SELECT name FROM migration ORDER BY number")
    named = [_short_text(row[0]) for row in rows]
    if named != [m.name for m in _schema.MIGRATIONS[:version]]:
        yield f"the file names other steps of its format: {', '.join(named) or 'none'}"
    expected = _schema.expected_schema(_schema.MIGRATIONS[:version])
    found = {
        (_short_text(kind), _short_text(name)): sql
        for kind, name, sql in db.execute("SELECT type, name, sql FROM sqlite_schema")
    }
    for key in expected.keys() | found.keys():
        what = " ".join(key)
        if key not in found:
            yield f"the {what} is missing"
        elif key not in expected:
            yield f"the {what} was added"
        elif found[key] != expected[key].encode():
            yield f"the {what} was changed"


def _unsealed(db: sqlite3.Connection) -> Iterator[str]:
    seqs = not_sealed(db)
    if seqs:
        named = ", ".join(map(str, seqs[:5])) + (f" and {len(seqs) - 5} more" if len(seqs) > 5 else "")
        yield f"not sealed, filed before runs kept digests of their files: the files of entry {named}"


def _whole(db: sqlite3.Connection) -> Iterator[str]:
    for (line,) in db.execute("PRAGMA integrity_check(10)"):
        if line != b"ok":
            yield f"the file is damaged: {_short_text(line)}".replace("\n", " ")


def _try(step: Callable[[sqlite3.Connection], Iterable[str]], db: sqlite3.Connection) -> list[str]:
    faults: list[str] = []
    try:
        faults.extend(step(db))
    except Exception as error:  # noqa: BLE001 - whatever a damaged file brings up is a finding
        faults.append(f"the file is damaged: {error}".replace("\n", " "))
    return faults


def _open(path: Path) -> sqlite3.Connection:
    db = open_to_read(path)
    db.text_factory = bytes
    return db


def _short_text(value: object) -> str:
    """Text of a file that may hold anything in place of text."""
    return value.decode("utf-8", "replace") if isinstance(value, bytes) else repr(value)


def _start_of(data: bytes) -> str:
    return repr(data[:40].decode("utf-8", "replace"))
