"""Entering what is not a reading: the words that may be written, and what looks wrong beside the plan."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest


def test_the_words_that_a_key_takes_are_told(build: Path, say: Callable) -> None:
    out = say("enter").out
    assert "state=apart|dry-fitted|temporary|tightened|final" in out
    assert "good=yes|no" in out
    said = say("enter", "joint", "joint=mounting")
    assert said.code == 2
    assert "write state=apart or state=dry-fitted" in said.err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("note", "oil seeps"), "note: oil seeps"),
        (("note", "gap = 0.1 all round", "private=yes"), "note: gap = 0.1 all round"),
        (("usage", "41210 mile"), "the meter shows 41210 mile"),
    ],
)
def test_what_needs_no_key_is_taken_without(build: Path, say: Callable, words: tuple[str, ...], says: str) -> None:
    assert says in say("enter", *words).out


def test_another_kind_still_wants_its_keys(build: Path, say: Callable) -> None:
    assert "'mounting' has no name" in say("enter", "joint", "mounting").err


def torques(say: Callable) -> list[dict]:
    """What torques leave open, by status."""
    return [end for end in say("status", "--json").data["open_ends"] if end["kind"] in ("torque", "doubt")]


def blocked(say: Callable) -> bool:
    """The road is shut by the joint of the build: by exit code, and by name."""
    said = say("status", "--json")
    return said.code == 1 and any(line.startswith("mounting") for line in said.data["gate"]["blocking"])


@pytest.fixture
def safe(build: Path) -> Path:
    joints = build / "joints.toml"
    joints.write_text(joints.read_text().replace("[joints.mounting]", "[joints.mounting]\nsafety = true"))
    gauges = build / "instruments.csv"
    gauges.write_text(gauges.read_text() + 'wrench,"click wrench",N m,0.5,4 %,,,data sheet\n')
    return build


@pytest.mark.parametrize(
    ("fasteners", "remark"),
    [
        ("fasteners=1: 24 ft-lb; 2: 17.7 ft-lb", "over the 24 N m of joints.toml"),  # 32.5 and 24.0 N m
        ("fasteners=1: 24 N m; 2: 5 N m", "short of the plan"),
        ("fasteners=1: 24 N m", "no torque is entered"),
        ("state=tightened", "no torque is entered"),
    ],
)
def test_a_torque_off_the_plan_is_said_at_entry_and_shuts_the_road(
    safe: Path, say: Callable, fasteners: str, remark: str
) -> None:
    said = say("enter", "joint", "joint=mounting", *dict.fromkeys(("state=tightened", fasteners)))
    assert said.code == 0
    assert remark in said.out
    assert "about safety" in said.out
    assert [end["due"] for end in torques(say)] == [True]
    assert blocked(say)
    assert "mounting" in say("status").out
    said = say("enter", "joint", "joint=mounting", "state=tightened", "accepted=new bolts measured, none is stretched")
    assert "accepted: new bolts measured" in said.out
    assert [(end["due"], end["blocks"]) for end in torques(say)] == [(False, False)]
    assert not blocked(say)


def test_as_planned_nothing_is_remarked_on(safe: Path, say: Callable) -> None:
    out = say("enter", "joint", "joint=mounting", "state=tightened", "fasteners=all: 24 N m, new", "wrench=wrench").out
    assert out.count("\n") == 1
    assert torques(say) == []
    assert not blocked(say)


def test_over_torque_put_right_stays_in_view_and_opens_the_road(safe: Path, say: Callable) -> None:
    say("enter", "joint", "joint=mounting", "state=tightened", "fasteners=1: 99 N m; 2: 24 N m")
    say("enter", "joint", "joint=mounting", "state=tightened")
    assert blocked(say)
    say("disturb", "mounting", "--what", "loosened", "--why", "too tight", "--yes")
    say("enter", "joint", "joint=mounting", "state=tightened", "fasteners=1: 24 N m, new; 2: 24 N m")
    assert not blocked(say)
    (end,) = torques(say)
    assert (end["due"], end["blocks"]) == (False, False)


def test_a_wrench_that_fails_its_check_shuts_the_road(safe: Path, say: Callable) -> None:
    said = say("enter", "joint", "joint=mounting", "state=tightened", "fasteners=all: 24 N m", "wrench=wrnch")
    assert said.code == 2
    assert "write 'wrench'" in said.err
    say("enter", "joint", "joint=mounting", "state=tightened", "fasteners=all: 24 N m", "wrench=wrench")
    say("enter", "check", "instrument=wrench", "good=no")
    assert [end["kind"] for end in torques(say)] == ["doubt"]
    assert blocked(say)


def test_a_joint_that_is_not_about_safety_is_kept_in_view_and_blocks_nothing(build: Path, say: Callable) -> None:
    text = (build / "specs" / "drivetrain.csv").read_text()
    (build / "specs" / "drivetrain.csv").write_text(text.replace("feeler,yes", "feeler,"))
    out = say("enter", "joint", "joint=mounting", "state=tightened", "fasteners=1: 24 N m").out
    assert "no torque is entered" in out
    assert "about safety" not in out
    assert [end["blocks"] for end in torques(say)] == [None]
    assert not blocked(say)


def test_sealing_tape_in_a_brake_line_is_remarked_on(build: Path, say: Callable) -> None:
    joints = build / "joints.toml"
    joints.write_text(
        joints.read_text().replace(
            "[sheets]",
            '[joints.front_hydraulics]\nwhat = "hose and caliper"\n[[joints.front_hydraulics.fasteners]]\n'
            'what = "hose union"\ntorque = "14 N m"\n[sheets]',
        )
    )
    line = ("enter", "joint", "joint=front_hydraulics", "state=tightened")
    assert "hydraulic line" in say(*line, "fasteners=1: 14 N m, sealing tape").out
    assert "hydraulic line" not in say(*line, "fasteners=1: 14 N m, dry, new").out


def test_work_is_sent_to_somebody_and_comes_back_without_saying_all_again(build: Path, say: Callable) -> None:
    out = say("enter", "work", "what=rebore", "who=a machine shop", "where=the town", "state=sent", "sheet=toy").out
    assert "work sent to a machine shop: rebore" in out
    say("enter", "work", "what=rebore", "state=returned")
    out = say("status").out
    assert "rebore (the town): returned, not yet accepted" in out
    assert out.count("rebore") == 1
    say("enter", "work", "what=rebore", "state=accepted")
    assert "rebore" not in say("status").out


def test_two_jobs_of_one_name_are_kept_apart(build: Path, say: Callable) -> None:
    for joint in ("frame", "mounting"):
        say("enter", "work", "what=weld", f"joint={joint}", "state=sent")
    say("enter", "work", "what=weld", "joint=frame", "state=accepted")
    out = say("status").out
    assert out.count("weld: sent out") == 1
