"""Power cuts and plain copies. SQLite's file format: a write-ahead log is a header of 32 bytes and frames of 24 bytes
and one page; a commit counts once its last frame is whole; a checkpoint copies pages home and can be done again."""

from __future__ import annotations

import random
import shutil
import subprocess
import sys
import time
from itertools import pairwise
from pathlib import Path

import kill
import pytest
from PIL import Image

from restonb.errors import RecordError
from restonb.record import Record, verify
from restonb.stated import Build

HEADER, FRAME = 32, 24


def wal_of(path: Path) -> Path:
    return path.with_name(path.name + "-wal")


def crashed(tmp_path: Path, count: int) -> tuple[Path, list[str]]:
    """The files of a record as a power cut leaves them: written to, not closed, nothing copied home. And its texts."""
    place = tmp_path / "living"
    place.mkdir()
    path = place / "record.sqlite"
    with Record.open(path) as record:
        record.append("note", {"text": "first"})
    record = Record.open(path)
    record.rows("PRAGMA wal_autocheckpoint = 0")
    for n in range(count):
        record.append("note", {"text": f"note {n} " + "x" * (n * 37 % 900)})
    after = tmp_path / "after"
    shutil.copytree(place, after)
    (after / "record.sqlite-shm").unlink()
    texts = [e.body["text"] for e in record.entries()]
    record.close()
    return after / "record.sqlite", texts


def texts_of(path: Path) -> list[str]:
    """What is there when it is next opened, by a program that also writes."""
    with Record.open(path) as record:
        found = [e.body["text"] for e in record.entries()]
        record.append("note", {"text": "goes on"})
    result = verify(path)
    assert result.ok, result.faults
    assert result.entries == len(found) + 1
    return found


def page_size(path: Path) -> int:
    return int.from_bytes(wal_of(path).read_bytes()[8:12], "big")


def frames(path: Path) -> list[tuple[int, bool, bytes]]:
    """(page number, ends a commit, content) of every frame of the log."""
    data, size = wal_of(path).read_bytes(), page_size(path)
    step = FRAME + size
    found = []
    for at in range(HEADER, len(data) - step + 1, step):
        number, commit = int.from_bytes(data[at : at + 4], "big"), int.from_bytes(data[at + 4 : at + 8], "big")
        found.append((number, commit != 0, data[at + FRAME : at + step]))
    return found


def test_a_log_cut_anywhere_gives_the_entries_whose_commits_are_whole(tmp_path: Path) -> None:
    path, texts = crashed(tmp_path, 40)
    whole, size = wal_of(path).read_bytes(), page_size(path)
    step = FRAME + size
    ends = [HEADER + (i + 1) * step for i, (_, commit, _) in enumerate(frames(path)) if commit]
    assert len(ends) == 40
    dice = random.Random(1)
    cuts = [0, HEADER, *dice.sample(range(len(whole)), 10), *(e + d for e in dice.sample(ends, 4) for d in (-1, 0, 1))]
    for number, cut in enumerate(cuts):
        folder = tmp_path / str(number)
        shutil.copytree(path.parent, folder)
        wal_of(folder / "record.sqlite").write_bytes(whole[:cut])
        kept = sum(end <= cut for end in ends)
        assert texts_of(folder / "record.sqlite") == texts[: 1 + kept], cut


def test_a_log_with_a_torn_page_gives_the_entries_before_it(tmp_path: Path) -> None:
    path, texts = crashed(tmp_path, 20)
    whole, size = bytearray(wal_of(path).read_bytes()), page_size(path)
    ends = [HEADER + (i + 1) * (FRAME + size) for i, (_, commit, _) in enumerate(frames(path)) if commit]
    torn = ends[11] - size // 2
    whole[torn : torn + 512] = bytes(512)
    wal_of(path).write_bytes(whole)
    assert texts_of(path) == texts[:12]


