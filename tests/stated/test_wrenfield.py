"""The demo machine: its files are sound, its figures stand where its sources say, its story can be played back."""

from __future__ import annotations

import itertools
import re
import tomllib
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from restonb.measure import Characteristic, find_position
from restonb.quantity import convert, read
from restonb.stated import Build, shipped

DEMO = shipped("data_demo")
STORY = [
    event
    for path in sorted((DEMO / "story").glob("*.toml"))
    for event in tomllib.loads(path.read_text(encoding="utf-8"))["event"]
]


@pytest.fixture(scope="module")
def wrenfield() -> Build:
    return Build.open(DEMO)


def row(wrenfield: Build, sheet: str, key: str) -> Characteristic:
    return wrenfield.specs.get(sheet, key)


def test_there_is_no_mistake_and_no_warning(wrenfield: Build) -> None:
    assert wrenfield.check() == ()


def test_it_is_an_invented_machine_and_says_so(wrenfield: Build) -> None:
    assert "invented" in wrenfield.machine["make"]
    own = re.compile(
        r"workshop notes \(demo\)|common practice|^(ISO|49 CFR|GTR|Directive|ASME|lead-acid|thread profile)"
    )
    for spec in wrenfield.specs:
        if (spec.lower, spec.upper, spec.wear_limit) != (None, None, None):
            assert own.search(spec.source), spec


def test_it_shows_a_whole_machine_in_mixed_units(wrenfield: Build) -> None:
    assert set(wrenfield.specs.subsystems) >= {"drivetrain", "brakes", "electrical", "fasteners"}
    assert len(wrenfield.joints.joints) >= 14
    text = "".join(p.read_text(encoding="utf-8") for p in (DEMO / "specs").iterdir())
    assert re.search(r",\d+(/\d+|\.\d+)? (in|thou)\b", text)
    typed = [v for e in STORY if e["kind"] == "reading" for v in e["values"].values()]
    assert {"in", "thou", "mm", "ft-lb", "bar", "degF"} <= {read(v, None).unit for v in typed if v[-1].isalpha()}


def test_every_sheet_says_what_it_relies_on(wrenfield: Build) -> None:
    assert set(wrenfield.joints.sheets) == set(wrenfield.specs.sheets)


# -- figures that stand in a source


@pytest.mark.published("ISO 286-2: 52 N7 is -9/-39 um, 25 k5 is +11/+2 um")
def test_fits(wrenfield: Build) -> None:
    bore = row(wrenfield, "bearing_fit", "housing_bore")
    seat = row(wrenfield, "bearing_fit", "shaft_seat")
    assert (bore.lower, bore.upper) == pytest.approx((52 - 0.039, 52 - 0.009))
    assert (seat.lower, seat.upper) == pytest.approx((25 + 0.002, 25 + 0.011))


@pytest.mark.published("ISO 492, class Normal: outside diameter 50 to 80 mm, 0/-13 um; ISO 15: 6205 is 25 x 52 x 15")
def test_bearing(wrenfield: Build) -> None:
    outside = row(wrenfield, "bearing_fit", "bearing_outside")
    assert (outside.nominal, outside.lower, outside.upper) == pytest.approx((52, 51.987, 52.0))


@pytest.mark.published("ISO 606: pitch of 10B 15.875 mm")
def test_chain_pitch(wrenfield: Build) -> None:
    assert row(wrenfield, "final_chain", "length").nominal == pytest.approx(20 * 15.875)


@pytest.mark.recalled("ISO 606: length of a new chain 0 to + 0.15 %")
def test_new_chain(wrenfield: Build) -> None:
    assert row(wrenfield, "final_chain", "length").upper == pytest.approx(317.5 * 1.0015, abs=0.005)


@pytest.mark.practice
def test_a_chain_is_worn_at_two_per_cent(wrenfield: Build) -> None:
    assert row(wrenfield, "final_chain", "length").wear_limit == pytest.approx(317.5 * 1.02, abs=0.06)


@pytest.mark.published("49 CFR 571.116: DOT 4, wet boiling point 155 degC")
def test_brake_fluid(wrenfield: Build) -> None:
    assert row(wrenfield, "hydraulics", "fluid_boiling").lower == 155


@pytest.mark.published("Directive 93/14/EEC, app. 1: S = 0.1 V + V2/115 front only, 0.1 V + V2/75 rear only")
def test_stopping_distance(wrenfield: Build) -> None:
    for key, divisor in (("front_distance", 115), ("rear_distance", 75)):
        assert row(wrenfield, "brake_check", key).upper == pytest.approx(0.1 * 60 + 60**2 / divisor, abs=0.05)


@pytest.mark.published("ASME B18.29.2M, printed example: M8x1.25, 12 mm insert, plug tap: 23.5 mm full depth")
def test_thread_repair_depth(wrenfield: Build) -> None:
    assert row(wrenfield, "thread_repair", "drilled_depth").lower == 23.5


