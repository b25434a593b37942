"""A tiny build: one gearbox on a frame, a wheel beside it, and a clock that stands still until it is told."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from restonb.record import Record, enter_joint, enter_reading, enter_readings, enter_run, in_force
from restonb.stated import Build

HEADER = "sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source\n"
SPECS = {
    "drivetrain": [
        'gearbox,gap,"gap under gearbox foot",feet 4,,,0.10,,mm,feeler,,"manual, 41"',
        'gearbox,lift,"movement when tightened",once,,-0.05,0.05,,mm,dial,,"manual, 41"',
        'chain,run,"length over links",links 20,,,,,mm,calliper,,"manual, 50"',
        'shaft,diameter,"shaft diameter",axis A,,19.98,20.00,,mm,calliper,,"manual, 60"',
        'shaft,worked,"ovality",ovality of diameter,,,0.01,,mm,,,"manual, 60"',
    ],
    "brakes": ['wheel,run_out,"rim run-out, side",clock 8,,,0.5,,mm,dial,yes,"manual, 70"'],
    "electrical": [
        'charging,voltage,"battery voltage at 3000 rpm",once,,13.8,14.4,,V,meter,,"manual, 80"',
        'charging,coil,"coil resistance",once,,1.5,2.0,,ohm,ohmmeter,,"manual, 80"',
    ],
}
JOINTS = """
[joints.frame]
what = "frame"
[joints.engine]
what = "engine to frame"
rests_on = ["frame"]
[joints.gearbox]
what = "gearbox to plates"
rests_on = ["engine"]
replace_on_removal = ["tab washers"]
retighten = "500 mile"
[[joints.gearbox.fasteners]]
what = "stud nut"
count = 4
torque = "24 N m"
replace_on_removal = true
[joints.cover]
what = "chain cover"
rests_on = ["gearbox"]
[[joints.cover.fasteners]]
what = "screw"
count = 6
torque = "5 N m"
[joints.axle]
what = "wheel axle"
safety = true

[sheets]
gearbox = ["gearbox"]
chain = ["cover"]
wheel = ["axle"]
"""
GAUGES = """instrument,what,unit,resolution,error,expansion,last_check,source
feeler,feeler gauge,mm,0.01 mm,0.01 mm,,,estimate
dial,dial indicator,mm,0.01 mm,0.02 mm,,,data sheet
calliper,digital calliper,mm,0.01 mm,0.03 mm,,,data sheet
meter,multimeter,V,0.01 V,0.05 V,,,data sheet
ohmmeter,"multimeter, ohms",ohm,0.1 ohm,0.1 ohm,,,data sheet
"""


class Clock:
    """Stands still; `days` moves it on."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def days(self, count: float) -> None:
        self.now += timedelta(days=count)


def write_build(folder: Path) -> Build:
    build = Build.create(folder, "Wrenfield 450")
    for old in (build.folder / "specs").iterdir():
        old.unlink()
    for name, rows in SPECS.items():
        (build.folder / "specs" / f"{name}.csv").write_text(HEADER + "\n".join(rows) + "\n")
    (build.folder / "joints.toml").write_text(JOINTS)
    (build.folder / "instruments.csv").write_text(GAUGES)
    return Build.open(build.folder)


@pytest.fixture
def build(tmp_path: Path) -> Build:
    return write_build(tmp_path / "machine")


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def record(build: Build, clock: Clock) -> Iterator[Record]:
    with Record.open(build, clock) as opened:
        yield opened


FEET = {"1": "0.05", "2": "0.05", "3": "0.05", "4": "0.05"}
CLOCK = dict.fromkeys(("12:00", "1:30", "3:00", "4:30", "6:00", "7:30", "9:00", "10:30"), "0.1")


def file_run(record: Record, build: Build, sheet: str, verdict: str = "inside", **more: Any) -> int:
    """File a run as a template would: what is in force, the head, the spec rows."""
    force = in_force(record, sheet)
    head = record.head()
    assert head is not None
    rows = [
        {
            "sheet": sheet,
            "characteristic": r.characteristic,
            "position": r.position,
            "value": r.value,
            "unit": r.unit,
            "verdict": verdict,
            "seq": r.seq,
            "instrument": r.instrument,
        }
        for r in force
    ]
    return enter_run(
        record,
        {
            "template": f"drivetrain/{sheet}",
            "sheet": sheet,
            "subsystem": "drivetrain",
            "state": "good",
            "head": {"seq": head.seq, "digest": head.digest},
            "seconds": 3.5,
            "spec": {row.key: build.specs.digest(row) for row in build.specs.sheet(sheet)},
            "filed": {"format": 2, "sheet": sheet, "steps": [], "verdicts": rows, "readings": [r.seq for r in force]},
            **more,
        },
    ).seq


@pytest.fixture
def run() -> Callable[..., int]:
    """Files a run as a template would."""
    return file_run


@pytest.fixture
def done(record: Record, build: Build) -> Record:
    """The gearbox measured, run and closed, and the wheel too."""
    for joint in ("frame", "engine", "gearbox", "cover", "axle"):
        enter_joint(record, build, joint, "tightened")
    enter_readings(record, build, "gearbox", "gap", FEET)
    enter_reading(record, build, "gearbox", "lift", "once", "0.01")
    enter_readings(record, build, "wheel", "run_out", CLOCK)
    file_run(record, build, "gearbox")
    file_run(record, build, "wheel")
    return record
