"""What a notebook may rely on: the same rule as the command's, row by row, also for what is worked out."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from restonb.bench import sheet
from restonb.bench.sheet import Sheet
from restonb.record import Record, enter_check, enter_disturb, enter_reading, enter_strike, in_force
from restonb.stated import Build

SPECS = """sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source
wheel,rim,rim at the side,clock 4,,,,,mm,dial,yes,book
wheel,run_out,run-out of the rim,run-out of rim,,,0.5,,mm,,,book
wheel,play,play of the bearing,repeat 3,,,0.1,,mm,feeler,,book
wheel,width,width of the hub,"axis A,B",,,60,,mm,calliper,,book
wheel,oval,difference over the hub,ovality of width,,,0.1,,mm,,,book
"""
INSTRUMENTS = """instrument,what,unit,resolution,error,expansion,last_check,source
feeler,feeler gauges,mm,0.001 mm,0.001 mm,,,data sheet
dial,dial indicator,mm,0.001 mm,0.001 mm,,,data sheet
calliper,calliper,mm,0.001 mm,0.001 mm,,,data sheet
"""
JOINTS = """
[joints.axle]
what = "axle"
[sheets]
wheel = ["axle"]
"""
CLOCK = ("12:00", "3:00", "6:00", "9:00")


@pytest.fixture
def build(tmp_path: Path) -> Build:
    made = Build.create(tmp_path / "machine", "Toy")
    for old in (made.folder / "specs").iterdir():
        old.unlink()
    (made.folder / "specs" / "brakes.csv").write_text(SPECS)
    (made.folder / "instruments.csv").write_text(INSTRUMENTS)
    (made.folder / "joints.toml").write_text(JOINTS)
    return Build.open(made.folder)


@pytest.fixture
def record(build: Build) -> Iterator[Record]:
    with Record.open(build) as opened:
        for position in CLOCK:
            enter_reading(opened, build, "wheel", "rim", position, "0.1")
        for position in ("1", "2", "3"):
            enter_reading(opened, build, "wheel", "play", position, "0.02")
        for position in ("A", "B"):
            enter_reading(opened, build, "wheel", "width", position, "50.00")
        yield opened


def words(build: Build) -> dict[str, str]:
    """Characteristic -> its word, the worst of its places."""
    found: Sheet = sheet("wheel", build)
    return {key: found.check(key).word for key in found.rows}


GOOD = {"rim": "no limit", "run_out": "inside", "play": "inside", "width": "inside", "oval": "inside"}
GONE = dict.fromkeys(GOOD, "not measured")


def test_a_spoiled_reading_spoils_what_is_worked_out_from_it(record: Record, build: Build) -> None:
    assert words(build) == GOOD
    seq = enter_disturb(record, build, "axle", "loosened").seq
    assert words(build) == GONE
    for position in CLOCK[:3]:
        enter_reading(record, build, "wheel", "rim", position, "0.1")
    assert words(build) == GONE, "a run-out of three places of four would say more than was measured"
    (row,) = sheet("wheel", build).check("run_out")
    assert (row.value, row.readings) == (None, ())
    assert "measure again: axle was disturbed" in row.note
    enter_reading(record, build, "wheel", "rim", CLOCK[3], "0.1")
    assert words(build) == GONE | {"rim": "no limit", "run_out": "inside"}
    enter_strike(record, seq, "it was not touched")
    assert words(build) == GOOD


def test_one_place_read_several_times_is_read_again_by_fewer(record: Record, build: Build) -> None:
    enter_disturb(record, build, "axle", "loosened")
    (row,) = sheet("wheel", build).check("play")
    assert "measure again: axle was disturbed" in row.note
    enter_reading(record, build, "wheel", "play", "1", "0.02")
    (row,) = sheet("wheel", build).check("play")
    assert (row.verdict, len(row.readings)) == ("inside", 1)


@pytest.mark.parametrize(
    ("gauge", "doubted"), [("dial", {"rim", "run_out"}), ("feeler", {"play"}), ("calliper", {"width", "oval"})]
)
def test_a_gauge_that_failed_its_check_puts_in_doubt_what_rests_on_it(
    record: Record, build: Build, gauge: str, doubted: set[str]
) -> None:
    seq = enter_check(record, build, gauge, False, "5 mm block shows 5.08").seq
    assert words(build) == GOOD | dict.fromkeys(doubted, "in doubt")
    rows = [row for row in sheet("wheel", build).check() if row.characteristic.key in doubted]
    assert all(f"{gauge} failed its check" in row.doubt for row in rows)
    assert sheet("wheel", build).check("rim", occasion="as found").word != "inside"
    enter_check(record, build, gauge, True)
    assert words(build) == GOOD | dict.fromkeys(doubted, "in doubt"), "a repair mends nothing that was measured before"
    enter_strike(record, seq, "the block was dirty")
    assert words(build) == GOOD


def test_what_is_outside_stays_outside_in_doubt(record: Record, build: Build) -> None:
    enter_reading(record, build, "wheel", "rim", CLOCK[0], "0.9")
    enter_check(record, build, "dial", False)
    assert words(build)["run_out"] == "outside"
    assert len(in_force(record, "wheel", "rim")) == 4
