"""The journal: entries appended to one SQLite file, each on disk before it is acknowledged."""

from __future__ import annotations

import json
import os
import sqlite3
import time
from _thread import RLock  # as functools does: all of threading is not needed to hold one lock
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import date, datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, NamedTuple

from restonb.errors import RecordError
from restonb.record import _schema
from restonb.record._canonical import GENESIS, digest_of
from restonb.record._sqlite_errors import is_want_of_room, patiently, plain_words
from restonb.record.bodies import text_of

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["AsOf", "Entry", "Record", "body_of", "entry"]

AsOf = int | str | date | datetime | None
"""None, an entry's number, a date (its whole day), or a moment; text is ISO 8601."""

_PAGE = 2000


class Entry(NamedTuple):
    """One line of the record. `body` must not be changed: it is what the digest was taken over."""

    seq: int
    at: str
    kind: str
    body: dict[str, Any]
    previous: str
    digest: str


class Record:
    """The append-only journal of one build. Open one and keep it: opening costs more than appending."""

    def __init__(self, path: Path, clock: Callable[[], datetime], writable: bool) -> None:
        self.path = path
        self.clock = clock
        self.writable = writable
        self._allowed = writable
        self._look_again = 0.0
        self._lock = RLock()
        self._process = os.getpid()
        self._parents: sqlite3.Connection | None = None
        self._db: sqlite3.Connection | None = self._connect()

    @classmethod
    def open(cls, build: Build | Path | str, clock: Callable[[], datetime] | None = None) -> Record:
        """The record of a build, or at a path; begun when there is none yet.

        In a folder that cannot be written, and on a disk that is full, it is opened for reading. `clock` gives
        the time of an entry, local time when left out. Raises RecordError for a file that is not a record, is
        damaged, or is of a newer restonb.
        """
        path = Path(build) if isinstance(build, str | Path) else Path(build.record_path)
        if path.is_dir():
            path = path / "record.sqlite"
        if not path.parent.is_dir():
            raise RecordError(f"there is no folder {str(path.parent)!r}: write the folder of a build")
        writable = os.access(path.parent, os.W_OK) and (not path.exists() or os.access(path, os.W_OK))
        if not writable and not path.exists():
            raise RecordError(f"no record in {str(path.parent)!r}, which is read-only: copy it first")
        return cls(path, clock or _now, writable)

    # -- writing -----------------------------------------------------------------------------------------

    def append(self, kind: str, body: Mapping[str, Any]) -> Entry:
        """One entry at the end; it is on disk when this returns.

        Raises RecordError that names what the record refuses, or says that nothing was taken.
        """
        text = text_of(kind, body)
        with self._writing() as db:
            seq, previous = _head(db)
            at = self._at()
            seq += 1
            digest = digest_of(seq, at, kind, text, previous)
            db.execute(_INSERT, (seq, at, kind, text, previous, digest))
        return entry((seq, at, kind, text, previous, digest))

    def append_many(self, entries: Iterable[tuple[str, Mapping[str, Any]]]) -> range:
        """All of these entries or none, in one transaction and at one time. Gives their numbers.

        Raises RecordError that names the first refused one, counted from 1.
        """
        kinds: list[str] = []  # texts only: 100,000 tables would keep the garbage collector busy
        texts: list[str] = []
        for kind, body in entries:
            try:
                texts.append(text_of(kind, body))
            except RecordError as error:
                raise RecordError(f"number {len(texts) + 1}: {error} (nothing was taken)") from None
            kinds.append(kind)
        if not texts:
            return range(0)
        with self._writing() as db:
            seq, previous = _head(db)
            db.executemany(_INSERT, _chained(zip(kinds, texts, strict=True), seq, self._at(), previous))
        return range(seq + 1, seq + 1 + len(texts))

    def check_writable(self) -> None:
        """Raises RecordError, with what to do, where nothing can be written; after a full disk, tries again."""
        if self.writable:
            return
        with self._lock, plain_words(self.path):
            self._open()
            if not self._allowed:
                words = "can only be read here: copy the build folder to where you may write"
                raise RecordError(f"{self.path.name} {words}")
            if not self.writable:
                self._go_on_writing()

    # -- reading -----------------------------------------------------------------------------------------

    def entries(self, kinds: str | Sequence[str] | None = None, after: int = 0, as_of: AsOf = None) -> Iterator[Entry]:
        """The entries in order, all or of some kinds, after an entry's number and up to `as_of`."""
        upto = self.upto(as_of)
        wanted = (kinds,) if isinstance(kinds, str) else tuple(kinds or ())
        which = f" AND kind IN ({','.join('?' * len(wanted))})" if wanted else ""
        # In pages, so that no reader holds the file open for long.
        sql = f"{_SELECT} WHERE seq > ? AND seq <= ?{which} ORDER BY seq LIMIT {_PAGE}"
        while rows := self.rows(sql, (after, upto, *wanted)):
            yield from map(entry, rows)
            if len(rows) < _PAGE:
                return
            after = rows[-1][0]

    def entry(self, seq: int) -> Entry | None:
        """The entry of that number, or None."""
        rows = self.rows(f"{_SELECT} WHERE seq = ?", (seq,))
        return entry(rows[0]) if rows else None

    def head(self) -> Entry | None:
        """The newest entry; None in an empty record."""
        rows = self.rows(f"{_SELECT} ORDER BY seq DESC LIMIT 1")
        return entry(rows[0]) if rows else None

    def upto(self, as_of: AsOf) -> int:
        """The number of the last entry not later than `as_of`; 0 if every entry is later.

        A date means its whole day, and a moment without an offset the local time, as the entries state it.
        Raises RecordError for text that is not a date or time.
        """
        if isinstance(as_of, bool):
            raise RecordError("as of what? write a date such as 2026-03-14, or the number of an entry")
        if isinstance(as_of, int):
            return as_of
        condition, values = _not_later(as_of)
        rows = self.rows(f"SELECT seq FROM entry WHERE {condition} ORDER BY seq DESC LIMIT 1", values)
        return int(rows[0][0]) if rows else 0

    def rows(self, sql: str, parameters: Sequence[Any] | Mapping[str, Any] = ()) -> list[tuple[Any, ...]]:
        """The rows of a query on `said` (entries, with places in the body by name), for views. Raises RecordError when it cannot be read."""
        with self._lock, plain_words(self.path):
            return patiently(lambda: self._open().execute(sql, parameters).fetchall())

    def copy_to(self, path: Path | str) -> Path:
        """A whole copy of the record as it stands, to a file that does not exist yet.

        Raises RecordError if it does, or cannot be written.
        """
        target = Path(path)
        if target.exists():
            raise RecordError(f"{target.name} exists already: name another file to copy to")
        with self._lock, plain_words(target):
            _schema.copy(self.path, target)
        return target

    # -- the connection ----------------------------------------------------------------------------------

    def close(self) -> None:
        """Close the file. Closing twice does no harm."""
        with self._lock:
            if self._db is not None and self._process == os.getpid():
                self._db.close()
            self._db = None

    def __enter__(self) -> Record:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def __repr__(self) -> str:
        return f"Record({str(self.path)!r})"

    def _at(self) -> str:
        moment = self.clock()
        if moment.tzinfo is None:
            moment = moment.astimezone()
        return moment.isoformat(timespec="seconds")

    def _open(self) -> sqlite3.Connection:
        if self._process != os.getpid():  # a connection must not be carried into a forked process
            self._process, self._parents = os.getpid(), self._db  # kept: closing it would close the parent's
            self._db = self._connect()
        if self._db is None:
            raise RecordError("the record was closed: open it again")
        if self._allowed and not self.writable and time.monotonic() > self._look_again:
            self._look_again = time.monotonic() + 1  # others may be writing by now, which is not seen from here
            with suppress(sqlite3.Error):
                self._go_on_writing()
        return self._db

    def _connect(self) -> sqlite3.Connection:
        with plain_words(self.path):
            if not self._allowed:
                return self._connect_to_read()
            try:
                return patiently(self._connect_to_write)
            except sqlite3.OperationalError as error:
                if not is_want_of_room(error) or not self.path.exists():
                    raise
                try:
                    db = self._connect_to_read()
                except (sqlite3.Error, OSError):
                    raise error from None
                self.writable, self._look_again = False, time.monotonic() + 1
                return db

    def _connect_to_read(self) -> sqlite3.Connection:
        from restonb.record._read_only import open_to_read

        db = patiently(lambda: open_to_read(self.path))
        try:
            if _schema.version_of(db, self.path, _schema.MIGRATIONS) < len(_schema.MIGRATIONS):
                raise RecordError(f"{self.path.name} has an older format: copy the folder to where you may write")
            db.execute("SELECT seq FROM entry LIMIT 1").fetchone()
        except BaseException:
            db.close()
            raise
        return db

    def _connect_to_write(self) -> sqlite3.Connection:
        db = sqlite3.connect(self.path, timeout=0.02, isolation_level=None, check_same_thread=False)
        try:
            db.execute("PRAGMA synchronous = FULL")
            version = _schema.version_of(db, self.path, _schema.MIGRATIONS)
            if db.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
                db.execute("PRAGMA journal_mode = WAL")
            if version < len(_schema.MIGRATIONS):
                _schema.migrate(db, self.path, _schema.MIGRATIONS)
            db.execute("PRAGMA cache_size = -64000")
        except BaseException:
            db.close()
            raise
        return db

    def _go_on_writing(self) -> None:
        """After a full disk: from here on the file is open as any other. Raises sqlite3.Error while it is full."""
        db, old = patiently(self._connect_to_write), self._db
        self._db, self.writable = db, True
        if old is not None:
            old.close()

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        self.check_writable()
        with self._lock, plain_words(self.path):
            db = self._open()
            patiently(lambda: db.execute("BEGIN IMMEDIATE"))
            try:
                yield db
                db.execute("COMMIT")
            except BaseException:
                if db.in_transaction:
                    db.execute("ROLLBACK")
                raise


