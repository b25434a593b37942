"""The journal takes entries at its end and nowhere else, and says in plain words what it refuses."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path

import pytest

from restonb.errors import RecordError
from restonb.record import Record, _schema, verify
from restonb.record._journal import body_of
from restonb.record._schema import MIGRATIONS, Migration
from restonb.stated import Build

Clock = Callable[[], datetime]
NOTE = {"text": "cleaned the threads"}


def notes(record: Record) -> list[str]:
    return [entry.body["text"] for entry in record.entries()]


@pytest.fixture
def raw(record: Record) -> Iterator[sqlite3.Connection]:
    """Somebody else with a database tool, on a record of three entries."""
    for text in ("one", "two", "three"):
        record.append("note", {"text": text})
    db = sqlite3.connect(record.path, isolation_level=None)
    yield db
    db.close()


def test_entries_come_back_in_order_with_what_was_left_out(record: Record) -> None:
    first = record.append("note", NOTE)
    second = record.append("usage", {"value": "12034", "unit": "mile"})
    assert (first.seq, second.seq) == (1, 2)
    assert first.body == {**NOTE, "private": False, "sheet": None, "salt": ""}
    assert second.previous == first.digest
    assert list(record.entries()) == [first, second]
    assert list(record.entries("usage")) == [second]
    assert list(record.entries(["note", "usage"], after=1)) == [second]
    assert record.head() == second
    assert record.entry(1) == first
    assert record.entry(3) is None


def test_an_empty_record_has_no_head(record: Record) -> None:
    assert record.head() is None
    assert record.upto("2026-03-14") == 0
    assert verify(record.path).ok


def test_many_entries_are_read_in_pages_and_none_is_lost(record: Record) -> None:
    assert record.append_many(("note", {"text": str(n)}) for n in range(4001)) == range(1, 4002)
    assert [entry.seq for entry in record.entries()] == list(range(1, 4002))
    assert record.append_many([]) == range(0)


def test_many_are_taken_or_none(record: Record) -> None:
    with pytest.raises(RecordError, match=r"number 2: a note entry needs 'text'.*\(nothing was taken\)"):
        record.append_many([("note", NOTE), ("note", {})])
    assert record.head() is None


@pytest.mark.parametrize(
    ("kind", "body", "message"),
    [
        ("raeding", {}, "unknown kind of entry 'raeding': write 'reading'"),
        ("note", {"txt": "a"}, "a note entry has no 'txt': write 'text'"),
        ("note", {"text": "a", "shet": "b"}, "a note entry has no 'shet': write 'sheet'"),
        ("note", {"text": "  "}, "write text that is not empty"),
        ("note", {"text": ["a"]}, r"'text' = .*write text that is not empty"),
        ("note", {"text": "\ud800"}, "half a character"),
        ("usage", {"value": 12.5, "unit": "mile"}, "write a decimal number as text, such as '0.25'"),
        ("usage", {"value": "12,5", "unit": "mile"}, "write a decimal number as text"),
        ("usage", {"value": "12", "unit": "miles"}, "write one of 'mile', 'km', 'h'"),
        ("check", {"instrument": "dial", "good": 1}, "'good' = 1: write true or false"),
        ("strike", {"seq": True, "why": "a"}, "write the number of an entry"),
        ("strike", {"seq": None, "why": "a"}, "write the number of an entry"),
        ("joint", {"joint": "a", "state": "tightened", "until": "14.3.26"}, "write a date such as '2026-03-14'"),
        ("joint", {"joint": "a", "state": "apart", "fasteners": [{"torqe": "1"}]}, "no 'torqe': write 'torque'"),
        ("joint", {"joint": "a", "state": "apart", "fasteners": [{"torque": 24}]}, "write a decimal number as"),
        ("joint", {"joint": "a", "state": "apart", "fasteners": ["a"]}, "a fastener is a table"),
    ],
)
def test_a_body_is_refused_by_name(record: Record, kind: str, body: dict[str, object], message: str) -> None:
    with pytest.raises(RecordError, match=message):
        record.append(kind, body)
    assert record.head() is None


def test_a_later_change_of_the_body_given_changes_nothing(record: Record) -> None:
    fasteners = [{"position": "1"}]
    entry = record.append("joint", {"joint": "a", "state": "apart", "fasteners": fasteners})
    fasteners[0]["position"] = "2"
    assert record.entry(1) == entry
    assert entry.body["fasteners"][0]["position"] == "1"


# -- nothing is changed ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE entry SET body = '{}'",
        "UPDATE entry SET seq = 9 WHERE seq = 3",
        "UPDATE OR REPLACE entry SET digest = 'x' WHERE seq = 1",
        "DELETE FROM entry",
        "DELETE FROM entry WHERE seq = 3",
        "INSERT OR REPLACE INTO entry SELECT seq, at, kind, '{}', previous, digest FROM entry WHERE seq = 3",
        "INSERT OR REPLACE INTO entry SELECT seq, at, kind, '{}', previous, digest FROM entry WHERE seq = 1",
        "REPLACE INTO entry SELECT seq, at, kind, '{}', previous, digest FROM entry WHERE seq = 2",
        "INSERT OR IGNORE INTO entry SELECT seq + 2, at, kind, body, digest, digest FROM entry WHERE seq = 3",
        "INSERT INTO entry SELECT NULL, at, kind, body, digest, digest FROM entry WHERE seq = 3",
        "INSERT INTO entry SELECT 4, at, kind, body, previous, digest FROM entry WHERE seq = 3",
        "INSERT INTO entry SELECT 0, at, kind, body, previous, digest FROM entry WHERE seq = 1",
        "INSERT INTO entry SELECT -1, at, kind, body, previous, digest FROM entry WHERE seq = 1",
        "INSERT INTO entry SELECT * FROM entry WHERE seq = 3 ON CONFLICT (seq) DO UPDATE SET body = '{}'",
    ],
)
def test_a_database_tool_is_refused_too(record: Record, raw: sqlite3.Connection, sql: str) -> None:
    before = list(record.entries())
    with pytest.raises(sqlite3.IntegrityError, match=r"the record|newest entry"):
        raw.execute(sql)
    assert list(record.entries()) == before
    assert verify(record.path).ok


def test_values_of_another_type_are_refused(raw: sqlite3.Connection) -> None:
    head = raw.execute("SELECT digest FROM entry WHERE seq = 3").fetchone()[0]
    with pytest.raises(sqlite3.IntegrityError, match="cannot store BLOB"):
        raw.execute("INSERT INTO entry VALUES (4, 'x', 'note', x'00', ?, 'y')", (head,))


# -- dates -------------------------------------------------------------------------------------------------


def test_a_view_as_of_a_date_holds_the_whole_day(build: Build) -> None:
    moments = iter(
        datetime(2026, 3, day, hour, tzinfo=timezone(timedelta(hours=1)))
        for day, hour in ((13, 23), (14, 0), (14, 23), (15, 0))
    )
    with Record.open(build, lambda: next(moments)) as record:
        for text in "abcd":
            record.append("note", {"text": text})
        assert record.entry(1).at == "2026-03-13T23:00:00+01:00"  # type: ignore[union-attr]
        for as_of, upto in (
            (None, 4),
            (2, 2),
            ("2", 2),
            ("2026-03-12", 0),
            ("2026-03-13", 1),
            ("2026-03-14", 3),
            (date(2026, 3, 14), 3),
            ("2026-03-14T00:00", 2),
            ("2026-03-14T00:00:00", 2),
            ("2026-03-13T22:00:00Z", 1),
            ("2026-03-13T23:00:00+00:00", 2),
            ("2027-01-01", 4),
            (datetime(2026, 3, 13, 22, 59, tzinfo=UTC), 1),
            (datetime(2026, 3, 14, 1, 0), 2),
        ):
            assert record.upto(as_of) == upto, as_of
        assert notes_upto(record, "2026-03-14") == ["a", "b", "c"]


def notes_upto(record: Record, as_of: str) -> list[str]:
    return [entry.body["text"] for entry in record.entries(as_of=as_of)]


@pytest.mark.parametrize("as_of", ["yesterday", "14.3.2026", "2026-13-01", ""])
def test_what_is_no_date_is_refused(record: Record, as_of: str) -> None:
    with pytest.raises(RecordError, match="is not a date: write it as 2026-03-14"):
        record.upto(as_of)


def test_a_clock_without_offset_is_local_time(build: Build) -> None:
    with Record.open(build, lambda: datetime(2026, 3, 14, 12, 0)) as record:
        at = record.append("note", NOTE).at
    assert datetime.fromisoformat(at) == datetime(2026, 3, 14, 12, 0).astimezone()


# -- files -------------------------------------------------------------------------------------------------


def test_two_openings_see_each_other(build: Build) -> None:
    with Record.open(build) as one, Record.open(build.folder) as other:
        one.append("note", {"text": "a"})
        other.append("note", {"text": "b"})
        assert notes(one) == notes(other) == ["a", "b"]


def test_a_closed_record_says_so(record: Record) -> None:
    record.close()
    record.close()
    with pytest.raises(RecordError, match=r"was closed: open it again"):
        record.append("note", NOTE)


def test_it_writes_through_to_the_disk(record: Record) -> None:
    assert record.rows("PRAGMA synchronous") == [(2,)], "FULL"
    assert record.rows("PRAGMA journal_mode") == [("wal",)]


def test_a_missing_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match=r"there is no folder .*write the folder of a build"):
        Record.open(tmp_path / "no" / "record.sqlite")


@pytest.mark.parametrize("body", [None, 3, b"\xff", "", "nonsense", "[1]", '{"a":', "[" * 100_000])
def test_what_a_damaged_file_has_in_place_of_a_body_is_told(body: object) -> None:
    with pytest.raises(RecordError, match=r"entry 7 cannot be read, the file is damaged: run verify, and go back"):
        body_of(7, body)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "content", [b"hello, this is not a database at all" * 40, b"SQLite format 3\0" + b"\xff" * 4096]
)
def test_a_file_that_is_no_record_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "record.sqlite"
    path.write_bytes(content)
    with pytest.raises(RecordError, match=r"record\.sqlite is damaged"):
        Record.open(path)
    assert path.read_bytes() == content


def test_the_database_of_another_program_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "record.sqlite"
    db = sqlite3.connect(path)
    db.execute("CREATE TABLE recipe (name)")
    db.commit()
    db.close()
    before = path.read_bytes()
    with pytest.raises(RecordError, match="is not the record of a build: move it away"):
        Record.open(path)
    assert path.read_bytes() == before


def test_a_copy_is_whole_while_the_record_is_open(record: Record, tmp_path: Path) -> None:
    record.append_many(("note", {"text": str(n)}) for n in range(500))
    copy = record.copy_to(tmp_path / "copy.sqlite")
    assert verify(copy) == verify(record.path)
    assert sorted(p.name for p in tmp_path.iterdir() if "copy" in p.name) == ["copy.sqlite"]
    with pytest.raises(RecordError, match="exists already: name another"):
        record.copy_to(copy)


def test_a_full_disk_loses_nothing(record: Record) -> None:
    record.append("note", NOTE)
    pages = record.rows("PRAGMA page_count")[0][0]
    record.rows(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(RecordError, match=r"the disk is full: this was not taken, and nothing .* is lost"):
        record.append("note", {"text": "x" * 100_000})
    assert notes(record) == [NOTE["text"]]
    record.rows("PRAGMA max_page_count = 100000")
    record.append("note", {"text": "y"})
    assert verify(record.path).entries == 2


# -- formats -----------------------------------------------------------------------------------------------

LATER = Migration("costs in one currency", "CREATE TABLE currency (name TEXT) STRICT;")


def test_an_older_file_is_brought_up_to_date_and_kept(record: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    record.append("note", NOTE)
    record.close()
    monkeypatch.setattr(_schema, "MIGRATIONS", (*MIGRATIONS, LATER))
    with Record.open(record.path) as newer:
        assert newer.rows("PRAGMA user_version") == [(2,)]
        assert newer.rows("SELECT name FROM migration") == [("entries",), ("costs in one currency",)]
        assert notes(newer) == [NOTE["text"]]
        newer.append("note", {"text": "b"})
    assert verify(record.path).ok
    monkeypatch.undo()
    kept = record.path.with_name("record.before-costs-in-one-currency.sqlite")
    assert verify(kept).entries == 1
    with pytest.raises(
        RecordError,
        match=r"newer format 'costs in one currency' \(version 2\).* knows up to 'entries' \(version 1\): update",
    ):
        Record.open(record.path)


def test_a_migration_that_fails_changes_nothing(record: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    record.append("note", NOTE)
    record.close()
    broken = Migration("broken", "CREATE TABLE a (b TEXT) STRICT; CREATE TABLE a (b TEXT) STRICT;")
    monkeypatch.setattr(_schema, "MIGRATIONS", (*MIGRATIONS, broken))
    with pytest.raises(RecordError, match="table a already exists"):
        Record.open(record.path)
    monkeypatch.undo()
    assert verify(record.path).ok
    with Record.open(record.path) as again:
        assert notes(again) == [NOTE["text"]]


# -- reading only ------------------------------------------------------------------------------------------

READ = """
import os, sys
from pathlib import Path
from restonb.errors import RecordError
from restonb.record import Record, _read_only, verify  # all of it, before this may not be read any more
if os.geteuid() == 0:  # to whom modes do not apply
    os.setgid(65534); os.setuid(65534)
