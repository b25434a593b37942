"""Builds for the tests of templates: the demo's with the readings of one sheet only, and an empty one."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Callable
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from restonb import log
from restonb import record as room
from restonb.measure import Characteristic, Verdict, Verdicts
from restonb.record import Record, Run
from restonb.stated import Build, shipped

DEMO = shipped("data_demo")


@pytest.fixture(scope="session")
def play(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], tuple[Build, list[Run]]]:
    """A function: sheet -> the demo's build, and the runs of that sheet that its story tells of."""
    return cache(lambda sheet: played(tmp_path_factory.mktemp("story") / sheet, sheet))


@pytest.fixture(scope="session")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Run]:
    """A function: template -> its run on a build of which nothing is known."""

    def run_on_nothing(template: str) -> Run:
        build = Build.create(tmp_path_factory.mktemp("empty") / "build", "Empty")
        with Record.open(build) as record:
            return log.run(build, record, template)

    return cache(run_on_nothing)


@pytest.fixture(scope="session")
def judged() -> Callable[..., Verdicts]:
    """A function: verdict words by position -> verdicts, for decisions."""

    def verdicts(
        what: str = "gap",
        unit: str = "mm",
        lower: float | None = None,
        upper: float | None = None,
        value: float | None = None,
        **words: str,
    ) -> Verdicts:
        c = Characteristic("sheet", what.replace(" ", "_"), what, "once", unit, lower=lower, upper=upper)
        return Verdicts(tuple(Verdict(c, place.replace("_", " "), word, value) for place, word in words.items()))

    return verdicts


@pytest.fixture
def small(tmp_path: Path) -> Callable[..., Run]:
    """A function: template, rows of its sheet ('name,positions,lower,upper,unit'), readings, parameters -> its run."""

    def run_on_these(template: str, rows: str, readings: dict[str, Any], **parameters: Any) -> Run:
        sheet = template.rpartition("/")[2]
        build = Build.create(tmp_path / f"build-{len(list(tmp_path.iterdir()))}", "Small")
        spec = ["sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source"]
        for line in rows.strip().splitlines():
            left, *limits, unit = line.rsplit(",", 3)
            name, _, at = left.partition(",")
            spec.append(f'{sheet},{name},{name.replace("_", " ")},"{at}",,{",".join(limits)},,{unit},,,a manual')
        (build.folder / "specs" / "drivetrain.csv").write_text("\n".join(spec) + "\n")
        build = Build.open(build.folder)
        with Record.open(build) as record:
            for characteristic, values in readings.items():
                room.enter_readings(record, build, sheet, characteristic, values)
            return log.run(build, record, template, parameters)

    return run_on_these


def played(folder: Path, sheet: str) -> tuple[Build, list[Run]]:
    """The build in `folder`, and the runs of the sheet that the story tells of."""
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("story", "README.md"))
    build, runs, now = Build.open(folder), [], datetime.min
    with Record.open(build, clock=lambda: now) as record:
        for path in sorted((DEMO / "story").glob("*.toml")):
            for event in tomllib.loads(path.read_text(encoding="utf-8"))["event"]:
                now, kind = event.pop("at"), event.pop("kind")
                if kind == "run":
                    if event["template"].endswith(f"/{sheet}"):
                        runs.append(log.run(build, record, event["template"], event.get("parameters")))
                else:
                    _enter(build, record, sheet, kind, event)
    return build, runs


def _enter(build: Build, record: Record, sheet: str, kind: str, event: dict[str, Any]) -> None:
    """What bears on the sheet: its readings, what was struck of them, the joints, and the odometer."""
    if kind == "reading" and event.pop("sheet") == sheet:
        room.enter_readings(record, build, sheet, event.pop("characteristic"), event.pop("values"), **event)
    elif kind == "strike" and event["of"]["sheet"] == sheet:
        of = event["of"]
        found = [r for r in room.readings(record, sheet, of["characteristic"]) if r.position == of["position"]]
        room.enter_strike(record, found[-1].seq, event["why"])
    elif kind == "usage":
        room.enter_usage(record, **event)
    elif kind == "disturb":
        room.enter_disturb(record, build, **event)
    elif kind == "joint":
        event.pop("each", None), event.pop("fasteners", None)
        room.enter_joint(record, build, **event)