_INSERT = "INSERT INTO entry (seq, at, kind, body, previous, digest) VALUES (?, ?, ?, ?, ?, ?)"
_SELECT = "SELECT seq, at, kind, body, previous, digest FROM entry"


def entry(row: tuple[Any, ...]) -> Entry:
    """An Entry from its six columns."""
    return Entry(row[0], row[1], row[2], body_of(row[0], row[3]), row[4], row[5])


def body_of(seq: int, text: str) -> dict[str, Any]:
    """The body of entry `seq` from its text. Raises RecordError where a damaged file has something else."""
    try:
        body = json.loads(text)
        if isinstance(body, dict):
            return body
    except (ValueError, TypeError, RecursionError):  # no JSON, no text at all, brackets without end
        pass
    raise RecordError(f"entry {seq} cannot be read, the file is damaged: run verify, and go back to a copy")


def _chained(
    ready: Iterable[tuple[str, str]], seq: int, at: str, previous: str
) -> Iterator[tuple[int, str, str, str, str, str]]:
    """The rows of these entries after entry `seq`, each with the digest of the one before."""
    for kind, text in ready:
        seq += 1
        digest = digest_of(seq, at, kind, text, previous)
        yield seq, at, kind, text, previous, digest
        previous = digest


def _now() -> datetime:
    return datetime.now().astimezone()


