"""Final chain: elongation and miles left of the demo by hand, the decision in each case, an empty build."""

import shutil
from dataclasses import replace
from types import SimpleNamespace

import pytest

from restonb import log
from restonb.decisions import NotYet, worst_state
from restonb.decisions.drivetrain.final_chain import (
    Chain,
    allowed,
    front_and_rear,
    next_steps,
    pointing,
    tightest,
    turns,
    wear,
)
from restonb.formulas import alignment, chain
from restonb.measure import Verdicts
from restonb.quantity import Quantity
from restonb.record import Record, enter_readings
from restonb.stated import Build

SHEET = "final_chain"


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def found(run):
    return {step["finding"]: step["state"] for step in run.filed["steps"]}


def by_finding(steps):
    return {step.finding: step for step in steps}


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", "")] * 3


def test_the_old_chain_is_done(runs):
    """12-25/32 in is 12.78125 x 25.4 = 324.64375 mm over 20 links of 15.875 mm: 2.25 % longer than new."""
    assert numbers(runs[0])["elongation"] == pytest.approx(100 * (12.78125 * 25.4 / 317.5 - 1))
    assert found(runs[0]) == {"length.worn": "to do"}


def test_the_new_chain_is_well_and_nothing_is_open(runs):
    assert {v["verdict"] for v in runs[1].filed["verdicts"]} == {"inside"}
    assert set(found(runs[1]).values()) == {"settled"}
    assert runs[1].filed["open"] == []


def test_the_links_to_order_are_those_of_the_story(runs):
    """X = 2 x 587/15.875 + 63/2 + (27/2 pi)^2 x 15.875/587 = 73.95 + 31.5 + 0.50 = 105.95 by the handbook's short form."""
    short_form = 2 * 587 / 15.875 + 63 / 2 + (27 / 6.2832) ** 2 * 15.875 / 587
    assert short_form == pytest.approx(105.95, abs=0.01)
    assert numbers(runs[0])["links"] == 106


def test_the_line_through_the_readings_meets_the_limit(runs):
    """317.60, 317.75, 317.85, 317.95 mm at 31462, 31640, 31815, 31988 miles; least squares by hand, limit 323.8 mm."""
    x, y = [31462, 31640, 31815, 31988], [317.60, 317.75, 317.85, 317.95]
    mx, my = sum(x) / 4, sum(y) / 4
    rate = sum((a - mx) * (b - my) for a, b in zip(x, y, strict=True)) / sum((a - mx) ** 2 for a in x)
    assert numbers(runs[2])["lasts_to"] == pytest.approx(mx + (323.8 - my) / rate)
    assert numbers(runs[2])["lasts_at_least_to"] < numbers(runs[2])["lasts_to"]


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty(f"drivetrain/{SHEET}")
    assert (run.state, run.reason) == ("good", "")
    assert run.filed["numbers"] == {}
    assert found(run) == {"length.measure": "to do"}


def test_nothing_is_projected_from_two_mileages():
    told = wear([(100, 317.5), (100, 317.6), (200, 317.7)], Quantity(323.8, "mm"), 0.03)
    assert isinstance(told, NotYet)


# -- the decision alone


def line_rows(judged, front, rear):
    """Verdicts on the offsets at both places, with limits of 1 mm to either side."""
    rows = [judged("offset", lower=-1.0, upper=1.0, value=v, **{at: "inside" if abs(v) <= 1 else "outside"})
            for at, v in (("front", front), ("rear", rear))]  # fmt: skip
    return Verdicts((*rows[0], *rows[1]))


def lie_of(front, rear, across=210):
    return alignment.drive_line(
        front, rear, across, 587, "chain", adjuster_spacing=180, allowed=1.0, plus="to the right"
    )


@pytest.fixture
def good(judged):
    """A chain on which all is well; each test spoils one thing."""
    return Chain(
        length=judged("length", over_20_links="inside"),
        over_links=20,
        elongation=0.5,
        advised=3.0,
        side_play=judged("side play", once="inside"),
        plates=judged("plates", once="inside"),
        clip=judged("faults", clip_direction="inside", clip_seat="inside", stiff_link="inside"),
        slack=judged("slack", tightest="inside", slackest="inside"),
        tight_spot=judged("spread", once="inside"),
        line=line_rows(judged, 0.1, 0.2),
        lie=lie_of(0.1, 0.2),
        turns=NotYet(("adjuster_turn",)),
        sprocket=judged("lift", once="inside"),
        wear=NotYet(("miles",)),
    )


