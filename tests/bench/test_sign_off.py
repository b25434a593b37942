"""Signing a joint off, without a browser."""

import pytest

from restonb import bench
from restonb.bench.sign_off.desk import SignDesk
from restonb.errors import BuildError
from restonb.record import Record, disturbances, enter_check, enter_joint, enter_reading
from restonb.stated import Build

SPECS = """sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source
toy,gap,gap under foot,feet 4,,0,0.30,,mm,,,
"""
JOINTS = """
[joints.cover]
what = "end cover"
replace_on_removal = ["gasket"]
[[joints.cover.fasteners]]
what = "screw"
count = 3
torque = "60 in-lb"
stages = ["50 %", "100 %"]
order = [1, 3, 2]
treatment = "dry"
replace_on_removal = true
[[joints.cover.fasteners]]
what = "centre nut"
torque = "40 N m"
[sheets]
toy = ["cover"]
"""
NAMES = ("screw 1", "screw 2", "screw 3", "centre nut 1")


@pytest.fixture
def sheet(tmp_path):
    made = Build.create(tmp_path / "toy", "Toy")
    (made.folder / "specs" / "drivetrain.csv").write_text(SPECS)
    (made.folder / "joints.toml").write_text(JOINTS)
    build = Build.open(made.folder)
    with Record.open(build) as record:
        yield bench.Sheet("toy", build, record)


@pytest.fixture
def desk(sheet):
    return SignDesk(sheet, "cover")


def sign(desk, stage, torque="30 in-lb", names=NAMES[:3], **more):
    rows = [{"position": n, "stage": stage, "torque": torque, "treatment": "dry", "new": True} | more for n in names]
    return rows, desk.answer({"type": "sign", "id": 1, "fasteners": rows})


def tighten(desk):
    screws, _ = sign(desk, 2, "60 in-lb")
    return desk.answer(
        {"type": "sign", "id": 2, "fasteners": [*screws, {"position": NAMES[3], "stage": 1, "torque": "40 N m"}]}
    )


def test_the_plan_says_torques_where_the_file_says_per_cent(desk):
    page = desk.answer({"type": "open", "id": 1})
    screws, nut = page["groups"]
    assert screws["stages"] == ["30 in-lb", "60 in-lb"]  # 50 % and 100 % of 60
    assert screws["order"] == ["screw 1", "screw 3", "screw 2"]
    assert nut["stages"] == ["40 N m"]
    assert page["state"] == "not recorded"
    assert page["parts"] == ["gasket"]


def test_a_stage_is_temporary_and_the_last_of_all_groups_is_tightened(desk, sheet):
    _, page = sign(desk, 1)
    assert (page["state"], page["about"]) == ("temporary", "stage 1 of 2")
    assert page["reached"]["screw 2"] == {"stage": 1, "torque": "30 in-lb", "treatment": "dry", "new": True}
    _, page = sign(desk, 2, "60 in-lb")
    assert page["state"] == "temporary"  # the nut is still to do
    page = tighten(desk)
    assert page["state"] == "tightened"
    assert page["entered"] == sheet.record.head().seq
    assert [f["stage"] for f in sheet.record.head().body["fasteners"]] == ["final"] * 4


@pytest.mark.parametrize("torque", ["24", "5 mm", "-3 N m", "tight"])
def test_what_is_no_torque_is_refused_by_name(desk, sheet, torque):
    _, answer = sign(desk, 1, torque)
    assert answer["type"] == "refused"
    assert sheet.record.head() is None


def test_a_torque_far_from_the_plan_is_asked_about_before_it_is_taken(desk, sheet):
    """60 in-lb is 6.8 N m: 99 N m was signed for it without a word."""
    rows, answer = sign(desk, 2, "99 N m")
    assert (answer["type"], answer["position"], answer["typed"]) == ("ask", "screw 1", "99 N m")
    assert sheet.record.head() is None
    for row in rows:
        row["sure"] = "99 N m"
    page = desk.answer({"type": "sign", "id": 1, "fasteners": rows})
    assert page["type"] == "page"
    assert [r["due"] for r in page["remarks"]] == [True]
    rows[0]["torque"] = "98 N m"
    assert desk.answer({"type": "sign", "id": 1, "fasteners": rows})["position"] == "screw 1", "sure of another figure"


@pytest.mark.parametrize(("stage", "torque", "asked"), [(1, "30 in-lb", False), (1, "60 in-lb", True), (2, "60 in-lb", False),
                                                        (2, "6.5 N m", False), (2, "30 in-lb", True), (2, "60 ft-lb", True),
                                                        (2, "90 deg", True)])  # fmt: skip
def test_far_is_told_by_the_stage(desk, stage, torque, asked):
    """A quarter more or less than the stage."""
    assert (sign(desk, stage, torque)[1]["type"] == "ask") is asked


def test_a_torque_over_the_plan_is_kept_in_view_until_it_is_put_right_or_accepted(desk, sheet):
    rows, _ = sign(desk, 2, "70 in-lb")
    page = desk.answer(
        {"type": "sign", "id": 2, "fasteners": [*rows, {"position": NAMES[3], "stage": 1, "torque": "40 N m"}]}
    )
    assert page["state"] == "tightened"
    assert [r["due"] for r in page["remarks"]] == [True]
    shown = sheet.sign_off("cover").text
    assert "over its torque" in shown
    assert desk.answer({"type": "accept", "id": 1})["type"] == "ask"
    page = desk.answer({"type": "accept", "id": 1, "why": "cover is thick"})
    assert (page["state"], [r["due"] for r in page["remarks"]]) == ("tightened", [False])
    assert sheet.record.head().body["accepted"] == "cover is thick"