def _head(db: sqlite3.Connection) -> tuple[int, str]:
    row = db.execute("SELECT seq, digest FROM entry ORDER BY seq DESC LIMIT 1").fetchone()
    return row or (0, GENESIS)


def _not_later(as_of: str | date | datetime | None) -> tuple[str, tuple[str, ...]]:
    """The SQL condition for 'not later than', and its values."""
    if as_of is None:
        return "1", ()
    moment: date | datetime
    if isinstance(as_of, str):
        try:
            text = as_of.strip()
            if text.isascii() and text.isdigit() and len(text) < 8:
                return "seq <= ?", (text,)
            moment = date.fromisoformat(text) if len(text) == 10 else datetime.fromisoformat(text)
        except ValueError:
            raise RecordError(
                f"{as_of!r} is not a date: write it as 2026-03-14 or 2026-03-14T18:05, or the number of an entry"
            ) from None
    else:
        moment = as_of
    if not isinstance(moment, datetime):
        return "substr(at, 1, 10) <= ?", (moment.isoformat(),)
    if moment.tzinfo is None:
        return "substr(at, 1, 19) <= ?", (moment.isoformat(timespec="seconds"),)
    # Whole seconds on both sides: julianday() is a float, and entries state whole seconds.
    return "CAST(strftime('%s', at) AS INTEGER) <= CAST(strftime('%s', ?) AS INTEGER)", (moment.isoformat(),)
