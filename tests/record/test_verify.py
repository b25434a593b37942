"""Whatever is done to the file, verify finds it or it makes no difference to what is read."""

from __future__ import annotations

import random
import re
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest

from restonb.errors import RecordError
from restonb.record import Record, in_force, verify


@pytest.fixture(scope="module")
def content(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A closed record of sixty entries, in one file."""
    folder = tmp_path_factory.mktemp("record")
    with Record.open(folder) as record:
        record.append_many(
            entry
            for n in range(20)
            for entry in (
                (
                    "reading",
                    {
                        "sheet": "gearbox",
                        "characteristic": "gap",
                        "position": f"foot {n % 4}",
                        "value": f"0.{n + 10}",
                        "unit": "mm",
                        "typed": f"0.{n + 10}",
                    },
                ),
                ("note", {"text": f"note {n}: é, 0.05 mm, and a tab\t"}),
                (
                    "joint",
                    {
                        "joint": "gearbox",
                        "state": "tightened",
                        "fasteners": [{"position": "1", "torque": "24", "unit": "N m"}],
                    },
                ),
            )
        )
        return record.copy_to(folder / "copy.sqlite").read_bytes()


@pytest.fixture
def path(content: bytes, tmp_path: Path) -> Path:
    path = tmp_path / "record.sqlite"
    path.write_bytes(content)
    return path


def seen(path: Path) -> object:
    """Everything that a reader of this file can be told."""
    with Record.open(path) as record:
        return list(record.entries()), in_force(record), in_force(record, "gearbox", as_of=31)


def test_an_untouched_record_is_good(path: Path) -> None:
    found = verify(path)
    assert (found.ok, found.entries, found.faults) == (True, 60, ())
    with Record.open(path) as record:
        head = record.head()
    assert head is not None
    assert found.head == head.digest
    assert str(found) == f"60 entries, unbroken; head {head.digest}"
    assert verify(path, head.digest).ok
    assert verify(path, head.digest[:12]).ok


def test_every_byte_of_what_was_said_counts(path: Path) -> None:
    """Each byte of each place where one entry's time, kind, body and digest stand in the file."""
    data = path.read_bytes()
    with Record.open(path) as record:
        entry = record.entry(31)
    assert entry is not None
    start = data.index((entry.previous + entry.digest).encode())
    at = data.rindex(entry.at.encode(), 0, start)
    for place in range(at, start + 128):
        changed = bytearray(data)
        changed[place] ^= 1
        path.write_bytes(changed)
        found = verify(path)
        assert not found.ok, (place - at, data[at : start + 128])
        assert any(fault.startswith(("entry 31:", "the file is damaged")) for fault in found.faults)
        assert found.entries <= 30


@pytest.mark.parametrize("turn", range(4))
def test_a_changed_byte_anywhere_is_found_or_changes_nothing(path: Path, turn: int) -> None:
    data = path.read_bytes()
    before = seen(path)
    rng = random.Random(turn)
    found = 0
    for _ in range(60):
        changed = bytearray(data)
        place = rng.randrange(len(data)) if turn else rng.randrange(100)
        changed[place] ^= 1 << rng.randrange(8)
        path.write_bytes(changed)
        if not verify(path).ok:
            found += 1
            continue
        with suppress(RecordError):  # refused to be opened: nobody is told anything wrong
            assert seen(path) == before, f"byte {place} changes what is read and was not found"
    assert found > 0, "not one of these changes mattered: the test looks at the wrong bytes"


@pytest.mark.parametrize("turn", range(6))
def test_it_never_raises_on_a_damaged_file(path: Path, turn: int) -> None:
    data = path.read_bytes()
    rng = random.Random(turn)
    for _ in range(25):
        changed = bytearray(data)
        for _ in range(1 + 40 * (turn % 3)):
            start = rng.randrange(len(data))
            changed[start : start + rng.randrange(1, 60)] = rng.randbytes(rng.randrange(60))
        path.write_bytes(changed[: rng.randrange(len(changed))] if turn % 2 else changed)
        found = verify(path, "0123456789ab")
        assert not found.ok
        assert all(isinstance(fault, str) and "\n" not in fault for fault in found.faults)


@pytest.mark.parametrize("content", [b"", b"x", b"SQLite format 3\0", b"no database at all" * 1000])
def test_what_is_no_record_is_not_good(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "record.sqlite"
    path.write_bytes(content)
    found = verify(path)
    assert not found.ok
    assert found.faults
    assert path.read_bytes() == content


def test_a_missing_file_and_a_folder_are_not_good(tmp_path: Path) -> None:
    assert verify(tmp_path / "none").faults == ("there is no file none",)
    assert not verify(tmp_path).ok


def tamper(path: Path, *statements: str) -> None:
    """With a database tool, and the triggers taken off and put back."""
    db = sqlite3.connect(path, isolation_level=None)
    triggers = db.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
    for name, _ in triggers:
        db.execute(f"DROP TRIGGER {name}")
    for statement in statements:
        db.execute(statement)
    for _, sql in triggers:
        db.execute(sql)
    db.close()


@pytest.mark.parametrize(
    ("statement", "fault"),
    [
        ("UPDATE entry SET at = '2020' || substr(at, 5) WHERE seq = 7", "entry 7: its digest does not match"),
        ("UPDATE entry SET kind = 'part' WHERE seq = 7", "entry 7: its digest does not match"),
        ("UPDATE entry SET body = replace(body, '0.12', '0.13') WHERE seq = 7", "entry 7: its digest does not"),
        ("UPDATE entry SET body = body || ' ' WHERE seq = 7", "entry 7: its digest does not match"),
        ("UPDATE entry SET body = body || char(0) WHERE seq = 7", "entry 7: its digest does not match"),
        ("UPDATE entry SET digest = upper(digest) WHERE seq = 7", "entry 7: its digest does not match"),
        ("UPDATE entry SET previous = digest WHERE seq = 7", "entry 7: its previous digest is not that of entry 6"),
        ("UPDATE entry SET at = 'a\",\"b' WHERE seq = 7", "entry 7: its time .* is not how a time is written"),
        ("UPDATE entry SET kind = 'a\"' WHERE seq = 7", "entry 7: its kind .* is not known"),
        ("DELETE FROM entry WHERE seq = 7", "entry 7 is missing: 8 is in its place"),
        ("DELETE FROM entry WHERE seq = 1", "entry 1 is missing: 2 is in its place"),
        ("UPDATE entry SET seq = seq + 1 WHERE seq = 60", "entry 60 is missing"),
        ("DROP INDEX entry_reading", "the index entry_reading is missing"),
        ("CREATE TABLE extra (a)", "the table extra was added"),
        ("CREATE TRIGGER quiet AFTER INSERT ON entry BEGIN SELECT 1; END", "the trigger quiet was added"),
        ("PRAGMA user_version = 7", "format version 7"),
        ("PRAGMA application_id = 1", "belongs to another program"),
        ("UPDATE migration SET name = 'other'", "names other steps of its format: other"),
    ],
)
def test_it_says_what_was_tampered_with(path: Path, statement: str, fault: str) -> None:
    tamper(path, statement)
    found = verify(path)
    assert not found.ok
    assert any(re.search(fault, text) for text in found.faults), found.faults


def test_a_trigger_taken_off_is_missed(path: Path) -> None:
    db = sqlite3.connect(path, isolation_level=None)
    db.execute("DROP TRIGGER entry_is_never_changed")
    db.execute("CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry BEGIN SELECT 1; END")
    db.close()
    assert verify(path).faults == ("the trigger entry_is_never_changed was changed",)


def rewrite(path: Path, change: Callable[[int, str], str]) -> None:
    """Somebody who knows how digests are made, and makes all of them again."""
    with Record.open(path) as record:
        entries = list(record.entries())
    path.unlink()
    with Record.open(path) as record:
        for entry in entries:
            record.clock = lambda at=entry.at: __import__("datetime").datetime.fromisoformat(at)  # type: ignore[misc]
            body = dict(entry.body)
            if entry.kind == "note":
                body["text"] = change(entry.seq, body["text"])
            record.append(entry.kind, body)


def test_a_cut_or_a_rewritten_record_is_found_by_a_head_kept_elsewhere(path: Path, tmp_path: Path) -> None:
    head = verify(path).head
    middle = seen(path)[0][29].digest  # type: ignore[index]
    assert verify(path, middle).ok, "a head of an earlier day is part of the record"

    cut = tmp_path / "cut.sqlite"
    shutil.copy(path, cut)
    tamper(cut, "DELETE FROM entry WHERE seq > 50")
    assert verify(cut).ok, "the chain of what is left is whole"
    assert verify(cut, middle).ok
    assert verify(cut, head).faults == (
        f"the head noted earlier ({head[:12]}) is not in this record: entries were cut off or rewritten",
    )

    rewrite(path, lambda seq, text: text.replace("0.05", "0.04") if seq == 5 else text)
    assert verify(path).ok
    assert not verify(path, head).ok
    assert not verify(path, middle).ok


@pytest.mark.parametrize("head", ["", "0", "abc"])
def test_a_head_too_short_to_tell_is_not_found(path: Path, head: str) -> None:
    assert not verify(path, head).ok
