"""One machine worked on and taken apart again: what each step spoils, costs and leaves open, and in which words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from restonb.errors import BuildError, RecordError
from restonb.record import (
    Record,
    closing_order,
    enter_check,
    enter_disturb,
    enter_joint,
    enter_part,
    enter_reading,
    enter_readings,
    enter_strike,
    enter_usage,
    enter_work,
    impact,
    in_force,
    joint_states,
    open_ends,
    runs,
    standing,
)
from restonb.stated import Build

FEET = dict.fromkeys("1234", "0.05")
CLOCK = dict.fromkeys(("12:00", "1:30", "3:00", "4:30", "6:00", "7:30", "9:00", "10:30"), "0.1")
Run = Callable[..., int]


def state(record: Record, build: Build, sheet: str = "gearbox") -> tuple[str, list[str]]:
    found = standing(record, build).sheets[sheet]
    return found.state, [reason.text for reason in found.reasons]


def test_what_was_never_run(record: Record, build: Build) -> None:
    found = standing(record, build)
    assert {s.state for s in found.sheets.values()} == {"not run"}
    assert set(found.sheets["gearbox"].not_measured) == {
        ("gap", "foot 1"),
        ("gap", "foot 2"),
        ("gap", "foot 3"),
        ("gap", "foot 4"),
        ("lift", "once"),
    }
    assert found.sheets["shaft"].not_measured == (("diameter", "axis A"),), "what is worked out is not measured"


def test_good_until_something_changes(done: Record, build: Build) -> None:
    assert state(done, build) == ("current", [])
    assert state(done, build, "wheel") == ("current", [])


def test_a_joint_below_spoils_it_with_the_chain(done: Record, build: Build) -> None:
    seq = enter_disturb(done, build, "frame", "removed", "straighten").seq
    assert state(done, build) == (
        "measure again",
        [
            f"frame was removed on 2026-03-01 (entry {seq}), after gap (foot 1 ... foot 4), lift were "
            "measured: it relies on gearbox, which rests on engine, which rests on frame"
        ],
    )
    assert state(done, build, "wheel") == ("current", [])
    assert standing(done, build, seq - 1).sheets["gearbox"].state == "current", "the day before it was good"


def test_a_joint_above_spoils_nothing(done: Record, build: Build) -> None:
    enter_disturb(done, build, "cover", "removed")
    assert state(done, build) == ("current", [])


def test_running_again_does_not_help_until_it_is_measured_again(done: Record, build: Build, run: Run) -> None:
    enter_disturb(done, build, "gearbox", "loosened")
    run(done, build, "gearbox")
    assert state(done, build)[0] == "measure again"
    enter_readings(done, build, "gearbox", "gap", {"1": "0.04", "2": "0.04", "3": "0.04"})
    enter_reading(done, build, "gearbox", "lift", "once", "0.02")
    word, reasons = state(done, build)
    assert word == "measure again"
    assert "after gap (foot 4) was measured" in reasons[0], "only what was not measured again"
    enter_readings(done, build, "gearbox", "gap", {"4": "0.04"})
    assert state(done, build)[0] == "out of date", "now a run from the record alone puts it right"
    run(done, build, "gearbox")
    assert state(done, build) == ("current", [])


def test_a_disturbance_entered_by_mistake_can_be_struck(done: Record, build: Build) -> None:
    seq = enter_disturb(done, build, "gearbox", "loosened").seq
    enter_strike(done, seq, "it was the other one")
    assert state(done, build) == ("current", [])
    assert joint_states(done, build.joints)["gearbox"].state == "tightened"


def test_less_closed_than_before_is_a_disturbance(done: Record, build: Build) -> None:
    enter_joint(done, build, "gearbox", "final")
    assert state(done, build)[0] == "current"
    seq = enter_joint(done, build, "gearbox", "dry-fitted").seq
    word, reasons = state(done, build)
    assert word == "measure again"
    assert reasons[0].startswith(f"gearbox went back to dry-fitted on 2026-03-01 (entry {seq})")


def test_a_failed_check_puts_in_doubt_what_was_measured_since_the_last_good_one(
    record: Record, build: Build, run: Run
) -> None:
    enter_readings(record, build, "gearbox", "gap", FEET)
    enter_check(record, build, "dial", True)
    enter_reading(record, build, "gearbox", "lift", "once", "0.01")
    enter_readings(record, build, "wheel", "run_out", CLOCK)
    run(record, build, "gearbox")
    run(record, build, "wheel")
    seq = enter_check(record, build, "dial", False, "5 mm block shows 5.08").seq
    word, (reason,) = state(record, build)
    assert word == "in doubt"
    assert reason == (
        f"dial failed its check on 2026-03-01 (entry {seq}; its last good check was on 2026-03-01): "
        "lift was measured with it"
    )
    assert state(record, build, "wheel")[0] == "in doubt"
    enter_check(record, build, "dial", True, "after repair")
    assert state(record, build)[0] == "in doubt", "a repair does not mend what was measured before"
    enter_reading(record, build, "gearbox", "lift", "once", "0.02")
    run(record, build, "gearbox")
    assert state(record, build) == ("current", [])


def test_a_good_check_between_keeps_what_was_before_it(record: Record, build: Build, run: Run) -> None:
    enter_readings(record, build, "gearbox", "gap", FEET)
    run(record, build, "gearbox")
    enter_check(record, build, "feeler", True)
    enter_check(record, build, "feeler", False)
    assert state(record, build)[0] == "current"


def test_readings_newer_or_struck_make_it_out_of_date(done: Record, build: Build) -> None:
    seq = enter_reading(done, build, "gearbox", "gap", "2", "0.07").seq
    assert state(done, build) == ("out of date", ["newer readings: gap (foot 2)"])
    enter_strike(done, seq, "wrong foot")
    assert state(done, build) == ("current", [])
    first = in_force(done, "gearbox", "gap")[0]
    enter_strike(done, first.seq, "wrong leaf")
    assert state(done, build) == ("out of date", ["readings that it used were struck: gap (foot 1)"])
    assert standing(done, build).sheets["gearbox"].not_measured == (("gap", "foot 1"),)


def test_an_edited_spec_row_makes_it_out_of_date(done: Record, build: Build) -> None:
    path = build.folder / "specs" / "drivetrain.csv"
    text = path.read_text()
    path.write_text(text.replace(",0.10,,mm,feeler", ",0.08,,mm,feeler"))
    assert state(done, Build.open(build.folder)) == ("out of date", ["the spec book was changed: gap edited"])
    path.write_text(text + 'gearbox,new_row,"movement, new",once,,,0.1,,mm,dial,,\n')
    assert state(done, Build.open(build.folder))[1] == ["the spec book was changed: new_row added"]
    path.write_text("\n".join(line for line in text.splitlines() if not line.startswith("gearbox,lift")))
    assert state(done, Build.open(build.folder))[1] == ["the spec book was changed: lift taken out"]
    path.write_text("# moved down by a remark\n" + text)
    assert state(done, Build.open(build.folder)) == ("current", [])


def test_a_failed_run_never_overwrites_a_good_one(done: Record, build: Build, run: Run) -> None:
    run(done, build, "gearbox", state="failed", reason="no reading of foot 4", cell=7)
    found = standing(done, build).sheets["gearbox"]
    assert (found.state, found.run.state if found.run else None) == ("current", "good")
    assert found.failed is not None
    enter_reading(done, build, "shaft", "diameter", "A", "19.99")
    run(done, build, "shaft", state="failed", reason="boom", cell=3)
    assert state(done, build, "shaft") == ("failed", ["the run on 2026-03-01 failed in cell 3: boom"])
    assert [r.state for r in runs(done, "gearbox")] == ["good", "failed"]


# -- before it is done -------------------------------------------------------------------------------------


def test_impact_of_removing_what_carries(done: Record, build: Build) -> None:
    before = done.head()
    found = impact(done, build, "engine", "removed")
    assert found.opened == ("cover", "gearbox", "engine"), "in the order of opening"
    (sheet,) = found.measure_again
    assert (sheet.sheet, sheet.characteristics, sheet.readings) == ("gearbox", ("gap", "lift"), 5)
    assert sheet.chain == ("gearbox", "engine")
    assert sheet.run_seconds == 3.5
    assert [(t.joint, t.what, t.count, t.torque) for t in found.tighten] == [
        ("gearbox", "stud nut", 4, "24 N m"),
        ("cover", "screw", 6, "5 N m"),
    ]
    assert [(b.joint, b.what, b.count) for b in found.buy] == [
        ("gearbox", "stud nut", 4),
        ("gearbox", "tab washers", 0),
    ]
    assert done.head() == before, "nothing of it has happened"


def test_impact_of_loosening_and_of_what_is_off_already(done: Record, build: Build) -> None:
    found = impact(done, build, "gearbox", "loosened")
    assert found.opened == ("gearbox",)
    assert [b.what for b in found.buy] == ["stud nut"]
    enter_joint(done, build, "cover", "apart")
    assert impact(done, build, "gearbox", "removed").opened == ("gearbox",)
    assert impact(done, build, "axle", "removed").measure_again[0].sheet == "wheel"
    with pytest.raises(BuildError, match="write 'gearbox'"):
        impact(done, build, "gearbx", "removed")
    with pytest.raises(RecordError, match="a joint is not 'undone': write"):
        impact(done, build, "gearbox", "undone")


def test_impact_and_standing_agree(done: Record, build: Build) -> None:
    for joint in build.joints.joints:
        told = {sheet.sheet for sheet in impact(done, build, joint, "loosened").measure_again}
        seq = enter_disturb(done, build, joint, "loosened").seq
        spoiled = {s.sheet for s in standing(done, build).in_state("measure again")}
        assert told == spoiled, joint
        enter_strike(done, seq, "only to see")


def test_closing_order_from_how_things_stand(done: Record, build: Build) -> None:
    assert closing_order(done, build) == ()
    assert [s.name for s in closing_order(done, build, opened=["gearbox"])] == ["gearbox", "gearbox", "cover", "chain"]
    enter_disturb(done, build, "engine", "removed")
    steps = closing_order(done, build)
    assert [(s.what, s.name, s.open) for s in steps] == [
        ("close", "engine", ("gearbox", "cover")),
        ("close", "gearbox", ("cover",)),
        ("measure", "gearbox", ("cover",)),
        ("close", "cover", ()),
        ("measure", "chain", ()),
    ]


# -- what is open ------------------------------------------------------------------------------------------


def test_open_ends_oldest_first(record: Record, build: Build, clock: Any) -> None:
    enter_joint(record, build, "axle", "temporary", "waits for the spacer", "red tag")
    clock.days(1)
    enter_joint(record, build, "engine", "dry-fitted")
    enter_part(record, build, "spacer", "wanted", joint="axle")
    enter_work(record, build, "face the mounting", where="machine shop", state="sent", sheet="gearbox")
    enter_joint(record, build, "gearbox", "tightened", waiting="cure", until="2026-03-04")
    enter_joint(record, build, "cover", "apart", waiting="part")
    ends = open_ends(record, build)
    assert [(e.kind, e.text, e.due) for e in ends if e.kind != "torque"] == [
        ("joint", "axle has been temporary since 2026-03-01: waits for the spacer", True),
        ("joint", "engine has been dry-fitted since 2026-03-02", True),
        ("part", "1 x spacer: wanted on 2026-03-02", True),
        ("work", "face the mounting (machine shop): sent out on 2026-03-02", False),
        ("retighten", "gearbox: tighten again after 500 mile (nothing entered to count from)", False),
        ("waiting", "gearbox (tightened) is curing until 2026-03-04", False),
        ("waiting", "cover (apart) is waiting for a part", False),
    ]
    assert ends[0].label == "red tag"
    clock.days(2)
    assert [e.due for e in open_ends(record, build) if e.kind == "waiting"] == [True, False]
    assert open_ends(record, build, "2026-03-02") == ends, "as it was on that day"
    enter_part(record, build, "spacer", "fitted", joint="axle")
    enter_work(record, build, "face the mounting", where="machine shop", state="accepted", sheet="gearbox")
    enter_joint(record, build, "axle", "final")
    enter_joint(record, build, "gearbox", "tightened")
    assert [e.what for e in open_ends(record, build) if e.kind in ("joint", "waiting")] == ["engine", "cover"]


def test_a_joint_cannot_have_stayed_closed_over_one_that_came_off(done: Record, build: Build) -> None:
    seq = enter_disturb(done, build, "engine", "removed").seq
    texts = {e.what: e.text for e in open_ends(done, build) if e.kind == "joint"}
    assert texts["gearbox"] == (
        f"gearbox is entered as tightened, but engine, which it rests on, came off after that (entry {seq}): "
        "enter how it is now"
    )
    enter_joint(done, build, "engine", "tightened")
    assert {e.what for e in open_ends(done, build) if e.kind == "joint"} == {"gearbox", "cover"}
    enter_joint(done, build, "gearbox", "tightened")
    enter_joint(done, build, "cover", "tightened")
    assert {e.kind for e in open_ends(done, build)} == {"retighten", "torque"}


@pytest.mark.parametrize(
    ("unit", "at", "due"), [("mile", 1499, False), ("mile", 1500, True), ("km", 804, False), ("km", 805, True)]
)
def test_tightening_again_after_500_miles(record: Record, build: Build, unit: str, at: int, due: bool) -> None:
    """500 miles are 804.67 km."""
    enter_usage(record, 1000 if unit == "mile" else 0, unit)
    enter_joint(record, build, "gearbox", "tightened")
    enter_usage(record, at, unit)
    (end,) = (e for e in open_ends(record, build) if e.kind == "retighten")
    assert end.due == due
    enter_joint(record, build, "gearbox", "tightened", fasteners="all: 24 N m, stage: again")
    assert open_ends(record, build) == ()
    enter_disturb(record, build, "gearbox", "loosened")
    enter_joint(record, build, "gearbox", "tightened")
    (end,) = (e for e in open_ends(record, build) if e.kind == "retighten")
    assert not end.due, "counted from the new tightening"
