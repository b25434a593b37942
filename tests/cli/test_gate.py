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
