"""Several programs write at once, and one is killed: nothing that was acknowledged is lost."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from restonb.record import Record, verify

WRITER = """
import sys
from restonb.record import Record
path, name, count = sys.argv[1], sys.argv[2], int(sys.argv[3])
with Record.open(path) as record:
    for number in range(count):
        entry = record.append("note", {"text": f"{name} {number}"})
        print(entry.seq, entry.digest, flush=True)
"""


def start(path: Path, name: str, count: int) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), name, str(count)], stdout=subprocess.PIPE, text=True
    )


@pytest.mark.parametrize(("writers", "count"), [(2, 100), pytest.param(8, 400, marks=pytest.mark.slow)])
def test_several_programs_write_at_once(tmp_path: Path, writers: int, count: int) -> None:
    path = tmp_path / "record.sqlite"  # which does not exist: they race for its beginning too
    running = [start(path, str(n), count) for n in range(writers)]
    said = [process.communicate(timeout=240)[0].splitlines() for process in running]
    assert [process.returncode for process in running] == [0] * writers
    assert sorted(int(line.split()[0]) for lines in said for line in lines) == list(range(1, writers * count + 1))
    assert verify(path).entries == writers * count
    with Record.open(path) as record:
        texts = [entry.body["text"] for entry in record.entries()]
    for n in range(writers):
        own = [text for text in texts if text.startswith(f"{n} ")]
        assert own == [f"{n} {number}" for number in range(count)], "each program's entries in its own order"


@pytest.mark.slow
@pytest.mark.parametrize("turn", range(5))
def test_killed_at_any_moment_nothing_acknowledged_is_lost(tmp_path: Path, turn: int) -> None:
    path = tmp_path / "record.sqlite"
    process = start(path, "a", 1_000_000)
    assert process.stdout is not None
    first = process.stdout.readline()
    time.sleep(random.Random(turn).uniform(0, 0.4))
    process.send_signal(signal.SIGKILL)
    said = [first, *process.communicate()[0].splitlines(keepends=True)]
    acknowledged = [line.split() for line in said if line.endswith("\n")]  # the last may be cut short
    found = verify(path)
    assert found.ok, found.faults
    # One entry may be on disk that could not be acknowledged any more, or was without its line's end.
    assert len(acknowledged) <= found.entries <= len(acknowledged) + 2
    with Record.open(path) as record:
        for seq, digest in acknowledged:
            entry = record.entry(int(seq))
            assert entry is not None
            assert entry.digest == digest
        assert record.append("note", {"text": "goes on"}).seq == found.entries + 1
