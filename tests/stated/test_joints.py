"""joints.toml: how parts are held together, and which sheets rely on it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from restonb.errors import BuildError, Mistake
from restonb.stated import Build, Fastener, Joint, JointMap

Told = Callable[..., list[Mistake]]

STACK = """
[joints.frame]
what = "frame"
[joints.plates]
what = "engine plates"
rests_on = ["frame"]
[joints.gearbox]
what = "gearbox"
rests_on = ["plates"]
treatment = "shims dry"
replace_on_removal = ["tab washers"]
retighten = "500 mile"
safety = true
[[joints.gearbox.fasteners]]
what = "foot nut"
count = 4
thread = "3/8-26 BSCyc"
torque = "25 ft-lb"
stages = ["40 %", "25 ft-lb"]
order = [1, 3, 2, 4]
layout_mm = [[0, 120], [150, 120], [150, 0], [0, 0]]
treatment = "oiled"
replace_on_removal = true
source = "manual p. 30"
[joints.primary]
what = "primary case"
rests_on = ["gearbox", "plates"]
[joints.wheel]
what = "wheel"
rests_on = ["frame"]
[sheets]
gearbox_mounting = ["gearbox"]
primary_alignment = ["primary"]
chain = ["gearbox", "wheel"]
bench_work = []
"""


@pytest.fixture
def stack(folder: Path) -> JointMap:
    (folder / "joints.toml").write_text(STACK, encoding="utf-8")
    return Build.open(folder).joints


def test_a_joint_is_taken_as_written(stack: JointMap) -> None:
    joint = stack.get("gearbox")
    (nut,) = joint.fasteners
    assert (joint.what, joint.rests_on, joint.treatment) == ("gearbox", ("plates",), "shims dry")
    assert (joint.replace_on_removal, joint.safety, joint.positions) == (("tab washers",), True, ("1", "2", "3", "4"))
    assert joint.retighten is not None
    assert joint.retighten.to("km").value == pytest.approx(804.672)
    assert (nut.count, nut.thread, nut.treatment, nut.replace_on_removal) == (4, "3/8-26 BSCyc", "oiled", True)
    assert (nut.order, nut.layout[1]) == (("1", "3", "2", "4"), (150.0, 120.0))
    assert nut.torque is not None
    assert [(s.unit, s.value) for s in nut.stages] == [("ft-lb", pytest.approx(10)), ("ft-lb", pytest.approx(25))]


def test_relied_on_goes_down_the_stack_with_the_chain(stack: JointMap) -> None:
    assert stack.relied_on("primary_alignment") == {
        "primary": ("primary",),
        "gearbox": ("primary", "gearbox"),
        "plates": ("primary", "plates"),
        "frame": ("primary", "plates", "frame"),
    }
    assert stack.relied_on("bench_work") == stack.relied_on("no such sheet") == {}


def test_relying_on_is_the_same_seen_from_below(stack: JointMap) -> None:
    assert stack.relying_on("plates") == {
        "gearbox_mounting": ("gearbox", "plates"),
        "primary_alignment": ("primary", "plates"),
        "chain": ("gearbox", "plates"),
    }
    assert stack.relying_on("wheel") == {"chain": ("wheel",)}


def test_what_rests_on_a_joint_in_closing_order(stack: JointMap) -> None:
    assert stack.resting_on("plates") == ("gearbox", "primary")
    assert stack.resting_on("primary") == ()
    order = stack.closing_order()
    assert all(order.index(below) < order.index(key) for key, j in stack.joints.items() for below in j.rests_on)
    assert stack.closing_order(["primary", "frame"]) == ("frame", "primary")


def test_an_unknown_joint_is_answered_with_the_near_one(stack: JointMap) -> None:
    with pytest.raises(BuildError, match=r"no joint 'gearbx' in joints.toml; write 'gearbox'"):
        stack.get("gearbx")


def test_positions_of_several_groups_say_which(folder: Path) -> None:
    (folder / "joints.toml").write_text(
        '[joints.a]\nwhat = "a"\n[[joints.a.fasteners]]\nwhat = "stud"\ncount = 2\n'
        '[[joints.a.fasteners]]\nwhat = "bolt"\n'
    )
    assert Build.open(folder).joints.get("a").positions == ("stud 1", "stud 2", "bolt 1")


def test_a_torque_may_end_in_a_turn(told: Told) -> None:
    assert told("joints.toml", JOINT, 'torque = "20 N m"', 'stages = ["10 N m", "20 N m", "90 deg"]') == []


# -- mistakes

JOINT = '[joints.a]\nwhat = "a"\n[[joints.a.fasteners]]\nwhat = "nut"\ncount = 4'

MISTAKES = [
    ("torque = 25", 6, "torque = 25", '"25 ft-lb"'),
    ('torque = "25"', 6, "torque = '25' without a unit", '"25 ft-lb"'),
    ('torque = "18-20 ft lb"', 6, "torque = '18-20 ft lb', which is a range", "such as its middle '19 ft lb'"),
    ('torque = "24 to 27 N m"', 6, "which is a range", "such as its middle '25.5 N m'"),
    ('torque = "1-1/2 N"', 6, "which is force", '"25 ft-lb"'),
    ('torque = "25 J"', 6, "which is energy", '"25 ft-lb"'),
    ('torque = "-25 N m"', 6, "below zero", "without a sign"),
    ('torque = "20 N m"\nstages = ["20 N m", "10 N m", "20 N m"]', 7, "a stage below", "rising"),
    ('torque = "20 N m"\nstages = ["50 %"]', 7, "a last stage that is not the torque", "100 %"),
    ('torque = "20 N m"\nstages = "50 %"', 7, "stages = '50 %'", "write a list"),
    ('torque = "20 N m"\nstages = [50]', 7, "stages = 50", "with its unit"),
    ('stages = ["50 %", "100 %"]', 6, "stages without a torque", 'torque = "25 ft-lb"'),
    ("order = [1, 2, 2, 3]", 6, "order = '1, 2, 2, 3' for 4 fasteners", "each of 1 to 4 once"),
    ("layout_mm = [[0, 0]]", 6, "1 of 4 points", "one [x, y]"),
    ('layout_mm = [["0", 0]]', 6, "a list", "one [x, y]"),
    ('thread = "M8x1.2x5x9"', 6, "M8x1.2x5x9", "M8"),
    ('tork = "25 N m"', 6, "unknown key 'tork'", "write 'torque'"),
    ("treatment = true", 6, "treatment = true", "text in double quotes"),
    ('replace_on_removal = "yes"', 6, "replace_on_removal = 'yes'", "write true or false"),
    ('retighten = "3 kg"', 6, "which is mass", '"500 mile"'),
    ("[joints.b]\nwhat = 'b'\nrests_on = ['c']", 8, "joint 'c', which is not defined", "[joints.c]"),
    ("[joints.bee]\nwhat = 'b'\nrests_on = ['be']", 8, "joint 'be', which is not defined", "write 'bee'"),
    ("[joints.b]\nwhat = 'b'\nrests_on = 'a'", 8, "rests_on = 'a'", 'rests_on = ["a"]'),
    ("[joints.b]\nwhat = 'b'\nrests_on = ['b']", 8, "in a loop: b -> b", "take one of them out"),
    ("[joints.b]\nrests_on = ['a']", 6, "no what", "which parts it holds together"),
    ("[joints.'Front Wheel']\nwhat = 'b'", 6, "joint 'Front Wheel'", "small letters"),
    ("[sheets]\ng = ['aa']", 7, "joint 'aa', which is not defined", "write 'a'"),
    ("[sheets]\ng = 'a'", 7, "g = 'a'", 'g = ["a"]'),
    ("[sheet]\ng = ['a']", 6, "unknown key 'sheet'", "write 'sheets'"),
]


@pytest.mark.parametrize(("text", "line", "found", "write"), MISTAKES, ids=[f for _, _, f, _ in MISTAKES])
def test_a_mistake(told: Told, text: str, line: int, found: str, write: str) -> None:
    (mistake,) = told("joints.toml", JOINT, text)
    assert found in mistake.found
    assert write in mistake.write
    assert (mistake.file, mistake.line) == ("joints.toml", line)
    assert mistake.column > 0


def test_a_count_is_a_whole_number(told: Told) -> None:
    text = '[joints.a]\nwhat = "a"\n[[joints.a.fasteners]]\nwhat = "nut"\ncount = "4"'
    assert told("joints.toml", text)[0].write == "write a whole number from 1 to 999, without quotes"


def test_loops_are_named_with_their_joints_each_once(told: Told) -> None:
    lines = [f'[joints.{k}]\nwhat = "{k}"\nrests_on = ["{b}"]' for k, b in zip("abcde", "bcaed", strict=True)]
    found = [m.found for m in told("joints.toml", *lines)]
    assert found == [
        "joints that rest on each other in a loop: a -> b -> c -> a",
        "joints that rest on each other in a loop: d -> e -> d",
    ]


def test_a_torque_without_a_source_is_a_warning(told: Told) -> None:
    (warning,) = told("joints.toml", JOINT, 'torque = "20 N m"', warnings=True)
    assert warning.found == "no source for the torque '20 N m'"


RANGE = '[joints.a]\nwhat = "a"\n[[joints.a.fasteners]]\nwhat = "nut"\nsource = "p. 1"'


def test_a_range_of_torque_is_read_in_its_own_units(folder: Path) -> None:
    (folder / "joints.toml").write_text(f'{RANGE}\ntorque = "24 N m"\ntorque_from = "16 ft-lb"\ntorque_to = "27 N m"\n')
    group = Build.open(folder).joints.get("a").fasteners[0]
    assert [(q.value, q.unit) for q in (group.torque_from, group.torque_to) if q] == [(16, "ft-lb"), (27, "N m")]


@pytest.mark.parametrize(
    ("lines", "found"),
    [
        ('torque = "24 N m"\ntorque_to = "23 N m"', "torque_to = '23 N m' beside torque = '24 N m'"),
        ('torque = "24 N m"\ntorque_from = "18 ft-lb"', "torque_from = '18 ft-lb' beside torque = '24 N m'"),
        ('torque_to = "23 N m"', "torque_to without a torque"),
        ('torque = "24 N m"\ntorque_to = "27 mm"', "torque_to = '27 mm', which is length"),
    ],
)
def test_a_range_that_does_not_hold_the_torque_is_a_mistake(told: Told, lines: str, found: str) -> None:
    """18 ft-lb is 24.4 N m."""
    assert found in told("joints.toml", f"{RANGE}\n{lines}")[0].found


@pytest.mark.parametrize(
    ("position", "name"),
    [("1", "plug 1"), ("2", "bolt 1"), ("4", "bolt 3"), ("5", None), ("0", None), ("Bolt  2", "bolt 2"), ("plug", "plug 1"),
     ("bolt", None), ("nut", None)],
)  # fmt: skip
def test_a_fastener_is_found_by_name_or_by_number_through_all_groups(position: str, name: str | None) -> None:
    joint = Joint("a", "a", fasteners=(Fastener("plug"), Fastener("bolt", 3)))
    assert joint.find(position) == name


def test_a_fastener_of_the_only_group_is_found_with_its_words_and_any_where_none_is_planned() -> None:
    joint = Joint("a", "a", fasteners=(Fastener("bolt", 3),))
    assert [joint.find(p) for p in ("bolt 3", "3", "bolt 4")] == ["3", "3", None]
    assert Joint("a", "a", fasteners=(Fastener("bolt"),)).find("bolt") == "1"
    assert Joint("a", "a").find("left stud") == "left stud"


def test_a_missing_file_is_told(folder: Path) -> None:
    (folder / "joints.toml").unlink()
    with pytest.raises(BuildError, match=r"joints.toml: found no such file; create it with the line: \[joints\]"):
        Build.open(folder).joints  # noqa: B018 - reading it is the test
