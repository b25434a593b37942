"""A full disk and a folder that cannot be written: on a small file system of its own (needs root), and by limits that
anybody can set on a process of their own."""

from __future__ import annotations

import ctypes
import errno
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import kill
import pytest

from restonb import log
from restonb.errors import RecordError, RunError
from restonb.handover import hand_over
from restonb.handover import verify as verify_bag
from restonb.record import Record, verify
from restonb.stated import Build


@pytest.fixture
def small(tmp_path: Path) -> Iterator[Path]:
    """A file system of 4 MB. Where none can be made, conftest leaves these tests out: each has a twin below."""
    place = tmp_path / "small"
    place.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", str(place)], check=True)
    try:
        yield place
    finally:
        subprocess.run(["umount", "-l", str(place)], check=True)


def restonb(*words: str | Path, under: Callable[[], None] | None = None) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "restonb", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, preexec_fn=under)


def no_file_grows() -> None:
    """As on a full disk: a file that exists can be written, and not a byte added to any."""
    import resource

    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))


def as_the_owner_alone() -> None:
    """Root writes into folders that nobody may write into; not without this capability, once it starts a program."""
    if os.geteuid() == 0:
        drop, override = 24, 1  # PR_CAPBSET_DROP, CAP_DAC_OVERRIDE
        assert ctypes.CDLL(None).prctl(drop, override, 0, 0, 0) == 0


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


def assert_answers(build: Build, under: Callable[[], None] | None = None) -> None:
    """What only reads works as ever."""
    status = restonb("status", "-b", build.folder, under=under)
    assert status.returncode in (0, 1), status.stderr
    assert status.stdout.startswith("Toy, on ")
    assert "toy" in status.stdout
    assert restonb("verify", build.folder, under=under).returncode == 0
    preview = restonb("handover", "--preview", "-b", build.folder, under=under)
    assert preview.returncode == 0, preview.stderr
    assert "leaves the house" in preview.stdout


def test_every_command_tells_a_full_disk_in_one_line(small: Path) -> None:
    build = kill.toy_build(small / "build")
    ballast = fill(small)
    entries = verify(build.record_path).entries
    assert_answers(build)
    for words in (["read", "toy", "gap", "1=0.03"], ["run", "toy"], ["handover"]):
        said = could_not(restonb(*words, "-b", build.folder))
        assert "the disk is full" in said or "No space left" in said
    ballast.unlink()
    found = verify(build.record_path)
    assert found.ok
    assert found.entries == entries
    assert restonb("read", "toy", "gap", "1=0.03", "-b", build.folder).returncode == 0


def test_a_folder_that_cannot_be_written_can_still_be_asked(small: Path) -> None:
    build = kill.toy_build(small / "build")
    subprocess.run(["mount", "-o", "remount,ro", str(small)], check=True)
    assert_answers(build)
    assert "copy the build folder" in could_not(restonb("read", "toy", "gap", "1=0.03", "-b", build.folder))
    assert "copy the build folder" in could_not(restonb("run", "toy", "-b", build.folder))
    could_not(restonb("handover", "-b", build.folder))
    elsewhere = small.parent / "elsewhere"
    with Record.open(build) as record:
        assert not record.writable
        assert verify_bag(hand_over(build, record, elsewhere).folder).ok


def test_a_program_that_is_open_goes_on_by_itself_once_there_is_room(small: Path) -> None:
    build = kill.toy_build(small / "build")
    ballast = fill(small)
    with Record.open(build) as record:
        assert not record.writable
        before = sum(1 for _ in record.entries())
        with pytest.raises(RecordError, match=r"the disk is full: this was not taken.*make room and enter it again"):
            record.append("note", {"text": "a"})
        ballast.unlink()
        assert record.append("note", {"text": "a"}).seq == before + 1
        assert record.writable


# -- the same without root ---------------------------------------------------------------------------------