def test_swept_volume_is_that_of_its_name(wrenfield: Build) -> None:
    bore, stroke, count = 68, 62, 2
    assert wrenfield.machine["bore_and_stroke"].startswith(f"{bore} mm x {stroke} mm")
    assert 3.14159265 / 4 * bore**2 * stroke * count / 1000 == pytest.approx(450, abs=1)


def test_torques_in_both_units_agree(wrenfield: Build) -> None:
    """Where a joint and a row of the spec book state the same torque, they state the same torque."""
    for key, sheet, joint in (
        ("head_nut", "tightening_plan", "cylinder_head"),
        ("disc_bolt_torque", "disc", "front_disc"),
        ("caliper_bolt_torque", "disc", "front_caliper"),
        ("axle_nut_torque", "wheels", "rear_wheel"),
    ):
        torque = wrenfield.joints.get(joint).fasteners[0].torque
        assert torque is not None
        assert row(wrenfield, sheet, key).nominal == pytest.approx(torque.to("N m").value, rel=0.01)


def test_the_feet_lie_as_they_are_numbered(wrenfield: Build) -> None:
    """Seen from above, x to the right and y to the front: clockwise from the front left, the mass between them."""
    feet: list[list[float]] = wrenfield.parameters["gearbox_mounting"]["feet_mm"]  # type: ignore[assignment]
    x, y = wrenfield.parameters["gearbox_mounting"]["mass_mm"]  # type: ignore[misc]
    turns = [
        (bx - ax) * (cy - by) - (by - ay) * (cx - bx)
        for (ax, ay), (bx, by), (cx, cy) in zip(feet, feet[1:] + feet[:1], feet[2:] + feet[:2], strict=True)
    ]
    assert all(turn < 0 for turn in turns)
    assert feet[0][1] > feet[2][1]
    assert feet[0][0] < feet[1][0]
    assert min(f[0] for f in feet) < x < max(f[0] for f in feet)
    assert min(f[1] for f in feet) < y < max(f[1] for f in feet)
    (nuts,) = wrenfield.joints.get("gearbox_mounting").fasteners
    assert [list(point) for point in nuts.layout] == feet


# -- the story


def of(kind: str) -> list[dict[str, Any]]:
    return [event for event in STORY if event["kind"] == kind]


def test_events_come_in_the_order_of_time_with_an_offset() -> None:
    times = [event["at"] for event in STORY]
    assert times == sorted(times)
    assert all(at.utcoffset() in (timedelta(hours=1), timedelta(hours=2)) for at in times)
    assert (times[0].year, times[-1].year) == (2025, 2026)


def test_it_shows_what_a_restoration_is_like() -> None:
    assert {event["kind"] for event in STORY} == {
        "reading",
        "strike",
        "joint",
        "disturb",
        "check",
        "usage",
        "part",
        "work",
        "note",
        "photo",
        "run",
    }
    assert not all(check["good"] for check in of("check"))
    assert {joint["state"] for joint in of("joint")} == {"apart", "dry-fitted", "temporary", "tightened", "final"}
    assert {joint.get("waiting", "") for joint in of("joint")} == {"", "part", "cure"}
    assert {work.get("state", "") for work in of("work")} == {"", "sent", "returned", "sent back", "accepted"}
    assert len(of("usage")) >= 4


@pytest.mark.parametrize("event", of("reading"), ids=lambda e: f"{e['at']:%m-%d %H:%M} {e['characteristic']}")
def test_readings_fit_the_spec_book(wrenfield: Build, event: dict[str, Any]) -> None:
    spec = row(wrenfield, event["sheet"], event["characteristic"])
    places = [find_position(spec.positions, position) for position in event["values"]]
    assert len(set(places)) == len(places)
    values = [read(typed, spec.unit).to(spec.unit).value for typed in event["values"].values()]
    if spec.unit == "date":
        return  # a mark is read without a gauge
    gauge = wrenfield.instruments[event.get("instrument") or spec.instrument or ""]
    if gauge.resolution is not None and spec.unit != "degC":
        step = convert(gauge.resolution, gauge.unit, spec.unit)
        assert max(values) < 1e5 * step, "a reading that this instrument cannot show"
    if "temperature" in event:
        assert 5 < read(event["temperature"], "degC").value < 35


def test_names_in_the_story_are_those_of_the_build(wrenfield: Build) -> None:
    for event in STORY:
        if "joint" in event:
            wrenfield.joints.get(event["joint"])
        if "sheet" in event:
            wrenfield.specs.sheet(event["sheet"])
        if "instrument" in event:
            assert event["instrument"] in wrenfield.instruments
        if event["kind"] == "photo":
            assert (DEMO / "story" / event["file"]).is_file()


def test_torques_reached_are_those_planned(wrenfield: Build) -> None:
    for event in of("joint"):
        if event["state"] == "tightened" and "each" in event:
            planned = wrenfield.joints.get(event["joint"]).fasteners[0].torque
            assert planned is not None
            assert read(event["each"]).to("N m").value == pytest.approx(planned.to("N m").value, rel=0.005)