path = Path(sys.argv[1])
with Record.open(path) as record:
    print([e.body["text"] for e in record.entries()], record.writable, verify(path).ok)
    try:
        record.append("note", {"text": "b"})
    except RecordError as error:
        print(error)
"""


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="modes as POSIX has them")
def test_a_folder_that_cannot_be_written_can_be_read() -> None:
    folder = Path(tempfile.mkdtemp(prefix="restonb-"))
    try:
        with Record.open(folder) as record:
            record.append("note", NOTE)
        (folder / "record.sqlite").chmod(0o444)
        folder.chmod(0o555)
        run = subprocess.run(
            [sys.executable, "-c", READ, str(folder / "record.sqlite")],
            capture_output=True,
            text=True,
            check=False,
        )
        assert run.stdout.splitlines() == [
            "['cleaned the threads'] False True",
            "record.sqlite can only be read here: copy the build folder to where you may write",
        ], run.stderr
        assert sorted(p.name for p in folder.iterdir()) == ["record.sqlite"]
    finally:
        folder.chmod(0o755)
        shutil.rmtree(folder)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_a_forked_process_opens_its_own_connection(record: Record) -> None:
    record.append("note", {"text": "parent"})
    script = (
        "import os, sys, warnings\n"
        "from restonb.record import Record\n"
        "record = Record.open(sys.argv[1]); record.append('note', {'text': 'before'})\n"
        "child = os.fork()\n"
        "record.append('note', {'text': 'child' if child == 0 else 'parent'})\n"
        "if child == 0: os._exit(0)\n"
        "os.waitpid(child, 0); record.append('note', {'text': 'after'})\n"
    )
    subprocess.run([sys.executable, "-c", script, str(record.path)], check=True)
    found = notes(record)
    assert found[:2] == ["parent", "before"]
    assert sorted(found[2:4]) == ["child", "parent"]
    assert found[4:] == ["after"]
    assert verify(record.path).ok


def test_no_record_is_begun_in_a_folder_that_cannot_be_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    with pytest.raises(RecordError, match=r"no record in .*read-only: copy it first"):
        Record.open(tmp_path)
    assert list(tmp_path.iterdir()) == []
