"""The file format of the record: its table, its triggers, and how an older file becomes a newer one."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import NamedTuple

from restonb.errors import RecordError
from restonb.record._canonical import GENESIS

__all__ = ["APPLICATION", "MIGRATIONS", "Migration", "copy", "expected_schema", "migrate", "version_of"]

APPLICATION = 0x52454344
"""PRAGMA application_id of a record ('RECD'): other SQLite files are refused."""


class Migration(NamedTuple):
    """One named step of the file format. Its number is its place in MIGRATIONS, counted from 1."""

    name: str
    sql: str


# The indexes are on places in the body, and 'said' gives those places names; it stores nothing. (Generated
# columns would say the same, but cost an import a third of its time: the insert trigger works each of them out.)
_ENTRIES = f"""
CREATE TABLE migration (number INTEGER PRIMARY KEY, name TEXT NOT NULL) STRICT;

CREATE TABLE entry (
  seq INTEGER PRIMARY KEY,
  at TEXT NOT NULL,
  kind TEXT NOT NULL,
  body TEXT NOT NULL,
  previous TEXT NOT NULL,
  digest TEXT NOT NULL
) STRICT;

CREATE VIEW said AS SELECT
  seq, at, kind, body, previous, digest,
  json_extract(body, '$.sheet') AS sheet,
  json_extract(body, '$.characteristic') AS characteristic,
  json_extract(body, '$.position') AS position,
  json_extract(body, '$.joint') AS joint,
  json_extract(body, '$.state') AS state,
  json_extract(body, '$.seq') AS strikes
FROM entry;

CREATE INDEX entry_reading ON entry (
  json_extract(body, '$.sheet'), json_extract(body, '$.characteristic'), json_extract(body, '$.position')
) WHERE kind = 'reading';

CREATE INDEX entry_other ON entry (
  kind, json_extract(body, '$.joint'), json_extract(body, '$.sheet'), json_extract(body, '$.state'),
  json_extract(body, '$.seq')
) WHERE kind <> 'reading';

CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'the record is never changed: strike the entry and append a new one'); END;

CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'nothing is deleted from the record: strike the entry'); END;

CREATE TRIGGER entry_follows_the_head BEFORE INSERT ON entry
WHEN NEW.seq < 1 OR EXISTS (SELECT 1 FROM entry WHERE seq >= NEW.seq) OR NEW.previous IS NOT CASE NEW.seq
  WHEN 1 THEN '{GENESIS}' ELSE (SELECT digest FROM entry WHERE seq = NEW.seq - 1) END
BEGIN SELECT RAISE(ABORT, 'an entry follows the newest entry: nothing is replaced or inserted between'); END;
"""

MIGRATIONS: tuple[Migration, ...] = (Migration("entries", _ENTRIES),)


def version_of(db: sqlite3.Connection, path: Path, migrations: tuple[Migration, ...]) -> int:
    """The format version of an open file; 0 for a file with nothing in it.

    Raises RecordError for a file of another program, or of a newer restonb.
    """
    application = db.execute("PRAGMA application_id").fetchone()[0]
    version = int(db.execute("PRAGMA user_version").fetchone()[0])
    if application == 0 and version == 0 and not db.execute("SELECT 1 FROM sqlite_schema LIMIT 1").fetchone():
        return 0
    if application != APPLICATION:
        raise RecordError(f"{path.name} is not the record of a build: move it away and try again")
    if version > len(migrations):
        try:
            row = db.execute("SELECT name FROM migration WHERE number = ?", (version,)).fetchone()
        except sqlite3.Error:
            row = None
        newest = f"'{row[0]}' (version {version})" if row else f"version {version}"
        known = f"'{migrations[-1].name}' (version {len(migrations)})"
        raise RecordError(
            f"{path.name} has the newer format {newest}, this restonb knows up to {known}: update restonb"
        )
    return version


def migrate(db: sqlite3.Connection, path: Path, migrations: tuple[Migration, ...]) -> None:
    """Bring an open file up to date, one transaction for each migration; the old file is kept beside it."""
    db.execute("BEGIN IMMEDIATE")
    try:
        version = version_of(db, path, migrations)  # somebody else may have been quicker
        if 0 < version < len(migrations):
            copy(path, _beside(path, migrations[version].name))
        for number, migration in enumerate(migrations[version:], version + 1):
            for statement in _statements(migration.sql):
                db.execute(statement)
            db.execute("INSERT INTO migration VALUES (?, ?)", (number, migration.name))
            db.execute(f"PRAGMA application_id = {APPLICATION}")
            db.execute(f"PRAGMA user_version = {number}")
        db.execute("COMMIT")
    except BaseException:
        if db.in_transaction:
            db.execute("ROLLBACK")
        raise


def expected_schema(migrations: tuple[Migration, ...]) -> dict[tuple[str, str], str]:
    """What the schema of an untouched file says: (type, name) -> SQL."""
    db = sqlite3.connect(":memory:")
    try:
        for migration in migrations:
            db.executescript(migration.sql)
        return {(row[0], row[1]): row[2] for row in db.execute("SELECT type, name, sql FROM sqlite_schema")}
    finally:
        db.close()


def copy(path: Path, to: Path) -> None:
    """A whole and consistent copy of a record that may be written to meanwhile (the backup interface), or none."""
    from restonb.record._read_only import open_to_read

    part = to.with_name(to.name + ".part")
    part.unlink(missing_ok=True)
    source = open_to_read(path)
    try:
        target = sqlite3.connect(part)
        try:
            source.backup(target)
            # One file, that can be read from a read-only place.
            target.execute("PRAGMA journal_mode = DELETE")
        finally:
            target.close()
    finally:
        source.close()
    part.replace(to)


def _beside(path: Path, name: str) -> Path:
    slug = name.replace(" ", "-")
    candidate = path.with_name(f"{path.stem}.before-{slug}{path.suffix}")
    number = 2
    while candidate.exists():
        candidate = path.with_name(f"{path.stem}.before-{slug}-{number}{path.suffix}")
        number += 1
    return candidate


def _statements(script: str) -> list[str]:
    """The statements of a script one by one: executescript would commit the transaction that it runs in."""
    statements: list[str] = []
    buffer = ""
    for piece in script.split(";"):
        buffer += piece + ";"
        if sqlite3.complete_statement(buffer):
            if buffer.strip(" \n;"):
                statements.append(buffer.strip())
            buffer = ""
    return statements
