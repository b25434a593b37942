"""Thread repair: depths of the standard, strength by hand, the decision in each case, and an empty build."""

import math

import pytest

from restonb import charts
from restonb.decisions import NotYet, sentence, worst_state
from restonb.decisions.fasteners.thread_repair import (
    hole_rows,
    left_below,
    lowest_factor,
    major,
    next_steps,
    share_of_hold,
)
from restonb.formulas import threads
from restonb.measure import Characteristic, Verdict, Verdicts

SHEET = "thread_repair"


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def test_it_is_run_before_the_drill_and_after_the_proof(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", ""), ("good", "")]
    before, after = ({v["characteristic"]: v["verdict"] for v in r.filed["verdicts"]} for r in runs)
    assert before["drilled_depth"] == before["proof_torque"] == "not measured"
    assert after["drilled_depth"] == after["proof_torque"] == "inside"


@pytest.mark.published("ASME B18.29.2M, printed example: M8x1.25, 12 mm insert, plug tap: 23.5 mm full depth")
def test_the_stop_tape_is_the_full_depth_and_the_point_of_the_drill(runs):
    """An 8.3 mm drill of 118 degrees has a point of 4.15/tan 59; 29.0 mm of metal less that is left."""
    tip = 23.5 + 8.3 / 2 / math.tan(math.radians(59))
    assert numbers(runs[0])["drill_mark"] == pytest.approx(tip)
    assert numbers(runs[0])["floor"] == pytest.approx(29.0 - tip)


def test_what_stays_beside_the_thread_is_the_edge_less_half_the_insert_thread(runs):
    """Insert thread of M8x1.25: 8 + 1.299 x 1.25 = 9.624 mm; the edge is 14.6 mm from the middle."""
    assert numbers(runs[0])["metal_left"] == pytest.approx(14.6 - 9.62380 / 2, abs=1e-4)


def test_the_pull_of_the_torque_and_what_the_part_holds(runs):
    """18/(0.12 x 0.008) = 18 750 N. Parent: 0.577 x 160 MPa over pi x 9.624 x 0.875 x 0.8 x 12 mm2."""
    holds = 0.577 * 160 * math.pi * 9.62380 * 0.875 * 0.8 * 12
    found = numbers(runs[0])
    assert found["pull"] == pytest.approx(18750)
    assert found["holds"] == pytest.approx(holds, rel=1e-4)
    assert found["share"] == pytest.approx(100 * 18750 / holds, rel=1e-4)


def test_a_longer_insert_does_not_fit_into_the_flange():
    """16 mm would outlast the stud, but drills to 30.0 mm where 29 mm are there."""
    long = threads.repair_plan("M8x1.25", 800, 150, depth=29.0, edge=14.6)
    short = threads.repair_plan("M8x1.25", 800, 150, depth=29.0, edge=14.6, length=12)
    assert (long.length, long.possible, long.strong_enough) == (16, False, True)
    assert (short.possible, short.strong_enough) == (True, False)


def test_decisions_of_the_story(runs):
    """The wall is thinner than wanted: the drill is stopped first; what was drilled all the same stays to be looked at."""
    first, last = ({step["finding"]: step for step in run.filed["steps"]} for run in runs)
    assert (first["wall.below"]["state"], last["wall.below"]["state"]) == ("stop", "to do")
    assert first["wall.below"]["about"] == [["wall", "nearest"]]
    assert {"floor", "strength", "hole", "fitted", "proof"} == {
        f for f, step in last.items() if step["state"] == "settled"
    }


def test_cautions_are_filed(runs):
    said = " ".join(runs[0].filed["cautions"])
    for word in (
        "Eyes",
        "Magnesium",
        "licensed shop",
        "local codes",
        "behind the hole",
        "chlorinated",
        "alternator off",
    ):
        assert word in said


def test_on_an_empty_build_nothing_may_be_drilled(empty):
    run = empty(f"fasteners/{SHEET}")
    assert run.state == "good"
    assert run.filed["numbers"] == {}
    (step,) = [step for step in run.filed["steps"] if step["finding"] == "plan.missing"]
    assert step["state"] == "to do"
    assert any("bolt_class, to be written into build.toml" in missing for missing in step["values"]["missing"])


# -- what is decided, in each case


def plan(**more):
    """M8x1.25 in aluminium: 12 mm of insert in 29 mm of metal, 16.6 mm from the edge."""
    return threads.repair_plan("M8x1.25", 800, 150, **{"depth": 29.0, "edge": 16.6, "length": 12.0} | more)


def rows(key, word="inside", value=None, places=("once",), **limits):
    c = Characteristic("thread_repair", key, key, ",".join(places), "mm", **limits)
    return Verdicts(tuple(Verdict(c, place, word, value, u=0.02) for place in places))


DEPTH = {"lower": 23.5, "upper": 26.0}
WIDTH = {"lower": 8.27, "upper": 8.43}


def hole(width="inside", depth="inside", at=8.36, down=23.9):
    return rows("drilled_diameter", width, at, ("axis A", "axis B"), **WIDTH) + rows(
        "drilled_depth", depth, down, **DEPTH
    )


def decided(at=None, share=50.0, wall=None, drilled=None, fitted=None, proof=None, floor=None):
    return next_steps(
        wall or rows("wall", "inside", 16.6, ("nearest",), lower=16.0),
        rows("floor", "inside", 3.0, lower=1.25) if floor is None else floor, at or plan(), share, drilled or hole(),
        fitted or rows("insert_setback", "inside", 0.45, lower=0.31, upper=0.63),
        proof or rows("proof_torque", "inside", 20.0, lower=18.0),
    )  # fmt: skip


UNDONE = {"drilled": hole("not measured", "not measured", None, None)}
THIN = rows("wall", "outside", 14.6, ("nearest",), lower=16.0)


@pytest.mark.parametrize(
    ("changes", "state", "finding"),
    [
        ({}, "settled", "proof"),
        ({"wall": THIN, **UNDONE}, "stop", "wall.below"),
        ({"wall": THIN}, "to do", "wall.below"),
        ({"wall": rows("wall", "no limit", 14.6, ("nearest",)), "at": plan(edge=14.6), **UNDONE}, "stop", "wall.edge"),
        ({"wall": rows("wall", "no limit", 16.6, ("nearest",)), **UNDONE}, "not known", "wall.limit"),
        ({"wall": rows("wall", "too close to call", 16.0, ("nearest",))}, "not known", "wall.close"),
        ({"at": plan(edge=4.0)}, "stop", "room.edge"),
        ({"at": plan(depth=22.0)}, "stop", "room.depth"),
        ({"at": plan(depth=12.5, through=True)}, "stop", "room.through"),
        ({"floor": rows("floor", "outside", 0.8, lower=1.25), **UNDONE}, "stop", "floor.below"),
        ({"floor": rows("floor", "outside", 0.8, lower=1.25)}, "to do", "floor.below"),
        ({"floor": Verdicts(())}, "to do", "floor.measure"),
        ({"share": 85.3}, "stop", "strength.over"),
        ({"share": NotYet(("torque",))}, "not known", "strength.unknown"),
        (UNDONE, "to do", "hole.measure"),
        ({"drilled": hole("outside", at=8.6)}, "stop", "hole.wide"),
        ({"drilled": hole("outside", at=8.1)}, "to do", "hole.small"),
        ({"drilled": hole(depth="outside", down=20.0)}, "to do", "hole.shallow"),
        ({"drilled": hole(depth="outside", down=26.2)}, "stop", "hole.deep"),
        ({"drilled": hole(depth="outside", down=27.0)}, "stop", "hole.through"),
        ({"drilled": hole("no limit")}, "not known", "hole.limit"),
        ({"fitted": rows("insert_setback", "not measured")}, "to do", "fitted.measure"),
        ({"fitted": rows("insert_setback", "outside", 0.1, lower=0.31, upper=0.63)}, "to do", "fitted.below"),
        ({"fitted": rows("insert_setback", "outside", 1.5, lower=0.31, upper=0.63)}, "to do", "fitted.above"),
        ({"fitted": rows("insert_setback", "no limit", 0.4)}, "not known", "fitted.limit"),
        ({"proof": rows("proof_torque", "not measured")}, "to do", "proof.measure"),
        ({"proof": rows("proof_torque", "outside", 14.0, lower=18.0)}, "stop", "proof.below"),
        ({"proof": rows("proof_torque", "outside", 30.0, lower=18.0, upper=21.0)}, "stop", "proof.above"),
        ({"proof": rows("proof_torque", "too close to call", 18.0)}, "not known", "proof.close"),
        ({"proof": rows("proof_torque", "no limit", 18.0)}, "not known", "proof.limit"),
    ],
)
def test_each_finding_and_nothing_settled_over_it(changes, state, finding):
    """The drill's tip lies 2.5 mm below the full bore: 23.5 + 2.5 of 29 mm leaves 3 mm, so 26.6 mm comes through."""
    steps = decided(**changes)
    found = {step.finding: step for step in steps}
    assert found[finding].state == state
    assert (worst_state(steps) == "settled") == (finding == "proof")
    for step in steps:
        assert "{" not in sentence(step)


def test_a_thin_wall_stops_before_the_drill_and_says_nothing_of_drilling():
    steps = decided(wall=THIN, at=plan(edge=14.6), **UNDONE)
    assert "hole.measure" not in {step.finding for step in steps}
    (wall,) = [step for step in steps if step.finding == "wall.below"]
    assert wall.values["wanted"].value == 16
    assert wall.about == (("wall", "nearest"),)


def test_a_wall_that_the_spec_book_allows_is_enough_though_thinner_than_usual():
    steps = decided(wall=rows("wall", "inside", 14.6, ("nearest",), lower=12.0), at=plan(edge=14.6))
    assert steps[0].state == "settled"
    assert steps[0].values["wanted"].value == 16


def test_both_ways_in_which_a_hole_is_off_are_told_each_by_its_places():
    steps = decided(drilled=hole("outside", "outside", 8.6, 20.0))
    found = {step.finding: step.about for step in steps}
    assert found["hole.wide"] == (("drilled_diameter", "axis A"), ("drilled_diameter", "axis B"))
    assert found["hole.shallow"] == (("drilled_depth", "once"),)


@pytest.mark.practice
def test_more_than_85_per_cent_of_what_the_thread_bears_is_stopped_for_safety():
    states = {share: worst_state(decided(share=share)) for share in (84.9, 85.0, 85.1)}
    assert states == {84.9: "settled", 85.0: "settled", 85.1: "stop"}
    (over,) = [step for step in decided(share=90.0) if step.finding == "strength.over"]
    assert over.safety


def test_without_a_plan_the_drill_stays_in_the_box():
    steps = next_steps(
        *(rows(k) for k in ("wall", "floor")), NotYet(("the thickness",)), 50.0, hole(), rows("a"), rows("b")
    )
    assert [(step.state, step.finding) for step in steps] == [("to do", "plan.missing")]
    assert steps[0].values["missing"] == ["the thickness"]


def test_a_hole_that_goes_right_through_has_no_depth_to_measure():
    assert hole_rows(False) == ("drilled_diameter", "drilled_depth")
    assert hole_rows(True) == ("drilled_diameter",)
    at = plan(depth=18.0, edge=40.0, through=True)
    only = rows("drilled_diameter", "inside", 8.36, ("axis A", "axis B"), **WIDTH)
    assert worst_state(decided(at=at, drilled=only)) == "settled"


@pytest.mark.parametrize("thread", ["5/16-22 BSF", "3/8-26 BSCyc"])
def test_a_british_insert_goes_by_the_sheet_of_its_tap(thread):
    at = threads.repair_plan(thread, 695, 150, depth=40, edge=30, length=12)
    (drill,) = [step for step in decided(at=at, **UNDONE) if step.finding == "hole.measure"]
    assert "the sheet of the insert's tap" in sentence(drill)


def test_what_is_left_below_the_drill_or_beyond_the_insert():
    assert left_below(plan(), 29.0).value == pytest.approx(29 - 23.5 - 8.3 / 2 / math.tan(math.radians(59)))
    assert left_below(plan(depth=18.0, through=True), 18.0).value == pytest.approx(6)
    assert not left_below(plan(depth=None), 29.0)
    assert not left_below(NotYet(("thread",)), 29.0)
    assert not left_below(plan(through=True), NotYet(("thickness",)))


def test_a_solid_bush_goes_through_the_same_steps():
    at = threads.repair_plan("M8x1.25", 800, 150, "solid bush", depth=40, edge=30, length=14)
    assert worst_state(decided(at=at)) == "settled"


@pytest.mark.practice
def test_anti_seize_pulls_harder_than_a_dry_thread():
    assert lowest_factor("anti-seize") < lowest_factor("oiled") < lowest_factor("dry steel")


def test_pieces_of_the_strength():
    assert share_of_hold(12000, 24000.0) == pytest.approx(50)
    assert not share_of_hold(NotYet(("torque",)), 24000.0)
    assert not share_of_hold(12000, NotYet(("the plan",)))
    assert major("M8x1.25") == 8


@pytest.mark.parametrize(
    ("given", "depth", "edge", "says"),
    [
        ({"depth": 29, "edge": 16.6, "length": 12}, 29, 16.6, "drill to 26 mm, tap to 22.2 mm"),
        ({"depth": 29, "edge": 14.6, "length": 12}, 29, 14.6, "with the edge nearer than two bolt diameters"),
        ({"depth": 18, "edge": 40, "length": 12, "through": True}, 18, 40, "drill and tap right through"),
        ({"depth": 22, "edge": 14.6, "length": 12}, 22, 14.6, "breaks through by 4 mm"),
        ({"depth": 40, "edge": 4, "length": 12}, 40, 4.0, "the hole breaks out by 0.8 mm"),
        ({"edge": 14.6, "method": "solid bush"}, None, 14.6, "what lies below is not known"),
        ({"depth": 40}, 40, None, "Distance to the nearest edge not known"),
    ],
)
def test_the_section_says_what_it_draws(given, depth, edge, says):
    figure = charts.thread_section(threads.repair_plan("M8x1.25", 800, 150, **given), depth, edge, thread="M8x1.25")
    assert says in charts.describe(figure)
    assert charts.svg(figure).count("<svg") == 1


def test_the_section_is_to_scale():
    """Depths and widths by one scale: 29 mm of depth against 9.62 mm across the insert's thread."""
    from matplotlib.patches import Rectangle

    plan = threads.repair_plan("M8x1.25", 800, 150, depth=29, edge=14.6, length=12)
    figure = charts.thread_section(plan, 29, 14.6)
    boxes = [p for p in figure.axes[0].patches if isinstance(p, Rectangle)]
    part = max(boxes, key=lambda p: p.get_width())
    insert = [p for p in boxes if p.get_height() == pytest.approx(part.get_height() * 12 / 29)]
    assert len(insert) == 2
    across = max(p.get_x() + p.get_width() for p in insert) - min(p.get_x() for p in insert)
    assert across / part.get_height() == pytest.approx(9.62380 / 29, rel=1e-4)
