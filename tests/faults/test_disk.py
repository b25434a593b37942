"""A full disk and a folder that cannot be written, on a small file system of its own (needs root)."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import kill
import pytest

from restonb import log
from restonb.errors import RecordError, RunError
from restonb.handover import hand_over
from restonb.handover import verify as verify_bag
from restonb.record import Record, verify


@pytest.fixture
def small(tmp_path: Path) -> Iterator[Path]:
    """A file system of 4 MB."""
    place = tmp_path / "small"
    place.mkdir()
    if sys.platform != "linux" or os.geteuid() != 0:
        pytest.skip("needs root, to make a small file system")
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", str(place)], capture_output=True, text=True
    )
    if made.returncode:
        pytest.skip(f"no file system can be made here: {made.stderr.strip()}")
    try:
        yield place
    finally:
        subprocess.run(["umount", "-l", str(place)], check=True)


def restonb(*words: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "restonb", *map(str, words)], capture_output=True, text=True)


def could_not(done: subprocess.CompletedProcess[str]) -> str:
    """The one line that says why not."""
    assert done.returncode == 2, done
    lines = [line for line in done.stderr.splitlines() if line.startswith("restonb: ")]
    assert len(lines) == 1, done.stderr
    assert "Traceback" not in done.stderr
    return lines[0]


def names(folder: Path) -> list[str]:
    """Its files, and what is half made; but for the database's own."""
    found = (p for p in folder.rglob("*") if p.is_file() or p.name.startswith("."))
    return sorted(p.relative_to(folder).as_posix() for p in found if not p.name.startswith("record.sqlite-"))


def fill(folder: Path) -> Path:
    ballast = folder / "ballast"
    with ballast.open("wb", buffering=0) as out:
        for size in (65536, 4096, 512, 1):
            try:
                while out.write(bytes(size)):
                    pass
            except OSError:
                continue
    assert shutil.disk_usage(folder).free == 0
    return ballast


def test_a_full_disk_is_told_and_leaves_nothing_half_done(small: Path) -> None:
    build = kill.toy_build(small / "build")
    before = names(build.folder)
    with Record.open(build) as record:
        record.append("note", {"text": "while there is room"})
        ballast = fill(small)
        with pytest.raises(
            RecordError, match=r"the disk is full: this was not taken, .*; make room and enter it again"
        ):
            record.append("note", {"text": "x" * 100_000})
        with pytest.raises(RunError, match=r"the log cannot be written \(.*\); make room, then run again"):
            log.run(build, record, "toy")
        with pytest.raises(OSError, match="No space left"):  # which the command tells in one line
            hand_over(build, record)
        assert names(build.folder) == before
        ballast.unlink()
        assert [e.body["text"] for e in record.entries("note")] == ["while there is room"]
        assert log.run(build, record, "toy").good
        assert verify_bag(hand_over(build, record).folder).ok
    assert verify(build.record_path).ok


def test_every_command_tells_a_full_disk_in_one_line(small: Path) -> None:
    build = kill.toy_build(small / "build")
    ballast = fill(small)
    entries = verify(build.record_path).entries
    for words in (["read", "toy", "gap", "1=0.03"], ["run", "toy"], ["handover"]):
        assert "disk" in could_not(restonb(*words, "-b", build.folder))
    ballast.unlink()
    found = verify(build.record_path)
    assert found.ok
    assert found.entries == entries
    assert restonb("read", "toy", "gap", "1=0.03", "-b", build.folder).returncode == 0


def test_a_folder_that_cannot_be_written_can_still_be_asked(small: Path) -> None:
    build = kill.toy_build(small / "build")
    subprocess.run(["mount", "-o", "remount,ro", str(small)], check=True)
    status = restonb("status", "-b", build.folder)
    assert status.returncode in (0, 1)
    assert status.stdout.startswith("Toy")
    assert restonb("verify", build.folder).returncode == 0
    assert "copy the build folder" in could_not(restonb("read", "toy", "gap", "1=0.03", "-b", build.folder))
    assert "the log cannot be written" in could_not(restonb("run", "toy", "-b", build.folder))
    could_not(restonb("handover", "-b", build.folder))
    elsewhere = small.parent / "elsewhere"
    with Record.open(build) as record:
        assert not record.writable
        assert verify_bag(hand_over(build, record, elsewhere).folder).ok
