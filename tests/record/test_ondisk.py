"""What is half made is hidden, is nobody else's business while its maker lives, and is swept when it was killed; a
photo and its name are on disk before the record names them."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from PIL import Image

from restonb.errors import RecordError
from restonb.record import Record, enter_photo
from restonb.record.ondisk import sweep, unfinished
from restonb.stated import Build

MAKER = """
import sys
from pathlib import Path
from restonb.record.ondisk import unfinished
with unfinished(Path(sys.argv[1])) as part:
    (part / "half").write_text("half")
    print(part, flush=True)
    sys.stdin.readline()
"""


def maker(folder: Path) -> tuple[subprocess.Popen[str], Path]:
    process = subprocess.Popen(
        [sys.executable, "-c", MAKER, str(folder)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    return process, Path(process.stdout.readline().strip())


@pytest.mark.skipif(os.name != "posix", reason="folders are locked on POSIX only; elsewhere age decides")
def test_what_a_living_process_makes_is_left_alone_and_what_a_killed_one_left_goes(tmp_path: Path) -> None:
    living, used = maker(tmp_path)
    dead, left = maker(tmp_path)
    (tmp_path / "a.ipynb").write_text("a person's")
    try:
        sweep(tmp_path)
        assert used.is_dir()
        assert left.is_dir()
        dead.kill()
        dead.wait()
        sweep(tmp_path)
        assert (used / "half").read_text() == "half"
        assert not left.exists()
        living.communicate("\n")
        assert sorted(p.name for p in tmp_path.iterdir()) == ["a.ipynb"]
    finally:
        for process in (living, dead):
            process.kill()
            process.communicate()


def test_it_goes_when_its_maker_fails(tmp_path: Path) -> None:
    def fail() -> None:
        with unfinished(tmp_path) as part:
            (part / "half").write_text("half")
            raise ValueError("no more")

    with pytest.raises(ValueError, match="no more"):
        fail()
    assert list(tmp_path.iterdir()) == []


def test_makers_and_sweepers_at_once_never_take_from_each_other(tmp_path: Path) -> None:
    end = time.monotonic() + 1.0
    made: list[int] = []

    def make(number: int) -> None:
        count = 0
        while time.monotonic() < end:
            with unfinished(tmp_path) as part:
                (part / "whole").write_text("whole")
                part.rename(tmp_path / f"{number}-{count}")
            assert (tmp_path / f"{number}-{count}" / "whole").read_text() == "whole"
            count += 1
        made.append(count)

    def tidy() -> None:
        while time.monotonic() < end:
            sweep(tmp_path)

    threads = [threading.Thread(target=make, args=(n,)) for n in range(3)] + [threading.Thread(target=tidy)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(made) == 3, "one of them lost what it was making"
    assert len(list(tmp_path.iterdir())) == sum(made)


def test_a_photo_and_its_name_are_on_disk_before_its_entry(
    build: Build, record: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Image.new("RGB", (30, 20), "red").save(tmp_path / "a.jpg")
    on_disk: list[int] = []
    when_entered: list[set[int]] = []
    fsync, append = os.fsync, Record.append

    def seen(handle: int) -> None:
        fsync(handle)
        on_disk.append(os.fstat(handle).st_ino)

    def entered(self: Record, *words: object) -> object:
        when_entered.append(set(on_disk))
        return append(self, *words)  # type: ignore[arg-type]

    monkeypatch.setattr(os, "fsync", seen)
    monkeypatch.setattr(Record, "append", entered)
    for _ in range(2):  # the second time it is there already, put there by who knows whom
        on_disk.clear()
        entry = enter_photo(record, build, tmp_path / "a.jpg")
        kept = build.folder / entry.body["file"]
        assert build.photos.stat().st_ino in when_entered[-1]
    assert kept.stat().st_ino in when_entered[0]
    assert [p.name for p in build.photos.iterdir()] == [kept.name]


def test_a_kept_photo_that_was_damaged_is_put_right_by_its_original(
    build: Build, record: Record, tmp_path: Path
) -> None:
    Image.new("RGB", (30, 20), "red").save(tmp_path / "a.jpg")
    kept = build.folder / enter_photo(record, build, tmp_path / "a.jpg").body["file"]
    kept.write_bytes(b"damaged")
    enter_photo(record, build, tmp_path / "a.jpg")
    assert kept.read_bytes() == (tmp_path / "a.jpg").read_bytes()


def test_a_photo_for_which_there_is_no_room_is_told(
    build: Build, record: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Image.new("RGB", (30, 20), "red").save(tmp_path / "a.jpg")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(RecordError, match=r"a\.jpg cannot be kept \(No space left on device\): check the disk"):
        enter_photo(record, build, tmp_path / "a.jpg")
    monkeypatch.undo()
    assert list(build.photos.iterdir()) == []
    assert not list(record.entries("photo"))
