"""Torques of joints against their plan: what is said, what keeps the road shut, and what puts it right."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from restonb.errors import RecordError
from restonb.measure.model import Instrument
from restonb.quantity import read
from restonb.record import (
    OpenEnd,
    Record,
    digest_of,
    enter_check,
    enter_disturb,
    enter_joint,
    enter_strike,
    joint_states,
    off_plan,
    open_ends,
    open_torques,
    sealing_remark,
    torque_standing,
    verify,
)
from restonb.record.against_plan import allowed, runs_down_hard
from restonb.stated import Build, Fastener, Joint

WRENCHES = 'wrench,"click wrench",N m,0.5,4 %,,,data sheet\nold_wrench,"beam wrench",N m,1,10 %,,,data sheet\n'
AXLE = """
[[joints.axle.fasteners]]
what = "axle nut"
torque = "10 ft-lb"
[[joints.axle.fasteners]]
what = "pinch bolt"
count = 2
torque = "9 N m"
"""


@pytest.fixture
def build(build: Build) -> Build:
    gauges, joints = build.folder / "instruments.csv", build.folder / "joints.toml"
    gauges.write_text(gauges.read_text() + WRENCHES)
    joints.write_text(joints.read_text().replace("\n[sheets]", AXLE + "\n[sheets]"))
    return Build.open(build.folder)


def tighten(record: Record, build: Build, fasteners: str = "all: 24 N m", **more: Any) -> int:
    return enter_joint(record, build, more.pop("joint", "gearbox"), "tightened", fasteners=fasteners, **more).seq


def ends(record: Record, build: Build, joint: str = "gearbox") -> list[OpenEnd]:
    return [end for end in open_torques(record, build) if end.joint == joint]


def due(record: Record, build: Build, joint: str = "gearbox") -> list[OpenEnd]:
    return [end for end in ends(record, build, joint) if end.due]


def words(record: Record, build: Build, joint: str = "gearbox") -> dict[str, str]:
    return {off.position: off.word for off in torque_standing(record, build)[joint].off}


# -- what counts as the planned torque


def nut(**more: Any) -> Fastener:
    return Fastener(**{"what": "nut", "torque": read("24 N m"), **more})


@pytest.mark.published("ISO 6789 (2003), summed up in a tool manual: 4 % of the setting, 6 % for tools up to 10 N m")
@pytest.mark.parametrize(
    ("torque", "share"), [("24 N m", 0.04), ("10 N m", 0.06), ("60 in-lb", 0.06), ("8 ft-lb", 0.04)]
)
def test_without_anything_better_the_wrench_is_one_of_the_standard(torque: str, share: float) -> None:
    """60 in-lb is 6.8 N m, 8 ft-lb is 10.8 N m."""
    found = allowed(nut(torque=read(torque)))
    assert found is not None
    assert (found.most - found.least) / (found.most + found.least) == pytest.approx(share)
    assert "ISO 6789" in found.why


def test_the_plans_own_range_goes_first_and_a_poor_wrench_widens() -> None:
    wrench = Instrument("old_wrench", "beam wrench", "N m", 1.0, 0.0, percent=10.0)
    poor, own = allowed(nut(), wrench), allowed(nut(torque_from=read("22 N m"), torque_to=read("27 N m")), wrench)
    assert poor is not None
    assert own is not None
    assert (poor.least, poor.most) == (pytest.approx(21.6), pytest.approx(26.4))
    assert (own.least, own.most) == (22, 27)
    assert "old_wrench" in poor.why
    assert "joints.toml" in own.why
    better = allowed(nut(), Instrument("wrench", "", "N m", 0.5, 0.1))
    assert better is not None
    assert better.most == pytest.approx(24 * 1.04), (
        "a wrench better than the standard wants does not make the plan narrower"
    )


@pytest.mark.parametrize(
    ("entered", "closed", "word"),
    [
        ("24 N m", True, None), ("17.7 ft-lb", True, None), ("24.9 N m", True, None), ("25 N m", True, "over"),
        ("23.1 N m", True, None), ("23 N m", True, "under"), ("23 N m", False, None), ("25 N m", False, "over"),
        ("90 deg", True, "unmatched"),
    ],
)  # fmt: skip
def test_one_fastener_against_its_plan(entered: str, closed: bool, word: str | None) -> None:
    """24 N m plus and minus 4 %: 23.04 to 24.96 N m; 17.7 ft-lb is 24.0 N m."""
    value, unit = read(entered).value, read(entered).unit
    found = off_plan(
        Joint("j", "j", fasteners=(nut(),)), [{"position": "1", "torque": str(value), "unit": unit}], closed
    )
    assert [off.word for off in found] == ([word] if word else [])


def test_a_turn_is_held_against_the_turn_of_the_plan() -> None:
    joint = Joint("j", "j", fasteners=(nut(stages=(read("10 N m"), read("90 deg"))),))
    for turn, word in (("90", []), ("95", []), ("120", ["over"]), ("45", ["under"])):
        assert [o.word for o in off_plan(joint, [{"position": "1", "torque": turn, "unit": "deg"}], True)] == word


def test_far_off_is_told_from_a_little_off() -> None:
    joint = Joint("j", "j", fasteners=(nut(),))
    far = {
        t: off_plan(joint, [{"position": "1", "torque": t, "unit": "N m"}], True)[0].far
        for t in ("26", "31", "22", "5")
    }
    assert far == {"26": False, "31": True, "22": False, "5": True}


def test_a_joint_without_a_plan_is_never_off_it(record: Record, build: Build) -> None:
    enter_joint(record, build, "engine", "tightened", fasteners="front stud: 99 N m")
    assert open_torques(record, build) == ()


# -- kept in view


def test_tightened_to_the_plan_leaves_nothing_open(record: Record, build: Build) -> None:
    tighten(record, build)
    assert ends(record, build) == []


@pytest.mark.parametrize(
    ("fasteners", "found"),
    [
        ("1-3: 24 N m", {"4": "missing"}),
        ("1-3: 24 N m; 4: 20 N m", {"4": "under"}),
        ("", {"1": "missing", "2": "missing", "3": "missing", "4": "missing"}),
    ],
)
def test_under_and_missing(record: Record, build: Build, fasteners: str, found: dict[str, str]) -> None:
    enter_joint(record, build, "gearbox", "tightened", fasteners=fasteners or ())
    assert words(record, build) == found
    (end,) = due(record, build)
    assert (end.kind, end.joint, end.blocks) == ("torque", "gearbox", None)
    enter_joint(record, build, "gearbox", "final")
    assert words(record, build) == found, "entered again without figures it is as it was"
    tighten(record, build)
    assert ends(record, build) == []


def test_an_open_joint_lacks_nothing_yet(record: Record, build: Build) -> None:
    enter_joint(record, build, "gearbox", "temporary", fasteners="1: 10 N m")
    assert ends(record, build) == []


@pytest.mark.parametrize("unit", ["furlong", "N", ""])
def test_a_figure_that_is_no_torque_does_not_stop_the_rest(record: Record, build: Build, unit: str) -> None:
    """The record itself does not look at units; a bare number was meant in N m."""
    rows = [{"position": n, "torque": "24", "unit": unit} for n in "1234"]
    record.append("joint", {"joint": "gearbox", "state": "tightened", "fasteners": rows})
    assert set(words(record, build).values()) == ({"unmatched"} if unit else set())


def test_figures_of_several_entries_add_up_until_the_joint_is_opened(record: Record, build: Build) -> None:
    tighten(record, build, "1-2: 24 N m")
    tighten(record, build, "3-4: 24 N m")
    assert ends(record, build) == []
    enter_disturb(record, build, "gearbox", "loosened")
    enter_joint(record, build, "gearbox", "tightened")
    assert set(words(record, build).values()) == {"missing"}


def test_over_torque_is_put_right_by_slackening_and_a_new_one_and_stays_in_view(record: Record, build: Build) -> None:
    first = tighten(record, build, "1-3: 24 N m; 4: 99 N m")
    (end,) = due(record, build)
    assert (end.kind, end.seq, end.blocks) == ("torque", first, None)
    enter_joint(record, build, "gearbox", "final")
    tighten(record, build)
    assert due(record, build), "a smaller figure does not unstretch a bolt"
    enter_disturb(record, build, "gearbox", "loosened")
    tighten(record, build)
    assert due(record, build), "slackened, but the same bolt went back"
    tighten(record, build, "4: 24 N m, new")
    assert due(record, build) == []
    (end,) = ends(record, build)
    assert (end.seq, end.due, end.blocks) == (first, False, False)
    (over,) = torque_standing(record, build)["gearbox"].over
    assert over.settled
    assert over.off.position == "4"


def test_a_little_over_needs_slackening_only(record: Record, build: Build) -> None:
    tighten(record, build, "all: 26 N m")
    (end,) = due(record, build)
    enter_disturb(record, build, "gearbox", "loosened")
    assert due(record, build)
    tighten(record, build)
    assert due(record, build) == []
    assert [e.seq for e in ends(record, build)] == [end.seq]


def test_over_torque_counts_at_a_joint_that_stayed_open_too(record: Record, build: Build) -> None:
    enter_joint(record, build, "gearbox", "temporary", fasteners="1: 60 N m")
    assert due(record, build)


def test_a_figure_typed_wrong_is_struck_and_gone(record: Record, build: Build) -> None:
    seq = tighten(record, build, "all: 240 N m")
    enter_strike(record, seq, "typed wrong")
    tighten(record, build)
    assert ends(record, build) == []


def test_accepted_with_a_reason_it_stays_in_view_and_blocks_nothing(record: Record, build: Build) -> None:
    tighten(record, build, "1-2: 26 N m; 3: 22 N m", accepted="the manual allows 20 to 28 on old studs")
    assert due(record, build) == []
    assert {end.blocks for end in ends(record, build)} == {False}
    assert len(ends(record, build)) == 3
    assert all("allows 20 to 28" in end.text for end in ends(record, build))
    enter_disturb(record, build, "gearbox", "loosened")
    tighten(record, build, "all: 22 N m")
    assert [end.kind for end in due(record, build)] == ["torque"], "what was accepted then is not accepted now"


def test_what_goes_wrong_after_it_was_accepted_is_not_accepted(record: Record, build: Build) -> None:
    tighten(record, build, "1-3: 24 N m; 4: 22 N m", accepted="short thread", wrench="wrench")
    tighten(record, build, "4: 20 N m")
    assert due(record, build)
    enter_check(record, build, "wrench", False)
    assert [end.kind for end in due(record, build)] == ["torque", "doubt"]
    tighten(record, build, "4: 24 N m", accepted="checked with another wrench")
    assert due(record, build) == []


@pytest.mark.parametrize("why", ["yes", "ok", "True"])
def test_accepting_wants_a_reason(record: Record, build: Build, why: str) -> None:
    with pytest.raises(RecordError, match="say why it is accepted"):
        tighten(record, build, accepted=why)


def test_the_run_down_torque_of_a_self_locking_nut_may_be_in_the_figure() -> None:
    """'Feel on the wrench what it takes to run it down, and add that to the torque', says the tightening plan."""
    assert runs_down_hard(Joint("j", "j", fasteners=(nut(treatment="self-locking nut, oiled"),)), "1")
    assert not runs_down_hard(Joint("j", "j", fasteners=(nut(treatment="split pin"),)), "1")
    assert not runs_down_hard(Joint("j", "j"), "left stud")


# -- a wrench that fails its check


def test_a_failed_check_puts_in_doubt_what_was_tightened_since_the_last_good_one(record: Record, build: Build) -> None:
    tighten(record, build, wrench="wrench")
    enter_check(record, build, "wrench", True)
    tighten(record, build, "all: 5 N m", joint="cover", wrench="wrench")
    tighten(record, build, "axle nut: 10 ft-lb; pinch bolt: 9 N m", joint="axle", wrench="old_wrench")
    bad = enter_check(record, build, "wrench", False).seq
    assert ends(record, build) == []
    assert ends(record, build, "axle") == []
    (end,) = due(record, build, "cover")
    assert (end.kind, end.seq, end.blocks) == ("doubt", bad, None)
    tighten(record, build, "all: 5 N m", joint="cover", wrench="old_wrench")
    assert ends(record, build, "cover") == []


def test_tightened_after_the_failed_check_with_that_wrench_is_in_doubt(record: Record, build: Build) -> None:
    enter_check(record, build, "wrench", False)
    tighten(record, build, wrench="wrench")
    assert [end.kind for end in due(record, build)] == ["doubt"]
    enter_check(record, build, "wrench", True)
    assert [end.kind for end in due(record, build)] == ["doubt"], "repaired later, it was bad then"


def test_final_without_a_wrench_keeps_that_of_the_tightening(record: Record, build: Build) -> None:
    tighten(record, build, wrench="wrench")
    enter_joint(record, build, "gearbox", "final", fasteners=joint_states(record)["gearbox"].fasteners)
    enter_check(record, build, "wrench", False)
    assert [end.kind for end in due(record, build)] == ["doubt"]


@pytest.mark.parametrize(("name", "says"), [("wrnch", "write 'wrench'"), ("feeler", "which is not a torque")])
def test_a_wrench_is_one_of_the_instruments(record: Record, build: Build, name: str, says: str) -> None:
    with pytest.raises(RecordError, match=says):
        tighten(record, build, wrench=name)
    assert record.head() is None


# -- tape and paste


@pytest.mark.parametrize(
    ("joint", "treatment", "remarked"),
    [
        (Joint("front_hydraulics", "hose and caliper", fasteners=(nut(what="hose union"),)), "PTFE tape", True),
        (Joint("front_hydraulics", "hose and caliper", fasteners=(nut(what="hose union"),)), "dry, new washers", False),
        (
            Joint("front_brake", "the line", fasteners=(nut(what="brake pipe nut"),), subsystem="brakes"),
            "sealing paste",
            True,
        ),
        (Joint("front_hydraulics", "the line", fasteners=(nut(what="bracket bolt"),)), "anti-seize paste", False),
        (Joint("oil_line", "oil feed", fasteners=(nut(what="banjo bolt"),), subsystem="engine"), "sealant", False),
    ],
)
def test_tape_and_paste_in_a_brake_line_are_remarked_on(joint: Joint, treatment: str, remarked: bool) -> None:
    row = {"position": "1", "treatment": treatment}
    assert bool(sealing_remark(joint._replace(fasteners=(joint.fasteners[0],)), [row])) is remarked


# -- records from before


OLD = Path(__file__).with_name("joints_before_wrenches.jsonl")


def old_rows() -> list[dict[str, Any]]:
    return [json.loads(line) for line in OLD.read_text().splitlines()]


def test_what_was_entered_before_reads_and_verifies(build: Build) -> None:
    """Entries as an earlier restonb wrote them: without wrench and acceptance, a name of no plan, torques not entered."""
    with Record.open(build):
        pass
    with sqlite3.connect(build.record_path) as db:
        db.executemany("INSERT INTO entry (seq, at, kind, body, previous, digest) VALUES (:seq, :at, :kind, :body, :previous, :digest)", old_rows())  # fmt: skip
    db.close()
    assert verify(build.record_path).ok
    with Record.open(build) as record:
        states = joint_states(record, build.joints)
        assert (states["gearbox"].state, states["cover"].label) == ("tightened", "two screws")
        found = {end.joint: end.kind for end in open_ends(record, build) if end.kind == "torque"}
        assert found == {"gearbox": "torque", "axle": "torque"}
        assert words(record, build) == {"left stud": "unmatched", "1": "missing", "3": "missing", "4": "missing"}


def test_the_same_entry_has_the_same_text_as_before(record: Record, build: Build) -> None:
    for row in old_rows():
        body = json.loads(row["body"])
        entry = record.append(row["kind"], body)
        stored = record.rows("SELECT body FROM entry WHERE seq = ?", (entry.seq,))[0][0]
        assert stored == row["body"]
        assert digest_of(entry.seq, row["at"], row["kind"], body, row["previous"]) == row["digest"]