def test_nothing_is_closed_on_something_that_is_open(wrenfield: Build) -> None:
    """A mechanic cannot tighten the primary drive while the gearbox lies on the bench."""
    closed: set[str] = set()
    for event in STORY:
        if event["kind"] == "disturb":
            closed -= (
                {event["joint"]}
                if event["what"] == "loosened"
                else {event["joint"], *wrenfield.joints.resting_on(event["joint"])}
            )
        elif event["kind"] == "joint" and event["state"] in ("tightened", "final", "temporary"):
            below = set(wrenfield.joints.get(event["joint"]).rests_on)
            assert below <= closed or event["state"] == "temporary", (event["at"], event["joint"], below - closed)
            closed.add(event["joint"])


@pytest.mark.practice
def test_a_rigid_gearbox_stands_on_at_least_three_feet() -> None:
    """On any date the gaps in force without shims show one high foot at most: a plane through three is free."""
    gaps: dict[str, float] = {}
    for event in STORY:
        if event.get("characteristic") == "gap" and event.get("occasion", "as found") == "as found":
            gaps |= {p: read(v, "mm").to("mm").value for p, v in event["values"].items()}
        elif event["kind"] == "strike" and event["of"]["characteristic"] == "gap":
            gaps.pop(event["of"]["position"])
        if event["kind"] == "run" and event["template"] == "drivetrain/gearbox_mounting":
            assert sum(gap > 0 for gap in gaps.values()) <= 1


@pytest.mark.practice
def test_the_shims_under_the_foot_fill_its_gap_and_are_in_stock(wrenfield: Build) -> None:
    sizes = {read(s).to("mm").value for s in wrenfield.parameters["gearbox_mounting"]["stock"]}  # type: ignore[attr-defined]
    loose = 0.0
    for event in STORY:
        if event.get("characteristic") == "gap" and event.get("occasion", "as found") == "as found":
            loose = read(event["values"].get("foot 1", "0"), "mm").to("mm").value or loose
        if event.get("characteristic") == "gap" and event.get("occasion") == "after rework":
            leaves = [float(v) for v in re.findall(r"[\d.]+", event["note"].partition(" mm under foot 1")[0])]
            assert all(any(abs(leaf - size) < 1e-9 for size in sizes) for leaf in leaves)
            assert leaves
            # a flat plate on four feet: what the stack misses the gap by, too little or too much, hangs under one foot
            assert max(map(float, event["values"].values())) == pytest.approx(abs(sum(leaves) - loose), abs=0.005)


def _readings(sheet: str, key: str) -> list[tuple[str, str]]:
    return [
        (p, v)
        for e in of("reading")
        if (e["sheet"], e["characteristic"]) == (sheet, key)
        for p, v in e["values"].items()
    ]


def test_it_ends_with_something_to_settle(wrenfield: Build) -> None:
    """One clearly outside, one within its gauge's error of the limit, one not measured at all."""
    wall, depth = row(wrenfield, "thread_repair", "wall"), wrenfield.instruments["calliper"].error
    assert wall.lower is not None
    assert depth is not None
    assert float(dict(_readings("thread_repair", "wall"))["nearest"]) < wall.lower - 10 * depth
    movement, dial = row(wrenfield, "gearbox_mounting", "foot_movement"), wrenfield.instruments["dial_indicator"]
    last = float(dict(_readings("gearbox_mounting", "foot_movement"))["foot 4"])
    assert movement.upper is not None
    assert dial.error is not None
    assert movement.upper - dial.error < last < movement.upper
    assert _readings("wheels", "line") == []


def test_an_instrument_that_failed_was_good_before_and_used_between() -> None:
    failed = next(check for check in of("check") if not check["good"])
    good = next(c for c in of("check") if c["instrument"] == failed["instrument"] and c["good"])
    used = [e for e in of("reading") if e.get("instrument") == failed["instrument"]]
    assert used
    assert all(good["at"] < e["at"] < failed["at"] for e in used)


def test_the_rework_opens_a_joint_low_in_the_stack_late(wrenfield: Build) -> None:
    late = [e for e in of("disturb") if e["at"] > STORY[-1]["at"] - timedelta(days=60) and e["what"] == "removed"]
    assert max(len(wrenfield.joints.relying_on(e["joint"])) for e in late) >= 3


def test_the_odometer_runs_forwards() -> None:
    values = [float(event["value"]) for event in of("usage")]
    assert all(a < b for a, b in itertools.pairwise(values))


def test_pictures_are_small_and_hold_nothing_but_the_picture() -> None:
    for path in sorted(Path(DEMO / "story" / "pictures").glob("*.png")):
        data = path.read_bytes()
        assert len(data) < 60_000
        assert not any(chunk in data for chunk in (b"eXIf", b"tEXt", b"iTXt", b"zTXt"))
