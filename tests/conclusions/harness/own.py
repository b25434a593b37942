"""A build of a new user's own: made by `restonb new`, its starter rows filled in from the good cases of all templates."""

from __future__ import annotations

import csv
import io
import re
import tomllib
from collections.abc import Iterable, Mapping
from contextlib import redirect_stdout
from pathlib import Path
from typing import Any

from harness.case import DAY, Case, enter_case, gauge_for, toml
from restonb.cli.main import main
from restonb.measure.positions import derived
from restonb.record import Record
from restonb.stated import Build
from restonb.stated.instruments import INSTRUMENT_COLUMNS
from restonb.stated.specs import SPEC_COLUMNS

__all__ = ["filled_in", "gauge_name", "made", "open_record", "said"]

JOINTS = """
[joints.front_axle]
what = "front axle in the fork ends"
safety = true
[[joints.front_axle.fasteners]]
what = "axle nut"
count = 1
torque = "65 N m"
source = "my manual, page 70"

[joints.gearbox_feet]
what = "gearbox to engine plates"
[[joints.gearbox_feet.fasteners]]
what = "stud nut"
count = 4
torque = "24 N m"
source = "my manual, page 41"

[sheets]
wheels = ["front_axle"]
brake_check = ["front_axle"]
gearbox_mounting = ["gearbox_feet"]
"""
CLOSED = {"front_axle": "65 N m", "gearbox_feet": "24 N m"}
"""Joints of the build's own, and the torque that each of their fasteners is given."""


def open_record(build: Build) -> Record:
    return Record.open(build, clock=lambda: DAY)


def said(*words: str | Path) -> tuple[int, str]:
    """A command: its exit code, and what it prints."""
    out = io.StringIO()
    with redirect_stdout(out):
        code = main([str(word) for word in words])
    return code, out.getvalue()


def made(folder: Path, cases: Iterable[Case]) -> Build:
    """The build, with everything stated and entered, and nothing run."""
    assert said("new", folder, "--name", "My 1971 twin")[0] == 0
    cases = list(cases)
    filled_in(folder, cases)
    build = Build.open(folder)
    with open_record(build) as record:
        for case in cases:
            enter_case(record, build, case)
    for joint, torque in CLOSED.items():
        count = sum(f.count for f in build.joints.get(joint).fasteners)
        fasteners = "; ".join(f"{n}: {torque}" for n in range(1, count + 1))
        done = said("enter", "joint", f"joint={joint}", "state=final", f"fasteners={fasteners}", "-b", folder)
        assert done[0] == 0, done[1]
    return build


def gauge_name(sheet: str, key: str) -> str:
    return f"of_{sheet}_{key}"


def filled_in(folder: Path, cases: Iterable[Case]) -> None:
    """Takes the '# ' from the starter rows that the cases have, and writes limits, gauges, joints and parameters."""
    wanted: dict[tuple[str, str], tuple[Case, Mapping[str, str]]] = {}
    joints, gauges = tomllib.loads(JOINTS), []
    parameters = []
    for case in cases:
        wanted |= {(row.get("sheet") or case.sheet, row["characteristic"]): (case, row) for row in case.rows}
        gauges += case.gauges
        parameters.append(
            f"\n[parameters.{case.sheet}]\n" + "".join(f"{k} = {toml(v)}\n" for k, v in case.parameters.items())
        )
        own = tomllib.loads(case.joints)
        joints["joints"] |= own.get("joints", {})
        for sheet, relied in own.get("sheets", {}).items():
            joints["sheets"][sheet] = list(dict.fromkeys([*joints["sheets"].get(sheet, []), *relied]))
    files = {path: path.read_text(encoding="utf-8").splitlines() for path in (folder / "specs").glob("*.csv")}
    where: dict[str, Path] = {}
    for path, lines in files.items():
        for n, line in enumerate(lines):
            cells = next(csv.reader([line[2:]])) if re.match(r"# [a-z_0-9]+,[a-z_0-9]+,", line) else []
            if len(cells) == len(SPEC_COLUMNS) and (found := wanted.pop((cells[0], cells[1]), None)):
                starter = dict(zip(SPEC_COLUMNS, cells, strict=True))
                lines[n] = _row({**starter, **_limits(*found)})
                where[cells[0]] = path
    for (sheet, _), (case, row) in wanted.items():  # rows of a person's own
        path = where.get(sheet) or folder / "specs" / f"{case.template.partition('/')[0]}.csv"
        what = {"sheet": sheet, "what": row["what"], "characteristic": row["characteristic"], "unit": row["unit"]}
        files[path].append(_row({**what, "safety": row.get("safety", ""), **_limits(case, row)}))
    for path, lines in files.items():
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    for case in cases:
        gauges += [_gauge(row, case) for row in case.rows if not _no_gauge(row)]
    text = "".join(
        _cells([gauge.get(column, "") for column in INSTRUMENT_COLUMNS])
        for gauge in {g["instrument"]: g for g in gauges}.values()
    )
    _append(folder / "instruments.csv", text)
    _append(folder / "build.toml", "".join(parameters))
    lines = [
        f"[joints.{key}]\n" + "".join(f"{k} = {toml(v)}\n" for k, v in joint.items())
        for key, joint in joints["joints"].items()
    ]
    sheets = "".join(f"{sheet} = {toml(relied)}\n" for sheet, relied in joints["sheets"].items())
    (folder / "joints.toml").write_text("\n".join(lines) + f"\n[sheets]\n{sheets}", encoding="utf-8")


def _no_gauge(row: Mapping[str, str]) -> bool:
    return bool(row.get("instrument") or derived(row["positions"]) or row["unit"] == "date")


def _gauge(row: Mapping[str, str], case: Case) -> dict[str, str]:
    return {**gauge_for(row, case), "instrument": gauge_name(row.get("sheet") or case.sheet, row["characteristic"])}


def _limits(case: Case, row: Mapping[str, str]) -> dict[str, str]:
    """What a person writes into a starter row: how many there are, the limits, the gauge, the page."""
    stated = {column: row.get(column, "") for column in ("positions", "nominal", "lower", "upper", "wear_limit")}
    gauge = row.get("instrument") or (
        "" if _no_gauge(row) else gauge_name(row.get("sheet") or case.sheet, row["characteristic"])
    )
    return {**stated, "instrument": gauge, "source": "my manual, page 12"}


def _row(row: Mapping[str, Any]) -> str:
    return _cells([row.get(column, "") for column in SPEC_COLUMNS]).rstrip("\n")


def _cells(cells: list[str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow(cells)
    return out.getvalue()


def _append(path: Path, text: str) -> None:
    path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")
