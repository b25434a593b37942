"""Where a sheet stands is said first, and row by row: nothing that was spoiled or is in doubt looks good."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from restonb.handover import Handover, hand_over
from restonb.record import enter_check, enter_disturb, enter_joint, enter_readings
from tests.handover.conftest import Machine, file_run, start, step

GOOD = {"1": "0.03", "2": "0.01", "3": "0.02", "4": "0.02"}


@pytest.fixture
def machine(tmp_path: Path) -> Iterator[Machine]:
    """The gearbox on its plates, tightened, every gap inside; no note, no photograph."""
    made = start(tmp_path / "build")
    build, record, _ = made
    for joint in ("frame", "gearbox"):
        enter_joint(record, build, joint, "tightened", fasteners="all: 25 ft-lb" if joint == "gearbox" else ())
    enter_readings(record, build, "mounting", "gap", GOOD)
    enter_readings(record, build, "mounting", "bore", {"depth 5mm / axis A": "51.975"}, instrument="feeler")
    yield made
    record.close()


SETTLED = [step("settled", "All four feet rest", [["gap", f"foot {n}"] for n in range(1, 5)])]


def handed(machine: Machine, tmp_path: Path) -> tuple[Handover, dict[str, Any]]:
    made = hand_over(machine.build, machine.record, tmp_path / "out")
    return made, json.loads((made.folder / "data" / "report.json").read_text(encoding="utf-8"))


def section(report: Any, key: str) -> dict[str, Any]:
    if isinstance(report, list):
        return next((found for one in report if (found := section(one, key))), {})
    return report if report.get("key") == key else section(report["sections"], key)


def marks(part: Any) -> list[str]:
    """Every mark below a part, in order."""
    if isinstance(part, list):
        return [m for one in part for m in marks(one)]
    if not isinstance(part, dict):
        return []
    own = [part["mark"]] if part.get("mark") else []
    return own + [m for value in part.values() for m in marks(value)]


def rows_of(sheet: dict[str, Any]) -> list[str]:
    """The words of the rows that were measured."""
    table = next(b for b in sheet["blocks"] if b["kind"] == "table" and b["title"] == "Measured")
    at = [column["title"] for column in table["columns"]].index("Verdict")
    return [row[at]["text"] for row in table["rows"] if len(row) > 1]


def bullets(sheet: dict[str, Any], heading: str) -> list[tuple[str, str]]:
    blocks = [b for b in sheet["blocks"] if b["kind"] == "bullets" and b["title"] == heading]
    return [(item["mark"], item["text"]) for block in blocks for item in block["items"]]


def test_a_sheet_begins_with_its_word_what_was_found_and_what_to_do(machine: Machine, tmp_path: Path) -> None:
    steps = [*SETTLED, step("to do", "Paint it"), step("stop", "Do not ride it", safety=True)]
    file_run(machine, "mounting", steps)
    sheet = section(handed(machine, tmp_path)[1]["sections"], "sheet-mounting")
    assert (sheet["blocks"][0]["text"], sheet["blocks"][0]["mark"]) == ("Stop.", "stop")
    first = [b.get("title", "") for b in sheet["blocks"][:3]]
    assert first == ["", "Found", "What to do"]
    assert bullets(sheet, "What to do") == [
        ("stop", "stop: Do not ride it."), ("to do", "to do: Paint it."), ("settled", "settled: All four feet rest."),
    ]  # fmt: skip
    assert ("inside", "5 inside") in bullets(sheet, "Found")


def test_rows_of_a_sheet_whose_gauge_failed_are_in_doubt_one_by_one(machine: Machine, tmp_path: Path) -> None:
    file_run(machine, "mounting", SETTLED)
    before = handed(machine, tmp_path / "before")[1]
    assert set(rows_of(section(before["sections"], "sheet-mounting"))) == {"inside"}
    enter_check(machine.record, machine.build, "feeler", False, "gauge blocks")
    made, report = handed(machine, tmp_path / "after")
    sheet = section(report["sections"], "sheet-mounting")
    assert set(rows_of(sheet)) == {"in doubt"}
    assert sheet["blocks"][0]["mark"] == "in doubt"
    assert not {"inside", "settled"} & set(marks(sheet))
    assert bullets(sheet, "What to do")[0][0] == "in doubt"
    assert "in doubt" in made.html.read_text(encoding="utf-8")


def test_rows_that_a_loosened_joint_spoiled_are_to_be_measured_again(machine: Machine, tmp_path: Path) -> None:
    file_run(machine, "mounting", SETTLED)
    enter_disturb(machine.record, machine.build, "frame", "loosened", "bent lug")
    sheet = section(handed(machine, tmp_path)[1]["sections"], "sheet-mounting")
    assert set(rows_of(sheet)) == {"measure again"}
    assert not {"inside", "settled"} & set(marks(sheet))
    assert any("frame" in text.lower() for _, text in bullets(sheet, "Open"))


def test_a_result_of_the_old_format_is_shown_and_called_out_of_date(machine: Machine, tmp_path: Path) -> None:
    file_run(machine, "mounting", [step("settled", "All four feet rest")], old=True)
    sheet = section(handed(machine, tmp_path)[1]["sections"], "sheet-mounting")
    assert bullets(sheet, "Decided then") == [("", "All four feet rest.")]
    assert ("open", "Order the shims.") in bullets(sheet, "Open")
    assert "settled" not in marks(sheet)


def test_a_closing_word_of_a_sheet_that_is_settled_no_more_is_not_repeated(machine: Machine, tmp_path: Path) -> None:
    closing = step("settled", "It sits: ride on") | {"finding": "closing"}
    file_run(machine, "mounting", [*SETTLED, closing])
    enter_joint(machine.record, machine.build, "gearbox", "temporary", why="to see")
    report = handed(machine, tmp_path)[1]
    assert "ride on" not in json.dumps(report)


def test_the_front_page_counts_what_is_left_of_safety_matters(machine: Machine, tmp_path: Path) -> None:
    enter_readings(machine.record, machine.build, "mounting", "gap", {"1": "0.30"}, occasion="after rework")
    file_run(machine, "mounting", [step("stop", "Shim foot 1", [["gap", "foot 1"]], safety=True)])
    front = handed(machine, tmp_path)[1]["front"]["blocks"]
    state = next(b for b in front if b.get("tone") == "state")
    assert state["mark"] == "outside"
    groups = {b["title"]: [item["text"] for item in b["items"]] for b in front if b["kind"] == "bullets"}
    (outside,) = groups["Outside limits: 1"]
    assert "0.3" in outside
    assert outside.endswith("(safety)")
    assert "Sheets without a filed result: 2" in groups


def test_a_torque_over_its_plan_stands_in_the_joints_section_also_when_it_was_put_right(
    machine: Machine, tmp_path: Path
) -> None:
    build, record, _ = machine
    enter_joint(record, build, "gearbox", "tightened", fasteners="2: 40 ft-lb")
    report = handed(machine, tmp_path / "first")[1]
    joints = section(report["sections"], "joints")
    (row,) = over(joints)
    assert "40 ft-lb" in row[2]
    assert row[5] == "not put right"
    assert "torque" in marks(joints)
    items = [b for b in report["front"]["blocks"] if b["kind"] == "bullets"]
    assert any(b["title"].startswith("Torques that are not as planned") for b in items)
    enter_disturb(record, build, "gearbox", "loosened", "over-torqued")
    new = [{"position": str(n), "torque": "25 ft-lb", "new": True} for n in range(1, 5)]
    enter_joint(record, build, "gearbox", "tightened", fasteners=new)
    joints = section(handed(machine, tmp_path / "second")[1]["sections"], "joints")
    (row,) = over(joints)
    assert "40 ft-lb" in row[2]
    assert "new" in row[5]
    assert "torque" not in marks([b for b in joints["blocks"] if b["title"] != "Taken over their plan"])


def over(joints: dict[str, Any]) -> list[list[str]]:
    table = next(b for b in joints["blocks"] if b["title"] == "Taken over their plan")
    return [[cell["text"] for cell in row] for row in table["rows"]]


def test_the_tables_say_the_word_of_every_row_and_sheet(machine: Machine, tmp_path: Path) -> None:
    import csv

    file_run(machine, "mounting", SETTLED)
    enter_check(machine.record, machine.build, "feeler", False)
    made = handed(machine, tmp_path)[0]
    with (made.folder / "data" / "tables" / "verdicts.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["sheet"] == "mounting"]
    assert {row["word"] for row in rows} == {"in doubt"}
    assert {row["standing"] for row in rows} == {"in doubt"}
    assert {row["verdict"] for row in rows} == {"inside"}
