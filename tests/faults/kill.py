"""Killing restonb at work with SIGKILL, and what must hold afterwards: nothing acknowledged is lost, the chain is
whole, nothing half made stands in a place of its own, and the next start works without repair."""

from __future__ import annotations

import hashlib
import json
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

from restonb.handover import hand_over
from restonb.handover import verify as verify_bag
from restonb.record import Record, enter_readings, runs, verify
from restonb.stated import Build

WORKER = Path(__file__).with_name("worker.py")
HEADER = "sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source\n"
FEET = {"1": "0.02", "2": "0.03", "3": "0", "4": "0.04"}
CELLS = ["size = 2  # mm, of the toy", "from restonb import bench\nbench.sheet('toy').file()"]


def toy_build(folder: Path) -> Build:
    """One sheet, one joint, one template of the person's own, and a few entries."""
    build = Build.create(folder, "Toy")
    for old in (folder / "specs").iterdir():
        old.unlink()
    (folder / "specs" / "drivetrain.csv").write_text(
        HEADER + "toy,gap,gap under foot,feet 4,,0,0.05,,mm,feeler,,data sheet\n"
    )
    (folder / "instruments.csv").write_text(
        "instrument,what,unit,resolution,error,expansion,last_check,source\nfeeler,feeler gauges,mm,0.01 mm,0.005 mm,,,data sheet\n"
    )
    (folder / "joints.toml").write_text(
        '[joints.mounting]\nwhat = "feet to the plates"\n[sheets]\ntoy = ["mounting"]\n'
    )
    write_notebook(build, "toy", *CELLS)
    build = Build.open(folder)
    with Record.open(build) as record:
        enter_readings(record, build, "toy", "gap", FEET)
    return build


def write_notebook(build: Build, name: str, *cells: str) -> None:
    def cell(i: int, source: str) -> dict[str, object]:
        tags = {"tags": ["parameters"]} if i == 0 else {}
        return {
            "cell_type": "code",
            "id": f"cell-{i}",
            "metadata": tags,
            "source": source,
            "outputs": [],
            "execution_count": None,
        }

    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    metadata = {"kernelspec": kernel, "restonb": {"sheet": name}}
    made = {
        "cells": [cell(i, s) for i, s in enumerate(cells)],
        "metadata": metadata,
        "nbformat": 4,
        "nbformat_minor": 5,
    }
    path = build.notebooks / "drivetrain" / f"{name}.ipynb"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(made))


def started(work: str, build: Build, *more: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, str(WORKER), work, str(build.folder), *more], stdout=subprocess.PIPE, text=True
    )


def killed(work: str, build: Build, patience: float, dice: random.Random) -> list[list[str]]:
    """Let it work, kill it at a random moment, and give what it acknowledged in whole lines."""
    process = started(work, build)
    assert process.stdout is not None
    said = [process.stdout.readline()]
    time.sleep(dice.uniform(0, patience))
    process.send_signal(signal.SIGKILL)
    said += process.communicate()[0].splitlines(keepends=True)
    return [line.split() for line in said if line.endswith("\n")]


def touches(work: str, build: Build) -> int:
    """How often that work touches a file, when nobody kills it."""
    said = started(work, build, "0").communicate()[0].splitlines()
    return int(said[-1].split()[1])


def died_at(work: str, build: Build, touch: int) -> list[list[str]]:
    """It kills itself there; what it acknowledged before."""
    process = started(work, build, str(touch))
    said = process.communicate()[0]
    assert process.returncode in (0, -signal.SIGKILL)
    return [line.split() for line in said.splitlines()]


def check(build: Build, said: list[list[str]]) -> None:
    """All that must hold after a kill. The next start is part of it: nothing is repaired before."""
    build = Build.open(build.folder)
    with Record.open(build) as record:
        check_entries(build, record, said)
        check_runs(build, record, said)
        count = sum(1 for _ in record.entries())
        enter_readings(record, build, "toy", "gap", FEET)
        assert sum(1 for _ in record.entries()) == count + 4
    found = verify(build.record_path)
    assert found.ok, found.faults
    check_exports(build)


def check_entries(build: Build, record: Record, said: list[list[str]]) -> None:
    for kind, *words in said:
        if kind in ("readings", "photo", "joint", "run"):
            for seq in words[:4] if kind == "readings" else words[:1]:
                assert record.entry(int(seq)) is not None, f"entry {seq} was acknowledged, and is lost"
    readings = list(record.entries("reading"))
    assert len(readings) % 4 == 0, "four feet are taken together or not at all"
    for photo in record.entries("photo"):
        kept = build.folder / photo.body["file"]
        assert hashlib.sha256(kept.read_bytes()).hexdigest() == photo.body["sha256"]


def check_runs(build: Build, record: Record, said: list[list[str]]) -> None:
    """What the record knows is there and whole; and so is every other folder that a person would find."""
    entered = {run.folder for run in runs(record)}
    assert {words[1] for kind, *words in said if kind == "run"} <= entered
    seen = {p.relative_to(build.folder).as_posix() for p in build.log.glob("*/*") if not p.name.startswith(".")}
    assert entered <= seen
    for folder in seen:
        names = sorted(p.suffix for p in (build.folder / folder).iterdir())
        assert names == [".html", ".ipynb"], folder
        for path in (build.folder / folder).iterdir():
            text = path.read_text()
            assert json.loads(text)["cells"] if path.suffix == ".ipynb" else text.rstrip().endswith("</html>")


def check_exports(build: Build) -> None:
    """Every bag and zip that a person would find is whole."""
    for path in build.handover.glob("[!.]*"):
        if path.is_dir() or path.suffix == ".zip":
            assert verify_bag(path).ok, str(verify_bag(path))


def entering(build: Build, dice: random.Random) -> None:
    check(build, killed("enter", build, 0.5, dice))


def running(build: Build, dice: random.Random) -> None:
    check(build, killed("run", build, 6.0, dice))


def filing(build: Build, dice: random.Random, last: int) -> None:
    check(build, died_at("file", build, dice.randint(1, last)))


def exporting(build: Build, dice: random.Random, last: int) -> None:
    check(build, died_at("export", build, dice.randint(1, last)))


def export_again(build: Build) -> None:
    """After whatever happened, an export works and is whole."""
    with Record.open(build) as record:
        done = hand_over(build, record)
    assert verify_bag(done.folder).ok
    assert verify_bag(done.zip).ok