@pytest.mark.skipif(sys.platform != "linux", reason="limits as Linux has them")
def test_where_no_file_can_grow_everything_can_still_be_asked(build: Build) -> None:
    assert_answers(build, no_file_grows)
    entries = verify(build.record_path)
    for words in (
        ["read", "toy", "gap", "1=0.03"],
        ["run", "toy"],
        ["disturb", "mounting", "--what", "removed", "--why", "a", "--yes"],
    ):
        said = could_not(restonb(*words, "-b", build.folder, under=no_file_grows))
        assert "the disk is full: this was not taken, and nothing that was taken before is lost; make room" in said
    assert verify(build.record_path) == entries
    assert restonb("read", "toy", "gap", "1=0.03", "-b", build.folder).returncode == 0
    assert verify(build.record_path).entries == entries.entries + 1


@pytest.mark.skipif(sys.platform != "linux", reason="capabilities as Linux has them")
def test_where_nobody_may_write_everything_can_still_be_asked(build: Build) -> None:
    (build.folder / "record.sqlite").chmod(0o444)
    build.folder.chmod(0o555)
    try:
        assert_answers(build, as_the_owner_alone)
        for words in (["read", "toy", "gap", "1=0.03"], ["run", "toy"]):
            said = could_not(restonb(*words, "-b", build.folder, under=as_the_owner_alone))
            assert "record.sqlite can only be read here: copy the build folder to where you may write" in said
    finally:
        build.folder.chmod(0o755)
    assert not [p.name for p in build.folder.iterdir() if p.name.startswith("record.sqlite-")]


LEFT_OPEN = """
import os, shutil, sys
from pathlib import Path
from restonb.record import Record
record = Record.open(sys.argv[1])
record.append("note", {"text": "in the log only"})
os.kill(os.getpid(), 9)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="limits as Linux has them")
@pytest.mark.parametrize("under", [no_file_grows, as_the_owner_alone])
def test_what_stands_in_the_log_alone_is_seen_too(build: Build, under: Callable[[], None]) -> None:
    """The machine went off, and then there was no room, or the disk came up read-only."""
    with Record.open(build) as record:
        before = sum(1 for _ in record.entries())
    subprocess.run([sys.executable, "-c", LEFT_OPEN, str(build.folder)])
    (build.folder / "record.sqlite-shm").unlink()
    assert (build.folder / "record.sqlite-wal").stat().st_size
    if under is as_the_owner_alone:
        build.folder.chmod(0o555)
    seen = f"entry {before + 1}"
    status = restonb("status", "-b", build.folder, under=under)
    if under is no_file_grows:  # nor has the copy that would be read any room
        assert status.returncode == 2
        assert "the disk is full" in could_not(status)
    else:
        assert seen in status.stdout.splitlines()[0]
        assert f": whole, {before + 1} entries" in restonb("verify", build.folder, under=under).stdout
    build.folder.chmod(0o755)
    assert seen in restonb("status", "-b", build.folder).stdout.splitlines()[0]


GOES_ON = """
import resource, sys
from restonb.errors import RecordError
from restonb.record import Record
_, most = resource.getrlimit(resource.RLIMIT_FSIZE)
resource.setrlimit(resource.RLIMIT_FSIZE, (0, most))
with Record.open(sys.argv[1]) as record:
    before = sum(1 for _ in record.entries())
    print(record.writable)
    try:
        record.append("note", {"text": "a"})
    except RecordError as error:
        print(error)
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
    print(record.append("note", {"text": "a"}).seq - before, record.writable)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="limits as Linux has them")
def test_a_program_that_is_open_goes_on_by_itself_once_files_can_grow(build: Build) -> None:
    done = subprocess.run([sys.executable, "-c", GOES_ON, str(build.folder)], capture_output=True, text=True)
    writable, said, after = done.stdout.splitlines()
    assert writable == "False"
    assert said.startswith("the disk is full: this was not taken")
    assert after == "1 True"
    assert verify(build.record_path).ok


def test_a_run_for_which_there_is_no_room_is_told_and_leaves_nothing_half_done(
    build: Build, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = names(build.folder)

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with Record.open(build) as record:
        monkeypatch.setattr("restonb.record.ondisk.os.fsync", full)
        with pytest.raises(RunError, match=r"the log cannot be written \(No space left on device\); make room"):
            log.run(build, record, "toy")
        monkeypatch.undo()
        assert names(build.folder) == before
        assert not list(record.entries("run"))
        assert log.run(build, record, "toy").good