@pytest.mark.parametrize("turn", range(6))
def test_power_cut_in_the_middle_of_a_checkpoint_loses_nothing(tmp_path: Path, turn: int) -> None:
    """Some pages are home, one of them half, in any order; the log is still there and whole."""
    path, texts = crashed(tmp_path, 40)
    size, dice = page_size(path), random.Random(turn)
    newest = {number: content for number, _, content in frames(path)}
    data = bytearray(path.read_bytes())
    data.extend(bytes(max(0, max(newest) * size - len(data))))
    home = dice.sample(sorted(newest), dice.randint(1, len(newest)))
    for number in home:
        data[(number - 1) * size : number * size] = newest[number]
    half = (home[-1] - 1) * size + size // 2
    data[half : half + size // 2] = dice.randbytes(size // 2)
    path.write_bytes(data)
    assert texts_of(path) == texts


WRITER = """
import sys
from restonb.record import Record
with Record.open(sys.argv[1]) as record:
    for n in range(100_000):
        record.append("note", {"text": f"note {n}"})
"""


def test_a_copy_made_while_others_write_is_whole_or_says_that_it_is_not(tmp_path: Path) -> None:
    """`copy_to` always gives a whole one. A copy by the file manager may not be, and is never taken for one."""
    path = tmp_path / "record.sqlite"
    process = subprocess.Popen([sys.executable, "-c", WRITER, str(path)])
    try:
        end = time.monotonic() + 30
        while not path.exists() or verify(path).entries < 50:
            assert time.monotonic() < end
            time.sleep(0.02)
        with Record.open(path) as record:
            ours = [record.copy_to(tmp_path / f"ours-{n}.sqlite") for n in range(3)]
        plain = []
        for n in range(6):
            folder = tmp_path / str(n)
            folder.mkdir()
            for name in (
                ["record.sqlite", "record.sqlite-wal"],
                ["record.sqlite-wal", "record.sqlite"],
                ["record.sqlite"],
            )[n % 3]:
                shutil.copyfile(tmp_path / name, folder / name)
            plain.append(folder / "record.sqlite")
    finally:
        process.kill()
        process.wait()
    with Record.open(path) as record:
        digests = [e.digest for e in record.entries()]
    for copy in ours:
        found = verify(copy)
        assert found.ok
        assert found.entries >= 50
        assert found.head == digests[found.entries - 1]
    for copy in plain:
        found = verify(copy)
        if found.ok and found.entries:
            assert found.head == digests[found.entries - 1], "a beginning of the true record"
        elif not found.ok:
            assert found.faults


PHOTO = """
import sys
from pathlib import Path
from restonb.stated import Build
from restonb.record import Record, enter_photo, enter_readings
build = Build.open(Path(sys.argv[1]))
with Record.open(build) as record:
    for n in range(int(sys.argv[2])):
        enter_readings(record, build, "toy", "gap", {"1": "0.02", "2": "0.03", "3": "0", "4": "0.04"})
        enter_photo(record, build, build.folder / "picture.jpg")
"""


@pytest.mark.parametrize(("count", "times"), [(4, 10), pytest.param(8, 40, marks=pytest.mark.slow)])
def test_several_programs_enter_readings_and_the_same_photograph(build: Build, count: int, times: int) -> None:
    Image.effect_noise((400, 300), 90).save(build.folder / "picture.jpg", "JPEG")
    running = [subprocess.Popen([sys.executable, "-c", PHOTO, str(build.folder), str(times)]) for _ in range(count)]
    assert [process.wait(240) for process in running] == [0] * count
    with Record.open(build) as record:
        kill.check_entries(build, record, [])
        seqs = [e.seq for e in record.entries("reading")]
        assert len(seqs) == 4 + 4 * times * count
        assert all(b == a + 1 for i, (a, b) in enumerate(pairwise(seqs)) if i % 4 != 3), "four stay together"
        assert len(list(record.entries("photo"))) == times * count
    assert len(list(build.photos.iterdir())) == 1
    assert verify(build.record_path).ok


def test_a_record_of_no_length_beside_its_log_is_not_taken_for_a_new_one(tmp_path: Path) -> None:
    """What a full disk or a bad copy leaves: the old entries are in neither, and that is said or the log is used."""
    path, texts = crashed(tmp_path, 5)
    path.write_bytes(b"")
    try:
        with Record.open(path) as record:
            found = [e.body["text"] for e in record.entries()]
    except RecordError:
        return
    assert found in ([], texts)


# -- a record of an older restonb --------------------------------------------------------------------------

LATER = """
import sys
from restonb.record import Record, _schema
fill = "INSERT INTO later SELECT value FROM json_each('[1,2,3]');"
later = _schema.Migration("later", "CREATE TABLE later (a) STRICT;".replace("(a)", "(a INTEGER)") + fill * 300)
_schema.MIGRATIONS = (*_schema.MIGRATIONS, later)
print("ready", flush=True)
with Record.open(sys.argv[1]) as record:
    print(record.rows("SELECT count(*) FROM later")[0][0], sum(1 for _ in record.entries()), flush=True)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="needs SIGKILL")
def test_killed_while_an_older_record_is_brought_up_to_date(tmp_path: Path) -> None:
    """It is the old one or the new one, never between; and beside a new one stands the old one, whole."""
    path = tmp_path / "record.sqlite"
    with Record.open(path) as record:
        record.append_many(("note", {"text": str(n)}) for n in range(200))
    old = verify(path)
    dice = random.Random(5)
    for turn in range(8):
        folder = tmp_path / str(turn)
        folder.mkdir()
        copy = folder / "record.sqlite"
        shutil.copyfile(path, copy)
        process = subprocess.Popen([sys.executable, "-c", LATER, str(copy)], stdout=subprocess.PIPE, text=True)
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        time.sleep(dice.uniform(0, 0.03))
        process.kill()
        process.communicate()
        done = subprocess.run([sys.executable, "-c", LATER, str(copy)], capture_output=True, text=True)
        assert done.stdout.splitlines()[-1] == "900 200", done.stderr
        kept = sorted(folder.glob("record.before-later*.sqlite"))
        assert kept, "the old one"
        assert all(verify(one) == old for one in kept)