def test_all_is_well(good):
    steps = next_steps(good)
    assert worst_state(steps) == "settled"
    assert len(steps) == 8


@pytest.mark.parametrize("place", ["clip direction", "clip seat", "stiff link"])
def test_a_faulty_joining_link_is_not_ridden(good, judged, place):
    words = dict.fromkeys(("clip_direction", "clip_seat", "stiff_link"), "inside") | {
        place.replace(" ", "_"): "outside"
    }
    step = by_finding(next_steps(good._replace(clip=judged("faults", **words))))["clip.outside"]
    assert (step.state, step.safety, step.about) == ("stop", True, (("faults", place),))


@pytest.mark.parametrize(
    ("changes", "finding", "state"),
    [
        ({"length": {"over_20_links": "too close to call"}}, "length.close", "not known"),
        ({"length": {"over_20_links": "no limit"}}, "length.limit", "not known"),
        ({"side_play": {"once": "not measured"}}, "side_play.measure", "to do"),
        ({"side_play": {"once": "too close to call"}}, "side_play.close", "not known"),
        ({"plates": {"once": "no limit"}}, "plates.limit", "not known"),
        ({"clip": {"clip_seat": "no limit"}}, "clip.limit", "not known"),
        ({"slack": {"tightest": "not measured"}}, "slack.measure", "to do"),
        ({"slack": {"tightest": "too close to call"}}, "slack.close", "not known"),
        ({"tight_spot": {"once": "outside"}}, "tight_spot.outside", "to do"),
        ({"line": {"front": "not measured"}}, "line.measure", "to do"),
        ({"line": {"front": "too close to call"}}, "line.close", "not known"),
        ({"sprocket": {"once": "outside"}}, "sprocket.outside", "to do"),
        ({"sprocket": {"once": "not measured"}}, "sprocket.measure", "to do"),
        ({"sprocket": {"once": "too close to call"}}, "sprocket.close", "not known"),
        ({"sprocket": {"once": "no limit"}}, "sprocket.limit", "not known"),
    ],
)
def test_the_decision_in_each_case(good, judged, changes, finding, state):
    spoilt = {name: judged(name, **words) for name, words in changes.items()}
    steps = next_steps(good._replace(**spoilt))
    assert by_finding(steps)[finding].state == state
    assert worst_state(steps) != "settled"


@pytest.mark.parametrize(
    ("name", "low", "high", "value", "finding", "state"),
    [
        ("side_play", 0.05, 0.40, 0.01, "side_play.below", "stop"),
        ("side_play", 0.05, 0.40, 0.60, "side_play.above", "stop"),
        ("plates", -0.10, 0.25, -0.30, "plates.below", "stop"),
        ("plates", -0.10, 0.25, 0.50, "plates.above", "stop"),
        ("slack", 20.0, 30.0, 12.0, "slack.below", "to do"),
        ("slack", 20.0, 30.0, 45.0, "slack.above", "to do"),
    ],
)
def test_too_much_and_too_little_are_told_apart(good, judged, name, low, high, value, finding, state):
    rows = judged(name, lower=low, upper=high, value=value, once="outside")
    assert by_finding(next_steps(good._replace(**{name: rows})))[finding].state == state


# -- the count of links: exactly one more than counted, or shorter than new


@pytest.mark.parametrize(
    ("links", "over", "finding", "state"),
    [
        (21, 20, "length.count", "not known"),  # 21/20: exactly 5.0 %
        (21 * 1.01, 20, "length.count", "not known"),
        (20 * 1.0225, 20, "length.worn", "to do"),
        (20 * 0.995, 20, "length.short", "not known"),
        (19 * 1.05, 20, "length.short", "not known"),
        (17, 16, "length.count", "not known"),
    ],
)
def test_a_miscounted_chain_is_questioned(good, judged, links, over, finding, state):
    """A new chain of n links is n x 15.875 mm long; ISO 606 lets it be 0.15 % longer, and never shorter."""
    length = links * 15.875
    worn = chain.elongation(length, over, 15.875)
    past = "outside" if float(worn) > 2 else "inside"
    steps = next_steps(good._replace(length=judged("length", over_links=past), elongation=worn, over_links=over))
    assert by_finding(steps)[finding].state == state
    assert not {"length", "length.worn"} & (by_finding(steps).keys() - {finding})


