"""A build whose record is not there: nothing is made up in its place, and nothing that never was a record is judged."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

ASKING = (
    ("status",),
    ("status", "--tree"),
    ("verify",),
    ("handover", "--preview"),
    ("disturb", "mounting", "--ask"),
    ("read", "toy"),
)


@pytest.mark.parametrize("words", ASKING, ids=" ".join)
def test_what_only_asks_begins_no_record(build: Path, say: Callable, words: tuple[str, ...]) -> None:
    (build / "record.sqlite").unlink()
    said = say(*words)
    assert said.code == 2
    assert "no record in" in said.err
    assert not list(build.glob("record*"))
    assert say("read", "toy", "gap", "1=0").code == 0
    assert say(*words).code in (0, 1)


def test_a_lost_record_is_not_begun_anew_beside_its_log(build: Path, say: Callable) -> None:
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0")
    assert say("run", "toy").code == 0
    for left in build.glob("record*"):
        left.unlink()
    for words in (*ASKING, ("read", "toy", "gap", "1=0"), ("enter", "note", "text=x"), ("run", "toy")):
        said = say(*words)
        assert said.code == 2
        assert "its log holds runs" in said.err
    assert not list(build.glob("record*"))


def test_a_file_that_never_was_a_record_is_not_called_altered(build: Path, say: Callable) -> None:
    (build / "letter.txt").write_text("Dear reader")
    said = say("verify", "letter.txt")
    assert said.code == 2
    assert "letter.txt is not a record, bag or zip" in said.err
    for name in ("record.sqlite", "bag.zip"):  # by its name it was one
        (build / name).write_bytes(b"Dear reader")
        assert say("verify", name).code == 1


def test_mistakes_of_all_files_are_told_at_once(build: Path, say: Callable) -> None:
    joints, spec = build / "joints.toml", build / "specs" / "drivetrain.csv"
    joints.write_text(joints.read_text().replace('["frame"]', '["frme"]'))
    spec.write_text(spec.read_text().replace("feeler,yes", "feler,yes"))
    said = say("status")
    assert said.code == 2
    assert "joints.toml:" in said.err
    assert "specs/drivetrain.csv:" in said.err


def test_what_is_accepted_but_worth_a_look_is_shown(build: Path, say: Callable) -> None:
    joints = build / "joints.toml"
    joints.write_text(joints.read_text() + 'tyo = ["mounting"]\n')
    out = say("status").out
    assert "worth a look in your files:\n  joints.toml:" in out
    assert "'toy'" in out
