"""Every bad input gets one line on stderr that says what to write instead, exit code 2, and enters nothing."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from restonb.record import Record


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["read", "toy", "gap", "5=0.1"], r"foot 1"),
        (["read", "toy", "gap", "1=-0.1"], r"cannot be negative: write 0 mm"),
        (["read", "toy", "gap", "1=0,25 mm"], r"0\.25"),
        (["read", "toy", "gap", "1=1 1/2 furlong"], r"furlong.*(mm|in)"),
        (["read", "toy", "gap", "1=3 N m"], r"mm"),
        (["read", "toy", "gap", "1=abc"], r"abc"),
        (["read", "toy", "gap", "0.1"], r"foot 1"),
        (["read", "toy", "gap", "1=0.1", "1=0.2"], r"given twice"),
        (["read", "toy", "gap", "=0.1"], r"POSITION=VALUE"),
        (["read", "toy", "gaps", "1=0.1"], r"gap"),
        (["read", "toys", "gap", "1=0.1"], r"toy"),
        (["read", "toy", "gap", "1=0.1", "--instrument", "feler"], r"feeler"),
        (["read", "toy", "gap", "1=0.1", "--temperature", "20 mm"], r"degC"),
        (["read", "--strike", "99", "--why", "x"], r"no entry 99"),
        (["read", "--strike", "1"], r"say why"),
        (["run", "toy", "-p", "pleis=2"], r"plies"),
        (["run", "toy", "-p", "plies=many"], r"whole number"),
        (["run", "toi"], r"toy"),
        (["run", "-p", "plies=2"], r"go to one template; name it"),
        (["run", "toy", "--all"], r"choose one"),
        (["run", "--stale", "--all"], r"choose one"),
        (["read", "toy", "gap", "1"], r"say where.*foot 1, foot 2, foot 3, foot 4"),
        (["read", "toy", "gap", ""], r"say where"),
        (["read", "toy", "gap", "1:0.05"], r"say where"),
        (["read", "toy", "gap", "1=0.1", "--occasion", "as fond"], r"did you mean 'as found'"),
        (["read", "--why", "x"], r"--strike 17"),
        (["read", "--strike", "x", "--why", "y"], r"'x' is not a whole number; write digits"),
        (["bench", "--port", "x"], r"'x' is not a whole number; write digits"),
        (["enter", "foto"], r"did you mean photo"),
        (["enter", "strike"], r"restonb read --strike"),
        (["enter", "photo", "file=instruments.csv"], r"not a whole picture"),
        (["enter", "usage", "value=12", "unit=furlong"], r"mile.*km.*h"),
        (["enter", "usage", "value=12 mm"], r"mile, km or h"),
        (["enter", "work", "what=cleaning", "hours=2,5"], r"decimal comma: write 2\.5"),
        (["enter", "part", "what=bolt", "state=wanted", "cost=12 EUR"], r"cost '12 EUR'.*currency=EUR"),
        (
            ["enter", "joint", "joint=mounting", "state=tightened", "fasteners=1: 24"],
            r"'24' has no unit: write it as '24 N m'",
        ),
        (["status", "--draw", "joints.png"], r"ends in \.svg"),
        (["status", "--draw", ""], r"ends in \.svg"),
        (["status", "--draw", "nowhere/joints.svg"], r"no folder nowhere; make it"),
        (["status", "-b", "build.toml"], r"build\.toml is a file; name the folder"),
        (["disturb", "mountin", "--ask"], r"mounting"),
        (["disturb", "mounting", "--what", "bent", "--ask"], r"loosened"),
        (["disturb", "mounting", "--yes"], r"say why"),
        (["enter", "joint", "joint=mounting"], r"needs state"),
        (["enter", "joint", "joint=mounting", "state=tight"], r"tightened"),
        (["enter", "check", "instrument=feeler", "good=perhaps"], r"yes or no"),
        (["enter", "joint", "joint=mounting", "state=tightened", "fasteners=24 N m"], r"has no position"),
        (["enter", "joint", "joint=mounting", "state=tightened", "fasteners=1: 24 mm"], r"torque"),
        (["enter", "joint", "joint=mounting", "state=tightened", "fasteners=3: 24 N m"], r"no fastener 3.*1 to 2"),
        (["enter", "work", "what=cleaning", "hours=-2"], r"hours cannot be -2"),
        (["enter", "part", "what=bolt", "quantity=-1", "state=wanted"], r"quantity cannot be -1"),
        (["calc", "fasteners.torqe", "preload=1"], r"fasteners\.torque"),
        (["calc", "nosuch.thing"], r"nosuch\.thing'; 'restonb calc' lists the families"),
        (["calc", "fasteners.torque", "preload=1 kN", "diametr=8"], r"diameter"),
        (["calc", "fasteners.torque", "preload=1 kN"], r"diameter"),
        (["calc", "fasteners.torque", "8"], r"key=value"),
        (["status", "--as-of", "yesterday"], r"2026-03-14|date"),
        (["handover", "--include", "cost"], r"costs"),
        (["verify", "nowhere"], r"nowhere"),
        (["verify", "specs"], r"specs is neither a bag nor a build"),
        (["new", "."], r"not empty"),
    ],
)
def test_one_line_that_says_what_to_write(build: Path, say: Callable, words: list[str], says: str) -> None:
    said = say(*words)
    assert said.code == 2
    assert len(said.err.strip().splitlines()) == 1
    assert "Traceback" not in said.err
    import re

    assert re.search(says, said.err), said.err
    with Record.open(build / "record.sqlite") as record:
        assert record.head() is None


def test_one_bad_value_among_good_ones_enters_none(build: Path, say: Callable) -> None:
    said = say("read", "toy", "gap", "1=0.1", "2=0,2")
    assert said.code == 2
    with Record.open(build / "record.sqlite") as record:
        assert record.head() is None


def test_missing_spec_file(build: Path, say: Callable) -> None:
    for path in (build / "specs").iterdir():
        path.unlink()
    said = say("read", "toy", "gap", "1=0.1")
    assert said.code == 2
    assert "specs" in said.err
    assert "sheet,characteristic" in said.err


def test_mistakes_in_a_spec_file_come_all_at_once_with_their_places(build: Path, say: Callable) -> None:
    path = build / "specs" / "drivetrain.csv"
    path.write_text(path.read_text().replace(",0,0.05,", ",0.2,0.05,").replace("once", "onse"))
    said = say("status")
    assert said.code == 2
    assert "drivetrain.csv:2" in said.err
    assert "drivetrain.csv:3" in said.err


def test_no_build_here(tmp_path: Path, say: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    said = say("status")
    assert said.code == 2
    assert "restonb new" in said.err


def test_unknown_command_is_one_line(say: Callable) -> None:
    said = say("staus")
    assert said.code == 2
    assert len(said.err.strip().splitlines()) == 1