@pytest.mark.recalled("ISO 606: the measuring length of a new chain is within +0.15 / 0 % of nominal")
@pytest.mark.parametrize("by", [0.0, 0.15])
def test_a_new_chain_is_not_questioned(good, by):
    assert by_finding(next_steps(good._replace(elongation=by)))["length"].state == "settled"


def test_a_chain_of_one_link_less_is_refused_by_the_formula(good, judged):
    refused = good._replace(
        length=judged("length", over_20_links="outside"), elongation=NotYet(("x makes -19.5 %; y",))
    )
    assert by_finding(next_steps(refused))["length.refused"].state == "not known"


@pytest.mark.practice
def test_the_advised_limit_counts_only_where_none_is_stated(good):
    over = good._replace(elongation=3.4)
    assert by_finding(next_steps(over)).keys() == {"length.worn"}
    row = good.length.rows[0]
    stated = Verdicts((replace(row, characteristic=row.characteristic._replace(wear_limit=330.0)),))
    assert by_finding(next_steps(over._replace(length=stated)))["length"].state == "settled"


def test_a_wrong_pitch_is_an_open_point_and_no_failed_run(play, tmp_path):
    """324.644 mm over 20 links is 16.232 mm each: no chain of 1/2 in (12.7 mm) is worn by 27.8 %."""
    build = Build.open(shutil.copytree(play(SHEET)[0].folder, tmp_path / SHEET))
    with Record.open(build) as record:
        enter_readings(record, build, SHEET, "length", {"over 20 links": "324.644 mm"})
        run = log.run(build, record, f"drivetrain/{SHEET}", {"pitch": "1/2 in"})
    assert (run.state, run.reason) == ("good", "")
    assert "elongation" not in run.filed["numbers"]
    assert found(run)["length.refused"] == "not known"
    assert "closing" not in found(run)


# -- left and right: the wheel itself, by coordinates


def wheel(angle_deg, right, end_back=("right", 0.0)):
    """Offsets (front, rear) to the right of a wheel sprocket of 210 mm whose front edge points to the right by an angle.

    Seen from above, x to the right and y to the front: the plane of the sprocket runs along (sin a, cos a).
    """
    from math import radians, tan

    return tuple(right + y * tan(radians(angle_deg)) for y in (105.0, -105.0))


@pytest.mark.parametrize(
    ("points", "back", "forward"), [(1.0, "left", "right"), (-1.0, "right", "left")], ids=["right", "left"]
)
def test_the_end_of_the_axle_that_goes_back_is_the_one_away_from_where_the_wheel_points(
    good, judged, points, back, forward
):
    """A wheel that points to the right has its axle further back on the right; bringing the left end back turns it straight.

    The axle lies square to the wheel: along (cos a, -sin a) towards the right end. With a > 0 the right end lies behind.
    """
    from math import radians, sin, tan

    front, rear = wheel(points, 0.0)
    lie = lie_of(front, rear)
    assert pointing(lie.angle) == pytest.approx(points)
    assert lie.adjusters * points < 0
    assert abs(lie.adjusters) == pytest.approx(180 * tan(radians(1.0)))
    right_end = -sin(radians(points))  # how far the right end lies to the front
    assert (right_end < 0) == (back == "left")
    step = by_finding(next_steps(good._replace(line=line_rows(judged, front, rear), lie=lie)))["line.angle"]
    assert (step.values["side"], step.values["other"]) == (back, forward)
    assert step.values["back"].value == pytest.approx(abs(lie.adjusters))


@pytest.mark.parametrize(("right", "side", "other"), [(2.0, "right", "left"), (-2.0, "left", "right")])
def test_a_wheel_beside_the_line_is_shifted_back_and_not_turned(good, judged, right, side, other):
    steps = by_finding(next_steps(good._replace(line=line_rows(judged, right, right), lie=lie_of(right, right))))
    assert "line.angle" not in steps
    step = steps["line.offset"]
    assert (step.values["side"], step.values["other"], step.values["off"].value) == (side, other, 2.0)


