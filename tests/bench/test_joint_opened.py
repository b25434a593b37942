"""Saying at the bench that a joint was opened, without a browser."""

import pytest

from restonb import bench
from restonb.bench.joint_opened.desk import OpeningDesk
from restonb.record import Record, disturbances, enter_joint, enter_reading
from restonb.stated import Build

SPECS = """sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source
toy,gap,gap under foot,feet 4,,0,0.30,,mm,,,
"""
JOINTS = """
[joints.frame]
what = "frame"
[joints.plates]
what = "engine plates"
rests_on = ["frame"]
[joints.mounting]
what = "gearbox to the plates"
rests_on = ["plates"]
replace_on_removal = ["tab washers"]
[[joints.mounting.fasteners]]
what = "foot nut"
count = 4
torque = "25 ft-lb"
[joints.aside]
what = "the lamp"
[sheets]
toy = ["mounting"]
"""


@pytest.fixture
def sheet(tmp_path):
    made = Build.create(tmp_path / "toy", "Toy")
    (made.folder / "specs" / "drivetrain.csv").write_text(SPECS)
    (made.folder / "joints.toml").write_text(JOINTS)
    build = Build.open(made.folder)
    with Record.open(build) as record:
        yield bench.Sheet("toy", build, record, static=False)


@pytest.fixture
def desk(sheet):
    return OpeningDesk(sheet)


def test_it_offers_the_joints_that_the_sheet_relies_on_and_no_other(sheet, desk):
    enter_joint(sheet.record, sheet.build, "mounting", "tightened")
    offered = dict(desk.answer({"type": "open", "id": 1})["joints"])
    assert list(offered) == ["mounting", "plates", "frame"]
    assert offered["mounting"].startswith("gearbox to the plates (tightened since 20")
    assert offered["frame"] == "frame (not recorded)"


def test_what_is_apart_already_cannot_be_opened(sheet, desk):
    enter_joint(sheet.record, sheet.build, "mounting", "apart")
    assert [key for key, _ in desk.answer({"type": "open"})["joints"]] == ["plates", "frame"]


def test_it_tells_what_is_spoiled_before_anything_is_entered(sheet, desk):
    enter_joint(sheet.record, sheet.build, "mounting", "tightened")
    for foot in range(1, 5):
        enter_reading(sheet.record, sheet.build, "toy", "gap", str(foot), "0.02")
    head = sheet.record.head().seq
    said = desk.answer({"type": "ask", "id": 2, "joint": "plates", "what": "removed"})
    assert said["type"] == "told"  # the word that the page listens for
    assert said["lines"] == [
        "Opened with it: mounting.",
        "To measure again: toy (gap).",
        "To tighten again: mounting: 4 x foot nut.",
        "To buy, used once only: tab washers.",
    ]
    assert sheet.record.head().seq == head
    assert (
        "No reading is spoiled."
        in OpeningDesk(sheet).answer({"type": "ask", "joint": "aside", "what": "loosened"})["lines"]
    )


def test_it_is_entered_with_its_reason_and_spoils_the_readings(sheet, desk):
    for foot in range(1, 5):
        enter_reading(sheet.record, sheet.build, "toy", "gap", str(foot), "0.02")
    assert sheet.check("gap").word == "inside"
    said = desk.answer({"type": "disturb", "id": 3, "joint": "mounting", "what": "loosened", "why": " shims "})
    entry = sheet.record.head()
    assert (said["type"], entry.kind, entry.body["why"]) == ("page", "disturb", "shims")
    assert f"entered as entry {entry.seq}" in said["entered"]
    assert disturbances(sheet.record)["mounting"] == entry.seq
    assert sheet.check("gap").word == "not measured"


@pytest.mark.parametrize(
    ("message", "says"),
    [
        ({"type": "disturb", "joint": "mounting", "what": "loosened", "why": "  "}, "say why it was opened"),
        ({"type": "disturb", "joint": "mountain", "what": "loosened", "why": "x"}, "mounting"),
        ({"type": "disturb", "joint": "mounting", "what": "dropped", "why": "x"}, "dropped"),
        ({"type": "ask", "joint": "mountain", "what": "loosened"}, "mounting"),
        ({"type": "nonsense"}, "open the notebook again"),
        ({"type": "disturb"}, "because of a bug in restonb"),
    ],
)
def test_what_cannot_be_entered_is_refused_in_words(sheet, desk, message, says):
    said = desk.answer({"id": 9, **message})
    if message == {"type": "disturb"}:
        says = "say why"
    assert (said["type"], said["id"]) == ("refused", 9)
    assert says in said["why"]
    assert sheet.record.head() is None


def test_the_panel_is_there_only_where_something_can_be_entered(sheet):
    assert "opened" in repr(sheet.joints())
    static = bench.Sheet("toy", sheet.build, sheet.record)
    assert "can be opened" not in repr(static.joints())
    earlier = bench.Sheet("toy", sheet.build, sheet.record, as_of=1, static=False)
    assert "can be opened" not in repr(earlier.joints())


def test_a_sheet_of_loose_parts_has_none(sheet):
    loose = bench.Sheet("other", sheet.build, sheet.record, static=False)
    assert "can be opened" not in repr(loose.joints())