def test_nothing_is_accepted_before_anything_is_entered(desk):
    assert desk.answer({"type": "accept", "id": 1, "why": "so it is"})["type"] == "refused"


def test_the_wrench_is_entered_and_its_failed_check_is_kept_in_view(sheet):
    gauges = sheet.build.folder / "instruments.csv"
    head = "instrument,what,unit,resolution,error,expansion,last_check,source\n"
    gauges.write_text(f"{head}wrench,click wrench,N m,0.5,4 %,,,data sheet\nfeeler,feelers,mm,0.01,0.01,,,data sheet\n")
    sheet.build = Build.open(sheet.build.folder)
    desk = SignDesk(sheet, "cover")
    assert [one["key"] for one in desk.page()["wrenches"]] == ["wrench"]
    rows, _ = sign(desk, 2, "60 in-lb")
    rows.append({"position": NAMES[3], "stage": 1, "torque": "40 N m"})
    page = desk.answer({"type": "sign", "id": 2, "fasteners": rows, "wrench": "wrench"})
    assert (page["wrench"], page["remarks"]) == ("wrench", [])
    enter_check(sheet.record, sheet.build, "wrench", False)
    desk.answer({"type": "state", "id": 1, "state": "final"})
    page = desk.page()
    assert [r["due"] for r in page["remarks"]] == [True]
    assert "failed" in page["wrenches"][0]["what"]
    assert desk.answer({"type": "sign", "id": 2, "fasteners": rows, "wrench": "wrnch"})["type"] == "refused"


def test_figures_of_several_entries_are_shown_together(desk, sheet):
    enter_joint(sheet.record, sheet.build, "cover", "tightened", fasteners="screw: 60 in-lb")
    enter_joint(sheet.record, sheet.build, "cover", "tightened", fasteners="centre nut: 40 N m")
    assert set(desk.page()["reached"]) == set(NAMES)
    assert "no torque entered" not in sheet.sign_off("cover").text


def test_opening_a_tightened_joint_says_what_it_spoils_and_wants_a_reason(desk, sheet):
    tighten(desk)
    enter_reading(sheet.record, sheet.build, "toy", "gap", "1", "0.1")
    before = sheet.record.head().seq
    answer = desk.answer({"type": "state", "id": 1, "state": "apart"})
    assert answer["type"] == "ask"
    assert "spoils the readings of toy" in answer["why"]
    assert sheet.record.head().seq == before
    page = desk.answer({"type": "state", "id": 1, "state": "apart", "why": "leaks"})
    assert page["state"] == "apart"
    assert disturbances(sheet.record)["cover"] == page["entered"]


def test_temporary_takes_a_label_and_what_it_waits_for(desk, sheet):
    page = desk.answer(
        {
            "type": "state",
            "id": 1,
            "state": "temporary",
            "label": "two screws",
            "waiting": "part",
            "until": "2026-04-01",
        }
    )
    assert page["about"] == "two screws; waiting for a part until 2026-04-01"
    refused = desk.answer({"type": "state", "id": 1, "state": "temporary", "until": "soon"})
    assert "not a date" in refused["why"]


def test_checking_torques_again_spoils_nothing_and_final_keeps_them(desk, sheet):
    tighten(desk)
    assert (
        desk.answer({"type": "sign", "id": 1, "fasteners": [{"position": "screw 1", "stage": 2}]})["type"] == "refused"
    )
    assert tighten(desk)["about"] == "tightened again and checked"
    assert "cover" not in disturbances(sheet.record)
    page = desk.answer({"type": "state", "id": 1, "state": "final"})
    assert page["state"] == "final"
    assert set(page["reached"]) == set(NAMES)
    assert tighten(desk)["state"] == "final"
    assert "cover" not in disturbances(sheet.record), "a check of torques opens nothing"


def test_without_a_kernel_it_is_a_pattern_and_a_table(desk, sheet):
    tighten(desk)
    shown = sheet.sign_off("cover")
    assert "<svg" in shown.html
    assert "end cover: tightened, since" in shown.text
    for word in ("screw 2", "30 in-lb → 60 in-lb", "at its torque", "60 in-lb", "new", "centre nut 1"):
        assert word in shown.text
    then = bench.Sheet("toy", sheet.build, sheet.record, as_of=0)
    assert "end cover: not recorded" in then.sign_off("cover").text


def test_live_it_is_a_widget_with_that_table_beside_it(sheet):
    live = bench.Sheet("toy", sheet.build, sheet.record, static=False)
    data, _ = live.sign_off("cover")._repr_mimebundle_()
    assert "application/vnd.jupyter.widget-view+json" in data
    assert "<table" in data["text/html"]


def test_a_joint_that_is_not_there_is_named(sheet):
    with pytest.raises(BuildError, match=r"no joint 'covver'.*cover"):
        sheet.sign_off("covver")


def test_nonsense_gets_an_answer(desk):
    for message in (
        {},
        {"type": "sign"},
        {"type": "sign", "fasteners": [{"position": "screw 9", "stage": 1}]},
        {"type": "x"},
    ):
        assert desk.answer(message)["type"] == "refused"
