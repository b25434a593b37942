"""A kill, a full disk and a failed signature leave what was there before, whole; `long_break_off.py` kills many times."""

from __future__ import annotations

import errno
import os
import random
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent))

import long_break_off as killing

from restonb.errors import HandoverError
from restonb.handover import bag, hand_over, sign, verify


def contents(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.mark.skipif(sys.platform == "win32", reason="needs SIGKILL")
@pytest.mark.slow
def test_a_killed_export_never_leaves_half_a_bag(tmp_path: Path) -> None:
    build = killing.start(tmp_path / "toy")
    last = killing.touches(build)
    assert last > 200
    dice = random.Random(3)
    for number in range(4):
        killing.at_a_touch(build, killing.moment(dice, last, number))


@pytest.mark.skipif(sys.platform == "win32", reason="needs SIGKILL")
def test_a_kill_between_any_two_renames_loses_nothing(tmp_path: Path) -> None:
    build = killing.start(tmp_path / "toy")
    moved = [killing.at_a_rename(build, *moment) for moment in killing.RENAMES]
    # After the earlier bag was moved aside, and before the new one came.
    assert moved == [False, False, False, True, True, False, False, False]


def test_an_earlier_bag_that_was_moved_aside_comes_back(filled: Any, tmp_path: Path) -> None:
    """Killed between the two renames."""
    first = hand_over(filled.build, filled.record, tmp_path)
    aside = tmp_path / f".{first.folder.name}.abcdefgh"
    (aside / "new" / "data").mkdir(parents=True)
    first.folder.rename(aside / "old")
    begun = bag.in_place_of(first.folder)
    begun.__enter__()
    assert verify(first.folder, seal=first.seal).ok
    assert not begun.__exit__(KeyboardInterrupt, KeyboardInterrupt(), None)
    assert verify(first.folder, seal=first.seal).ok
    assert not list(tmp_path.glob(".*"))


@pytest.mark.skipif(sys.platform == "win32", reason="locks as Unix has them")
def test_another_export_at_work_is_left_alone(tmp_path: Path) -> None:
    target = tmp_path / "bag"
    with bag.in_place_of(target) as one:
        (one / "a").write_text("one")
        with bag.in_place_of(target) as two:
            (two / "a").write_text("two")
        assert (one / "a").read_text() == "one"
    assert (target / "a").read_text() == "one"
    assert [p.name for p in tmp_path.iterdir()] == ["bag"]


@pytest.mark.parametrize("share", [0.0, 0.05, 0.3, 0.6, 0.9, 1.0])
def test_a_full_disk_leaves_the_earlier_export(
    filled: Any, export: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, share: float
) -> None:
    """No room for one of the files that are opened for writing: the first, the last, and some between."""
    home = tmp_path / "out"
    shutil.copytree(export.folder.parent, home)
    before = contents(home)
    opened, left = Path.open, [1000]

    def full(self: Path, mode: str = "r", *rest: Any, **more: Any) -> Any:
        if home in self.parents and set(mode) & set("wxa"):
            left[0] -= 1
            if left[0] < 0:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(self))
        return opened(self, mode, *rest, **more)

    monkeypatch.setattr(Path, "open", full)
    hand_over(filled.build, filled.record, home)
    files = 1000 - left[0]
    assert files > 15
    left[0] = round(share * (files - 1))
    with pytest.raises(OSError, match="No space left"):
        hand_over(filled.build, filled.record, home)
    monkeypatch.undo()
    assert contents(home) == before
    assert not list(home.glob(".*"))
    assert verify(hand_over(filled.build, filled.record, home).folder).ok


@pytest.mark.parametrize("at", ["write", "fsync", "replace"])
def test_a_seal_is_the_old_one_or_the_new_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at: str) -> None:
    seal = tmp_path / "a.seal.txt"
    bag.write_whole(seal, "seal old\n")

    def full(*_: Any, **__: Any) -> Any:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        if at == "write":
            patch.setattr(Path, "open", full)
        else:
            patch.setattr(os, at, full)
        with pytest.raises(OSError, match="No space left"):
            bag.write_whole(seal, "seal new\n")
    assert contents(tmp_path) == {"a.seal.txt": b"seal old\n"}
    bag.write_whole(seal, "seal new\n")
    assert contents(tmp_path) == {"a.seal.txt": b"seal new\n"}


def test_the_seal_file_says_what_to_compare(export: Any) -> None:
    from hashlib import sha256

    lines = dict(line.split(maxsplit=1) for line in export.seal_file.read_text().splitlines())
    assert lines["seal"] == sha256((export.folder / "tagmanifest-sha256.txt").read_bytes()).hexdigest() == export.seal
    assert lines["zip"] == sha256(export.zip.read_bytes()).hexdigest()
    assert lines["head"] == export.head


def test_a_signature_that_fails_leaves_the_earlier_one(export: Any, tmp_path: Path) -> None:
    tool = shutil.which("ssh-keygen")
    if tool is None:
        pytest.skip("ssh-keygen is not here")
    key = tmp_path / "key"
    subprocess.run([tool, "-q", "-t", "ed25519", "-N", "", "-C", "", "-f", str(key)], check=True)
    seal = Path(shutil.copy(export.seal_file, tmp_path))
    made = sign(seal, key)
    before = made.read_bytes()
    key.write_text("no key at all\n")
    with pytest.raises(HandoverError, match="not signed"):
        sign(seal, key)
    assert made.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["key", "key.pub", seal.name, made.name]


def test_all_is_on_disk_before_it_has_its_name(filled: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    steps: list[str] = []
    replace = os.replace

    def named(source: Any, target: Any) -> None:
        steps.append(Path(target).suffix or "folder")
        replace(source, target)

    monkeypatch.setattr(os, "sync", lambda: steps.append("on disk"), raising=False)
    monkeypatch.setattr(os, "replace", named)
    hand_over(filled.build, filled.record, tmp_path / "out")
    assert steps[: steps.index(".zip")].count("on disk") == 1
    assert "folder" not in steps[: steps.index("on disk")]