@pytest.mark.parametrize(("gap", "points"), [(20.0, -1.0), (-20.0, 1.0)], ids=["points left", "points right"])
def test_the_sheet_of_the_wheels_says_the_same_of_the_same_wheel(good, judged, gap, points):
    """A rear wheel that points to the left carries its strings to the left: the left string's gap at the front wheel is the larger.

    Both sheets then bring the axle forward on the left, where it lies further back.
    """
    from restonb.decisions.chassis import wheels

    rows = judged("line", lower=-6.0, upper=6.0, value=gap, once="outside")
    behind = by_finding(wheels._line(rows))["line.outside"].values["behind"]
    front, rear = wheel(points, 0.0)
    step = by_finding(next_steps(good._replace(line=line_rows(judged, front, rear), lie=lie_of(front, rear))))[
        "line.angle"
    ]
    assert step.values["other"] == behind == ("left" if points < 0 else "right")


def test_the_turns_of_the_adjuster(good, judged):
    """1 deg over 180 mm between the adjusters is 3.14 mm; at 1.25 mm a turn 2.51 turns."""
    front, rear = wheel(1.0, 0.0)
    lie = lie_of(front, rear)
    turned = turns(lie.adjusters, "1.25 mm")
    assert turned == pytest.approx(3.142 / 1.25, abs=1e-3)
    spoilt = good._replace(line=line_rows(judged, front, rear), lie=lie, turns=turned)
    assert by_finding(next_steps(spoilt))["line.angle"].values["turns"].value == pytest.approx(2.5)
    assert isinstance(turns(None, "1.25 mm"), NotYet)


def test_a_sprocket_that_points_off_is_found_though_both_places_are_inside(good, judged):
    """0.9 mm to either side over 60 mm is 1.7 deg; 0.5 deg is usual."""
    spoilt = good._replace(line=line_rows(judged, -0.9, 0.9), lie=lie_of(-0.9, 0.9, across=60))
    assert by_finding(next_steps(spoilt))["line.angle"].state == "to do"


def test_out_of_line_without_an_angle_asks_for_both(good, judged):
    spoilt = good._replace(line=line_rows(judged, 1.5, 0.2), lie=NotYet(("across",)))
    assert by_finding(next_steps(spoilt))["line.outside"].state == "to do"


def test_the_limit_of_the_spec_book_goes_before_the_usual_one():
    assert allowed((-1.0, 1.5)) == 1.0
    assert allowed(NotYet(("limits",))) is None
    assert allowed((0.5, 1.0)) is None


def test_one_place_shows_no_angle():
    assert front_and_rear([0.2, 0.3]) == (0.2, 0.3)
    assert isinstance(front_and_rear([0.2]), NotYet)
    assert tightest([26.0, 24.0]) == 24.0


@pytest.mark.parametrize("other", ["length", "line", "slack"])
def test_a_gauge_that_failed_its_check_settles_nothing(good, other):
    rows = Verdicts(tuple(replace(row, doubt="the gauge failed its check") for row in getattr(good, other)))
    steps = next_steps(good._replace(**{other: rows}))
    assert by_finding(steps)[f"{other}.doubt"].state == "not known"
    assert other not in by_finding(steps)


def test_one_place_of_the_wheel_sprocket_leaves_the_line_open(small):
    rows = "length,links 20,,323.8,mm\nsprocket_right,once,-1,1,mm\n"
    readings = {"length": {"over 20 links": "318 mm"}, "sprocket_right": {"once": "0.1 mm"}}
    run = small(f"drivetrain/{SHEET}", rows, readings, centres="587 mm", across="210 mm")
    assert (run.state, run.reason) == ("good", "")
    assert found(run)["line.unproved"] == "not known"


def test_the_sentences_are_there_to_be_read(good, judged, capsys):
    """Nothing is compared: run with -s to read them aloud."""
    from restonb.decisions import sentence

    front, rear = wheel(1.0, 2.0)
    cases = [
        good,
        good._replace(line=line_rows(judged, front, rear), lie=lie_of(front, rear), turns=2.5),
        good._replace(elongation=5.0, length=judged("length", over_20_links="outside")),
        good._replace(elongation=-0.5),
        good._replace(wear=SimpleNamespace(at=40886.4, earliest=37674.0)),
    ]
    for case in cases:
        for step in next_steps(case):
            assert "{" not in sentence(step)
            print(f"{step.state}: {sentence(step)}")
