"""Entering readings, against what SQLite itself takes for as many rows on the same disk.

python tests/benchmarks/bench_record.py [--short]
"""

from __future__ import annotations

import sqlite3
import tempfile
import time
from itertools import cycle, islice
from pathlib import Path

from common import BODIES, arguments, growth, machine, ratio, seconds

from restonb.record import Record, in_force

TABLE = "CREATE TABLE entry (seq INTEGER PRIMARY KEY, at TEXT, kind TEXT, body TEXT, previous TEXT, digest TEXT) STRICT"
INSERT = "INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?)"


def raw(path: Path) -> sqlite3.Connection:
    db = sqlite3.connect(path, isolation_level=None)
    db.execute("PRAGMA journal_mode = WAL")
    db.execute("PRAGMA synchronous = FULL")
    db.execute(TABLE)
    return db


def one_by_one(folder: Path, times: int) -> tuple[list[float], list[float]]:
    """A reading, then a bare commit of as many bytes, by turns on the same disk."""
    db = raw(folder / "raw.sqlite")
    ours, bare = [], []
    with Record.open(folder) as record:
        for body in islice(cycle(BODIES), times):
            start = time.perf_counter()
            entry = record.append("reading", body)
            ours.append(time.perf_counter() - start)
            values = (entry.seq, entry.at, entry.kind, "x" * 300, entry.previous, entry.digest)
            start = time.perf_counter()
            db.execute("BEGIN IMMEDIATE")
            db.execute(INSERT, values)
            db.execute("COMMIT")
            bare.append(time.perf_counter() - start)
    db.close()
    return ours, bare


def at_once(folder: Path, count: int) -> tuple[float, float, float]:
    """Many readings in one import, the same rows by executemany, and then what is in force."""
    folder.mkdir()
    many = [("reading", body) for body in islice(cycle(BODIES), count)]
    with Record.open(folder) as record:
        ours = seconds(lambda: record.append_many(many))
        rows = record.rows("SELECT seq, at, kind, body, previous, digest FROM entry")
        newest = min(seconds(lambda: in_force(record)) for _ in range(3))
    db = raw(folder / "raw.sqlite")

    def bare() -> None:
        db.execute("BEGIN")
        db.executemany(INSERT, rows)
        db.execute("COMMIT")

    taken = seconds(bare)
    db.close()
    return ours, taken, newest


def main() -> None:
    args = arguments(__doc__).parse_args()
    machine("entering readings")
    with tempfile.TemporaryDirectory(prefix="restonb-bench-", dir=Path.cwd()) as own:  # a disk, not memory
        folder = Path(own)
        ours, bare = one_by_one(folder, 200 if args.short else 2_000)
        ratio("one durable reading", ours, "one raw commit, synchronous=FULL", bare, 1.5)
        sizes = [1_000, 10_000, 100_000]
        taken = [[at_once(folder / f"{n}-{turn}", n) for turn in range(2 if args.short else 5)] for n in sizes]
        largest = taken[-1]
        ratio("100,000 readings imported", [t[0] for t in largest], "raw executemany", [t[1] for t in largest], 4)
        growth("readings imported", sizes, [min(t[0] for t in size) for size in taken])
        growth(
            "what is in force at 2,310 places, of so many readings", sizes, [min(t[2] for t in size) for size in taken]
        )


if __name__ == "__main__":
    main()
