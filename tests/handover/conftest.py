"""A small machine with something of everything in its record: good and bad readings, rework, photographs with a
place in them, private notes, costs, addresses, and text that means harm."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from restonb.handover import Handover, hand_over
from restonb.record import (
    Record,
    enter_check,
    enter_disturb,
    enter_joint,
    enter_note,
    enter_part,
    enter_photo,
    enter_readings,
    enter_run,
    enter_strike,
    enter_usage,
    enter_work,
)
from restonb.stated import Build

HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    '#read("/etc/passwd") #panic("typst") $x^2$ `raw` @label <label>',
    '=HYPERLINK("http://example.org","click")',
    "../../../etc/passwd",
    "back\u202espace \x1b[31m bell\x07 null\x00 \u200b",
    "漢字 \U0001f3cd and a very" + "l" * 300 + "ong word",
)
PRIVATE = {
    "costs": "4711.25",
    "addresses": "7 Millrace Lane",
    "who": "Aunt Philippa",
    "private notes": "the lock code of the shed",
}
"""One telling text for each thing that stays at home."""

HEADER = "sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source\n"
FILES = {
    "specs/drivetrain.csv": HEADER
    + 'mounting,gap,"gap under foot",feet 4,,,0.10,,mm,feeler,yes,"notes, p. 41"\n'
    + 'mounting,bore,"bore of the housing",depth 5mm x axis A,,51.96,51.99,,mm,calliper,,"notes, p. 42"\n'
    + 'chain,length,"length over links",links 20,,317.5,,,mm,calliper,,\n',
    "specs/brakes.csv": HEADER + 'disc,run_out,"disc run-out",clock 8,,,0.15,,mm,dial,yes,"notes, p. 70"\n',
    "instruments.csv": "instrument,what,unit,resolution,error,expansion,last_check,source\n"
    + "feeler,feeler gauges,mm,0.01,0.005,,2025-10-04,data sheet\n"
    + "calliper,digital calliper,mm,0.01,0.03,,,data sheet\n"
    + "dial,dial indicator,mm,0.01,0.012,,,data sheet\n",
    "joints.toml": """
[joints.frame]
what = "frame"
[joints.gearbox]
what = "gearbox to plates"
rests_on = ["frame"]
subsystem = "drivetrain"
[[joints.gearbox.fasteners]]
what = "stud nut"
count = 4
thread = "3/8-26 BSCyc"
torque = "25 ft-lb"
source = "notes, p. 30"
[sheets]
mounting = ["gearbox"]
""",
    "build.toml": f"""
name = "Wrenfield 450"
rule = "prove"
[machine]
make = "Wrenfield (invented)"
year = 1971
owner = "{PRIVATE["who"]}"
address = "{PRIVATE["addresses"]}"
[units]
length = "mm"
""",
}


class Machine(NamedTuple):
    build: Build
    record: Record
    clock: Clock


class Clock:
    """Every entry a minute after the one before."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 14, 9, 0, tzinfo=timezone(timedelta(hours=1)))

    def __call__(self) -> datetime:
        self.now += timedelta(minutes=1)
        return self.now


