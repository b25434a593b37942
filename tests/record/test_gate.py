"""Ready for the road or not, with every reason; and round after round side by side."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import pytest

from restonb.record import (
    Record,
    compare_runs,
    enter_check,
    enter_disturb,
    enter_joint,
    enter_note,
    enter_part,
    enter_reading,
    enter_readings,
    enter_strike,
    enter_work,
    in_force,
    standing,
)
from restonb.record.stands.gate import NOTHING_SAYS_SO
from restonb.record.stands.left import worst_word
from restonb.stated import Build
from restonb.words import fold
from restonb.words import listed_places as listed

CLOCK = dict.fromkeys(("12:00", "1:30", "3:00", "4:30", "6:00", "7:30", "9:00", "10:30"), "0.1")
Run = Callable[..., int]


# -- the gate ----------------------------------------------------------------------------------------------


def test_only_what_is_marked_safety_blocks(done: Record, build: Build) -> None:
    found = standing(done, build)
    assert found.gate.ready
    assert found.gate.blocking == ()
    assert any(text.startswith("chain: not run") for text in found.gate.others)
    assert "not a certificate of roadworthiness" in found.gate.statement
    assert found.gates["brakes"].ready
    assert found.gates["brakes"].marked
    assert not found.gates["electrical"].marked
    enter_disturb(done, build, "gearbox", "removed")
    assert standing(done, build).gate.ready, "the gearbox is not marked safety"


@pytest.mark.parametrize(
    ("spoil", "why"),
    [
        (lambda r, b, run: enter_disturb(r, b, "axle", "loosened"), "axle has been temporary"),
        (
            lambda r, b, run: enter_joint(r, b, "axle", "temporary", "short spacer"),
            "axle has been temporary .*: short spacer",
        ),
        (lambda r, b, run: enter_joint(r, b, "axle", "final", waiting="cure"), "is curing"),
        (lambda r, b, run: enter_check(r, b, "dial", False), "wheel: in doubt: dial failed"),
        (
            lambda r, b, run: enter_reading(r, b, "wheel", "run_out", "6:00", "0.2"),
            "wheel: out of date: newer readings",
        ),
        (lambda r, b, run: run(r, b, "wheel", "outside"), r"wheel: run_out \(12:00, .*6:00, .*10:30\): outside"),
        (
            lambda r, b, run: run(r, b, "wheel", "too close to call"),
            r"wheel: run_out \(.*6:00, .*\): too close to call",
        ),
        (lambda r, b, run: run(r, b, "wheel", filed={"format": 2}), "wheel: run_out: no verdict was filed"),
        (lambda r, b, run: enter_part(r, b, "split pin", "ordered", joint="axle"), "1 x split pin: ordered"),
        (lambda r, b, run: enter_work(r, b, "true", state="sent", sheet="wheel"), "true: sent out"),
        (lambda r, b, run: enter_strike(r, in_force(r, "wheel")[0].seq, "a"), "wheel: out of date: readings .* struck"),
    ],
)
def test_whatever_is_open_for_safety_blocks(done: Record, build: Build, run: Run, spoil: Any, why: str) -> None:
    assert standing(done, build).gate.ready
    spoil(done, build, run)
    found = standing(done, build)
    assert not found.gate.ready
    assert any(re.search(why, text) for text in found.gate.blocking), found.gate.blocking
    assert not found.gates["brakes"].ready
    assert not found.gates["electrical"].marked


def test_what_has_no_limit_blocks_where_it_is_about_safety(done: Record, build: Build, run: Run) -> None:
    rows = [{"characteristic": "run_out", "position": p, "verdict": "no limit"} for p in CLOCK]
    filed = {"format": 2, "verdicts": rows, "readings": [r.seq for r in in_force(done, "wheel")]}
    run(done, build, "wheel", filed=filed)
    gate = standing(done, build).gate
    assert any(re.search(r"run_out \(.*6:00.*\): marked safety, but no limit is given", t) for t in gate.blocking)


STEP = {"finding": "x.y", "text": "order a spacer", "about": [], "values": {}, "safety": False}


@pytest.mark.parametrize("state", ["to do", "not known", "stop", "settled"])
@pytest.mark.parametrize("safety", [True, False])
def test_an_open_step_keeps_the_sheet_open_and_blocks_where_it_is_about_safety(
    done: Record, build: Build, run: Run, state: str, safety: bool
) -> None:
    run(done, build, "gearbox")
    filed = standing(done, build).sheets["gearbox"].run.filed
    run(done, build, "gearbox", filed={**filed, "steps": [STEP | {"state": state, "safety": safety}]})
    found = standing(done, build)
    sheet = found.sheets["gearbox"]
    blocks = safety and state != "settled"
    assert worst_word(one for one in sheet.left if one.kind != "end") == state  # its torques were never entered
    assert ("gearbox: order a spacer" in found.gate.blocking) == blocks
    assert [(one.word, one.safety) for one in sheet.left if one.kind == "step"] == (
        [(state, safety)] if state != "settled" else []
    )


def test_a_step_that_says_only_what_its_rows_say_stands_once(done: Record, build: Build, run: Run) -> None:
    run(done, build, "wheel", "outside")
    filed = standing(done, build).sheets["wheel"].run.filed
    about = [["run_out", p] for p in CLOCK]
    for state, steps in (("to do", 0), ("stop", 1)):
        run(done, build, "wheel", filed={**filed, "steps": [STEP | {"state": state, "about": about, "safety": True}]})
        found = standing(done, build).sheets["wheel"]
        assert found.word == ("stop" if steps else "outside")
        assert len([one for one in found.left if one.kind == "step"]) == steps
        assert all(one.safety for one in found.left)


def test_a_place_read_since_the_run_is_not_called_not_measured(record: Record, build: Build, run: Run) -> None:
    enter_joint(record, build, "axle", "final")
    rows = [{"characteristic": "run_out", "position": p, "verdict": "not measured"} for p in CLOCK]
    run(record, build, "wheel", filed={"format": 2, "verdicts": rows})
    assert "wheel: run_out (12:00, 1:30, 3:00, 4:30, 6:00, 7:30, 9:00, 10:30): not measured" in blocking(record, build)
    enter_readings(record, build, "wheel", "run_out", {"12:00": "0.1", "6:00": "0.1"})
    found = blocking(record, build)
    assert "wheel: run_out (12:00, 6:00): read since it was run, so run it again" in found
    assert "wheel: run_out (1:30, 3:00, 4:30, 7:30, 9:00, 10:30): not measured" in found
    run(record, build, "wheel")
    assert not any("run it again" in text for text in blocking(record, build))


def test_a_reading_that_the_run_saw_and_did_not_take_leaves_it_not_measured(
    record: Record, build: Build, run: Run
) -> None:
    """A run may judge one occasion only."""
    enter_readings(record, build, "wheel", "run_out", CLOCK, occasion="as found")
    rows = [{"characteristic": "run_out", "position": p, "verdict": "not measured"} for p in CLOCK]
    run(record, build, "wheel", filed={"format": 2, "verdicts": rows})
    assert any(text.endswith("10:30): not measured") for text in blocking(record, build))


def test_repeats_and_what_is_worked_out_are_told_by_their_readings(record: Record, build: Build, run: Run) -> None:
    path = build.folder / "specs" / "brakes.csv"
    more = "wheel,play,play,repeat 3,,,1,,mm,dial,yes,m\nwheel,spread,spread,ovality of run_out,,,1,,mm,,yes,m\n"
    path.write_text(path.read_text() + "\n" + more)
    build = Build.open(build.folder)
    rows = [
        {"characteristic": "play", "position": "mean of 3", "verdict": "not measured"},
        {"characteristic": "spread", "position": "once", "verdict": "not measured"},
    ]
    enter_note(record, build, "nothing measured yet")
    run(record, build, "wheel", filed={"format": 2, "verdicts": rows})
    assert "wheel: play (mean of 3): not measured" in blocking(record, build)
    enter_reading(record, build, "wheel", "play", "1", "0.1")
    enter_reading(record, build, "wheel", "run_out", "6:00", "0.1")
    again = "read since it was run, so run it again"
    assert {f"wheel: play (mean of 3): {again}", f"wheel: spread: {again}"} <= set(blocking(record, build))


def blocking(record: Record, build: Build) -> tuple[str, ...]:
    return standing(record, build).gate.blocking


@pytest.mark.parametrize(
    ("positions", "said"),
    [
        (["once"], ""),
        (["foot 1"], "foot 1"),
        (["foot 1", "foot 2"], "foot 1, foot 2"),
        (["foot 1", "foot 2", "foot 3", "foot 4"], "foot 1 ... foot 4"),
        (["foot 1", "foot 3", "foot 4", "foot 5", "foot 7"], "foot 1, foot 3 ... foot 5, foot 7"),
        (["1", "2", "3"], "1 ... 3"),
        (["nut 8", "nut 9", "nut 10", "stud 11"], "nut 8 ... nut 10, stud 11"),
        (list("ABCDEFG"), "A, B, C, D, E, F ... 7 in all"),
        (list("ABCDEF"), "A, B, C, D, E, F"),
    ],
)
def test_places_are_folded_where_nothing_is_lost(positions: list[str], said: str) -> None:
    assert fold(positions) == said


def test_places_are_told_in_full_where_that_is_wanted() -> None:
    assert fold(["foot 3", "foot 10", "foot 1", "foot 2"]) == "foot 1 ... foot 3, foot 10"  # foot 3 was measured first
    assert fold(["B", "A"]) == "B, A"
    assert listed([("a", p) for p in "ABCDEFGH"] + [("b", "once")], None) == "a (A, B, C, D, E, F, G, H), b"


def test_fewer_repeats_than_planned_are_not_a_gap(record: Record, build: Build) -> None:
    path = build.folder / "specs" / "drivetrain.csv"
    path.write_text(path.read_text().replace(",axis A,,19.98", ",repeat 5,,19.98"))
    again = Build.open(build.folder)
    assert len(standing(record, again).sheets["shaft"].not_measured) == 5
    enter_readings(record, again, "shaft", "diameter", {"1": "19.99", "2": "19.99"})
    assert standing(record, again).sheets["shaft"].not_measured == ()


def test_an_empty_record_and_a_build_without_safety_are_never_ready(record: Record, build: Build) -> None:
    found = standing(record, build)
    assert not found.gate.ready
    assert "axle: no state was ever entered" in found.gate.blocking
    for path in (build.folder / "specs" / "brakes.csv", build.folder / "joints.toml"):
        path.write_text(path.read_text().replace(",yes,", ",,").replace("safety = true", ""))
    gate = standing(record, Build.open(build.folder)).gate
    assert not gate.ready
    assert not gate.marked
    assert gate.blocking == (NOTHING_SAYS_SO,)


def test_it_is_ready_for_json(done: Record, build: Build) -> None:
    enter_disturb(done, build, "frame", "removed")
    data = json.loads(json.dumps(standing(done, build).as_data()))
    (sheet,) = [s for s in data["sheets"] if s["sheet"] == "gearbox"]
    assert sheet["state"] == "measure again"
    assert sheet["reasons"][0]["chain"] == ["gearbox", "engine", "frame"]
    assert sheet["verdicts"] == {"inside": 5}


# -- rounds ------------------------------------------------------------------------------------------------


def test_rounds_side_by_side(done: Record, build: Build, run: Run) -> None:
    enter_disturb(done, build, "gearbox", "loosened", "shims")
    enter_disturb(done, build, "axle", "loosened")
    enter_part(done, build, "shim 0.05", "fitted", joint="gearbox")
    enter_work(done, build, "face the plate", who="machine shop", sheet="gearbox")
    enter_readings(done, build, "gearbox", "gap", {"1": "2 thou", "2": "0.12"})
    run(done, build, "gearbox", "outside")
    run(done, build, "gearbox", state="failed")
    found = compare_runs(done, build, "gearbox")
    assert len(found.rounds) == 2
    assert [e.kind for e in found.rounds[1].before] == ["disturb", "part", "work"], "nothing about the axle"
    assert [e.kind for e in found.rounds[0].before] == ["joint"] * 3
    assert found.rounds[1].of("work")[0].body["who"] == "machine shop"
    rows = {(r.characteristic, r.position): r for r in found.rows}
    assert rows["gap", "foot 2"].values == (0.05, 0.12)
    first = rows["gap", "foot 1"]
    assert (first.unit, first.verdicts) == ("thou", ("inside", "outside"))
    assert first.values[0] == pytest.approx(0.05 / 0.0254), "in the newest round's unit"
    assert first.flipped
    assert len(found.flipped) == 5
    assert compare_runs(done, build, "chain").rounds == ()
