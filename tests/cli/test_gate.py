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


def gate_of(say: Callable) -> tuple[int, dict, str]:
    """Exit code, the gate as data, and the line on the screen."""
    said = say("status")
    (line,) = (x for x in said.out.splitlines() if x.startswith("ready for the road: "))
    assert say("status", "--json").code == said.code
    return said.code, say("status", "--json").data["gate"], line.removeprefix("ready for the road: ")


def test_a_new_build_is_not_ready_and_nothing_says_that_it_is(tmp_path: Path, say: Callable, monkeypatch) -> None:
    say("new", tmp_path / "mine")
    monkeypatch.chdir(tmp_path / "mine")
    code, gate, line = gate_of(say)
    assert (code, gate["ready"], gate["marked"]) == (1, False, False)
    assert line.startswith("nothing here says so")


def test_rows_that_are_not_marked_say_nothing_of_the_road(build: Path, say: Callable) -> None:
    spec = build / "specs" / "drivetrain.csv"
    spec.write_text(spec.read_text().replace("feeler,yes", "feeler,"))
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0")
    say("read", "toy", "lift", "0.1")
    say("run", "toy")
    assert "settled: toy" in say("status").out
    code, gate, line = gate_of(say)
    assert (code, gate["ready"], gate["marked"]) == (1, False, False)
    assert line.startswith("nothing here says so")
    assert not say("status", "--json").data["gates"]["drivetrain"]["ready"]


def test_a_safety_joint_speaks_once_it_is_entered_as_closed(build: Path, say: Callable) -> None:
    spec = build / "specs" / "drivetrain.csv"
    spec.write_text(HEAD)
    joints = build / "joints.toml"
    joints.write_text(joints.read_text().replace("[joints.mounting]", "[joints.mounting]\nsafety = true"))
    code, gate, line = gate_of(say)
    assert (code, line, gate["marked"]) == (1, "no", True)
    assert "mounting: no state was ever entered" in gate["blocking"]
    say("enter", "joint", "joint=mounting", "state=tightened", "fasteners=1: 24 N m; 2: 24 N m")
    code, gate, _ = gate_of(say)
    assert [line for line in gate["blocking"] if "mounting" in line] == []
    say("enter", "joint", "joint=mounting", "state=temporary", "why=short stud", "label=7")
    assert gate_of(say)[0] == 1


def test_nothing_that_was_filed_as_sentences_opens_the_road(build: Path, say: Callable) -> None:
    """Results of an older restonb are shown, and run again before they count."""
    say("read", "toy", "gap", "1=0", "2=0", "3=0", "4=0")
    say("run", "toy")
    assert gate_of(say)[0] == 0
    from restonb.record import Record, enter_run, runs
    from restonb.stated import Build

    with Record.open(Build.open(build)) as record:
        (run,) = runs(record)
        old = {k: v for k, v in run.filed.items() if k not in ("format", "steps", "rows_missing")}
        body = run._asdict() | {"filed": old | {"decision": ["In line, true and free."], "open": []}}
        enter_run(record, {k: v for k, v in body.items() if k not in ("seq", "at")})
    code, gate, _ = gate_of(say)
    assert code == 1
    assert gate["blocking"] == ["toy: out of date: filed by an older restonb, which kept only sentences: run it again"]
    (sheet,) = say("status", "--json").data["sheets"]
    assert sheet["word"] == "out of date"
    assert sheet["verdicts"] == {"inside": 4}
    assert say("run", "--stale").code == 0
    assert gate_of(say)[0] == 0