def jpeg(path: Path, size: tuple[int, int] = (400, 200), orientation: int = 6) -> Path:
    """A picture with its left half red, its place and camera in the file, lying on its side."""
    from PIL import Image

    picture = Image.new("RGB", size, (20, 20, 200))
    picture.paste((200, 20, 20), (0, 0, size[0] // 2, size[1]))
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = "SecretCamera"
    place = exif.get_ifd(0x8825)
    place[1], place[2], place[3], place[4] = "N", (52.0, 31.0, 12.0), "E", (13.0, 24.0, 36.0)
    picture.save(path, exif=exif, quality=90)
    return path


def start(folder: Path) -> Machine:
    """The build with nothing entered yet."""
    build = Build.create(folder, "Wrenfield 450")
    for file in (folder / "specs").glob("*.csv"):
        file.unlink()
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8")
    build = Build.open(folder)
    clock = Clock()
    return Machine(build, Record.open(build, clock=clock), clock)


def fill(machine: Machine) -> None:
    """The story: measured, reworked, taken apart again."""
    build, record, _ = machine
    enter_note(record, build, f"{PRIVATE['private notes']} is 1234", private=True)
    for text in HOSTILE:
        enter_note(record, build, text, sheet="mounting")
    enter_usage(record, "31462", "mile")
    enter_joint(record, build, "gearbox", "dry-fitted")
    enter_readings(record, build, "mounting", "gap", {"1": "0.28", "2": "0", "3": "0.02", "4": "0.09"})
    enter_readings(record, build, "mounting", "bore", {"depth 5mm / axis A": "51.975"})
    wrong = enter_readings(record, build, "disc", "run_out", {"12:00": "0.9"})
    enter_strike(record, wrong[0].seq, "dial slipped")
    enter_joint(record, build, "gearbox", "tightened", fasteners=[
        {"position": str(n), "torque": "25 ft-lb", "treatment": "threadlocker", "new": True} for n in range(1, 5)
    ])  # fmt: skip
    enter_readings(record, build, "mounting", "gap", {"1": "0.03", "2": "0.01", "3": "0.02", "4": "0.02"},
                   occasion="after rework")  # fmt: skip
    enter_work(record, build, "housing bored", who=PRIVATE["who"], where=PRIVATE["addresses"],
               cost=PRIVATE["costs"], currency="GBP", state="sent", sheet="mounting")  # fmt: skip
    enter_part(record, build, HOSTILE[3], "ordered", quantity=2, cost=PRIVATE["costs"], currency="GBP")
    enter_check(record, build, "feeler", True, "micrometer")
    photo = jpeg(build.folder / "shot.jpg")
    enter_photo(record, build, photo, HOSTILE[0], "mounting", "foot 1")
    photo.unlink()
    file_run(machine, "mounting")
    enter_disturb(record, build, "gearbox", "loosened", "a stud wept")


def step(state: str, text: str, about: list[list[str]] | None = None, safety: bool = False) -> dict[str, Any]:
    """A step as it is filed."""
    return {"state": state, "finding": "x", "text": text, "about": about or [], "values": {}, "safety": safety}


STEPS = [step("settled", "shim of 0.25 mm under foot 1", [["gap", "foot 1"]]), step("to do", HOSTILE[2])]


def file_run(machine: Machine, sheet: str, steps: list[dict[str, Any]] | None = None, old: bool = False) -> None:
    """A run as the log files it, judged by the measuring room; with `old`, as it was filed before decisions were steps."""
    from restonb.measure import check
    from restonb.record import in_force

    build, record, _ = machine
    head = record.head()
    assert head is not None
    readings = in_force(record, sheet)
    verdicts: list[dict[str, Any]] = []
    for one in build.specs.sheet(sheet):
        verdicts += check(one, readings, build.instruments, build.rule).as_data()
    folder = f"log/2026-03-14/{sheet}"
    (build.folder / folder).mkdir(parents=True, exist_ok=True)
    said = STEPS if steps is None else steps
    decided: dict[str, Any] = {"decision": [step["text"] for step in said], "open": ["order the shims"]}
    if not old:
        decided = {"format": 2, "steps": said, "rows_missing": [], "open": []}
    (build.folder / folder / f"{sheet}.ipynb").write_text(
        '{"cells": [], "metadata": {"papermill": {"input_path": "HOME"}}, "nbformat": 4, "nbformat_minor": 5}'
        .replace("HOME", str(build.folder)), encoding="utf-8",
    )  # fmt: skip
    enter_run(record, {
        "template": f"drivetrain/{sheet}", "sheet": sheet, "subsystem": "drivetrain", "state": "good",
        "head": {"seq": head.seq, "digest": head.digest}, "folder": folder,
        "spec": {one.key: build.specs.digest(one) for one in build.specs.sheet(sheet)},
        "filed": {
            "sheet": sheet, "verdicts": verdicts, **decided,
            "numbers": {"shim": {"value": 0.25, "unit": "mm", "what": "shim under foot 1"}},
            "readings": [r.seq for r in readings], "cautions": ["support the gearbox first"],
        },
    })  # fmt: skip


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Machine]:
    machine = start(tmp_path / "build")
    yield machine
    machine.record.close()


@pytest.fixture(scope="session")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Machine]:
    """The whole story. Tests that add to it take a copy."""
    machine = start(tmp_path_factory.mktemp("machine") / "build")
    fill(machine)
    yield machine
    machine.record.close()


@pytest.fixture(scope="session")
def export(filled: Machine, tmp_path_factory: pytest.TempPathFactory) -> Handover:
    """What is handed over when nothing is asked for."""
    return hand_over(filled.build, filled.record, tmp_path_factory.mktemp("out"))


@pytest.fixture(scope="session")
def whole_export(filled: Machine, tmp_path_factory: pytest.TempPathFactory) -> Handover:
    """What is handed over when everything is asked for."""
    include = ["addresses", "costs", "gps", "private notes", "who"]
    return hand_over(filled.build, filled.record, tmp_path_factory.mktemp("out"), include=include)


@pytest.fixture
def bag(export: Handover, tmp_path: Path) -> Path:
    """A copy of the bag to spoil."""
    return shutil.copytree(export.folder, tmp_path / export.folder.name)


@pytest.fixture(scope="session")
def hostile() -> tuple[str, ...]:
    return HOSTILE


@pytest.fixture(scope="session")
def private() -> dict[str, str]:
    return PRIVATE


@pytest.fixture(scope="session")
def fresh() -> Callable[[Path], Machine]:
    """A machine of one's own, with the whole story."""

    def made(folder: Path) -> Machine:
        machine = start(folder)
        fill(machine)
        return machine

    return made
