"""The gate: a job about safety holds without limits in the spec book, and a safety joint counts wherever it is relied on."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

HEAD = "sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source\n"


def test_a_job_about_safety_holds_without_rows(build: Path, say: Callable) -> None:
    path = build / "notebooks" / "drivetrain" / "toy.ipynb"
    notebook = json.loads(path.read_text())
    notebook["metadata"]["restonb"] = {"sheet": "ride", "safety": True}
    notebook["cells"][2]["source"] = (
        'from restonb import bench\nsheet = bench.sheet("ride")\nsheet.check("stop")\nsheet.decide("do not ride")\nsheet.file()'
    )
    (path.parent / "ride.ipynb").write_text(json.dumps(notebook))
    spec = build / "specs" / "drivetrain.csv"
    spec.write_text(spec.read_text().replace("feeler,yes", "feeler,"))
    assert say("run", "ride").code == 0
    said = say("status", "--why")
    assert said.code == 1
    assert "ride: stop: the spec book has no row for it" in said.out.split("ready for the road: no")[1]


def test_a_safety_joint_counts_in_every_subsystem_that_relies_on_it(build: Path, say: Callable) -> None:
    joints = build / "joints.toml"
    text = joints.read_text().replace("[joints.mounting]", "[joints.mounting]\nsafety = true")
    joints.write_text(text + '\nhalt = ["mounting"]\n')
    (build / "specs" / "brakes.csv").write_text(HEAD + "halt,drag,drag,once,,,5,,N,,,\n")
    say("enter", "joint", "joint=mounting", "state=temporary", "label=two nuts only")
    gates = say("status", "--json").data["gates"]
    for subsystem in ("brakes", "drivetrain"):
        assert any("mounting" in line for line in gates[subsystem]["blocking"])


def ride(build: Path) -> None:
    """A template about safety that looks for a row which the spec book does not have."""
    path = build / "notebooks" / "drivetrain" / "toy.ipynb"
    notebook = json.loads(path.read_text())
    notebook["metadata"]["restonb"] = {"sheet": "ride", "safety": True}
    notebook["cells"][2]["source"] = (
        'from restonb import bench\nsheet = bench.sheet("ride")\nsheet.expects(stop=("stop", "once", "m"))\n'
        'sheet.check("stop")\nsheet.file()'
    )
    (path.parent / "ride.ipynb").write_text(json.dumps(notebook))


def test_what_ran_on_nothing_is_not_said_to_stand_and_what_is_not_fitted_holds_nothing_up(
    build: Path, say: Callable
) -> None:
    ride(build)
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0")
    say("run", "toy", "ride")
    said = say("status", "--why")
    assert said.code == 1
    assert "to do, was run but nothing is measured yet: ride" in said.out
    identity = build / "build.toml"
    identity.write_text(identity.read_text().replace('rule = "prove"', 'rule = "prove"\nnot_fitted = ["ride", "toy"]'))
    said = say("status")
    assert said.code == 0
    assert "ride" not in said.out
    assert "to do: toy" in said.out  # it has rows, so it is there, and that is said
    assert "build.toml:9:1: found not_fitted = 'toy', which the spec book has rows for" in said.out


def test_all_templates_are_those_that_the_spec_book_has_rows_for(build: Path, say: Callable) -> None:
    ride(build)
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0")
    for path in build.glob("notebooks/**/toy.ipynb"):
        path.write_text(path.read_text().replace("sheet.check", "sheet.measure"))
    said = say("run", "--all", "--json")
    names = [one["template"] for one in said.data]
    assert "drivetrain/toy" in names
    assert "general/parts_list" in names  # it measures nothing
    assert not {"drivetrain/ride", "brakes/disc"} & set(names)


def test_a_row_of_ones_own_in_the_sheet_of_a_template_is_judged_and_filed(build: Path, say: Callable) -> None:
    path = build / "notebooks" / "drivetrain" / "toy.ipynb"
    path.write_text(
        path.read_text().replace("gaps = sheet", "sheet.expects(gap=('gap', 'feet 4', 'mm'))\\ngaps = sheet")
    )
    spec = build / "specs" / "drivetrain.csv"
    spec.write_text(spec.read_text() + "toy,play,play of the lever,once,,,1,,mm,feeler,yes,book\n")
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0")
    say("read", "toy", "play", "0.4")
    assert "5 inside" in say("run", "toy").out
    assert "no verdict was filed" not in say("status", "--why").out
    assert say("status").code == 0
    (page,) = build.glob("log/*/*/*.html")
    assert "Also in the spec book, and not worked on above" in page.read_text()
