"""Thread repair: depths of the standard, strength by hand, the decision in each case, and an empty build."""

import math
from types import SimpleNamespace

import pytest

from restonb import charts
from restonb.bench._values import NotYet
from restonb.decisions.fasteners.thread_repair import lowest_factor, major, next_steps, parent_holds, share_of_hold
from restonb.formulas import threads

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
    """18/(0.12 x 0.008) = 18 750 N. Parent: 0.577 x 150 MPa over pi x 9.624 x 0.875 x 0.8 x 12 mm2."""
    holds = 0.577 * 150 * math.pi * 9.62380 * 0.875 * 0.8 * 12
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
    assert runs[0].filed["decision"][-1].startswith("Drill 8.3 mm with the stop tape 26.0 mm behind its tip")
    assert "held its proof torque" in runs[1].filed["decision"][-1]
    assert "thinner than wanted at nearest" in runs[0].filed["decision"][0]


def test_cautions_are_filed(runs):
    said = " ".join(runs[0].filed["cautions"])
    for word in ("Eyes", "Magnesium", "licensed shop", "behind the hole"):
        assert word in said


def test_on_an_empty_build_nothing_may_be_drilled(empty):
    run = empty(f"fasteners/{SHEET}")
    assert run.state == "good"
    assert run.filed["numbers"] == {}
    assert run.filed["decision"][0].startswith("Do not drill yet")
    assert "bolt_class, to be written into build.toml" in run.filed["decision"][0]


def plan(**more):
    given = {"method": "wire insert", "length": 12.0, "drill": "8.3 mm", "drill_mark": 26.0, "tap_mark": 22.2,
             "full_depth": 23.6, "floor": 3.0, "wall": 9.8, "possible": True, "strong_enough": True} | more  # fmt: skip
    return SimpleNamespace(**given)


def decided(judged, at=None, share=50.0, wall="inside", hole="inside", fitted="inside", proof="inside"):
    rows = [judged(what, place=word) for what, word in (("hole", hole), ("set-back", fitted), ("torque", proof))]
    metal = judged("wall", nearest=wall)
    if wall != "inside":
        metal = type(metal)((SimpleNamespace(position="nearest", verdict=wall, value=14.6, unit="mm"),))
    return next_steps(metal, plan() if at is None else at, share, *rows)


@pytest.mark.parametrize(
    ("changes", "ends"),
    [
        ({"at": plan(possible=False)}, "This hole does not fit"),
        ({"share": 120.0}, "Do not repair it like this"),
        ({"hole": "not measured"}, "Drill 8.3 mm with the stop tape"),
        ({"hole": "not measured", "at": plan(drill_mark=None)}, "Drill 8.3 mm right through"),
        ({"hole": "outside"}, "The hole is not as planned: hole"),
        ({"fitted": "not measured"}, "Tap to the stop tape"),
        ({"fitted": "outside"}, "The insert does not sit"),
        ({"proof": "not measured"}, "Prove it"),
        ({"proof": "outside"}, "The repair gave way"),
        ({"proof": "too close to call"}, "Too close to call: torque: prove it once more"),
        ({"proof": "no limit"}, "It held what was tried"),
        ({}, "The repair held its proof torque"),
    ],
)
def test_the_decision_ends_with_the_first_step_that_is_left(judged, changes, ends):
    assert decided(judged, **changes)[-1].startswith(ends)


@pytest.mark.parametrize(
    ("word", "says"),
    [("outside", "thinner than wanted"), ("too close to call", "too close to call"), ("inside", "metal enough")],
)
def test_the_wall_is_told_first(judged, word, says):
    assert says in decided(judged, wall=word)[0]


def test_a_weak_insert_and_an_unknown_share_are_told(judged):
    assert "12 mm of insert strips before the bolt breaks" in decided(judged, at=plan(strong_enough=False))[1]
    assert "uses" not in decided(judged, share=NotYet(("torque",)))[1]


def test_without_a_plan_the_drill_stays_in_the_box(judged):
    assert "the thickness" in decided(judged, at=NotYet(("the thickness",)))[0]


@pytest.mark.practice
def test_anti_seize_pulls_harder_than_a_dry_thread():
    assert lowest_factor("anti-seize") < lowest_factor("oiled") < lowest_factor("dry steel")


def test_pieces_of_the_strength():
    size = SimpleNamespace(parent_strips=32000.0, length=16.0)
    assert parent_holds(size, plan()) == pytest.approx(24000)
    assert share_of_hold(12000, 24000.0) == pytest.approx(50)
    assert not parent_holds(size, plan(method="solid bush"))
    assert not parent_holds(NotYet(("x",)), NotYet(("x",)))
    assert not share_of_hold(NotYet(("torque",)), 24000.0)
    assert major("M8x1.25") == 8


@pytest.mark.parametrize(
    ("given", "depth", "edge", "says"),
    [
        ({"depth": 29, "edge": 14.6, "length": 12}, 29, 14.6, "drill to 26 mm, tap to 22.2 mm"),
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


def test_a_hole_without_limits_is_not_judged(judged):
    said = decided(judged, hole="no limit")
    assert said[2] == (
        "No limit is given for hole, so whether the hole is as planned is not judged. The plan: 8.3 mm, 23.6 mm deep to its "
        "full diameter; write its limits into the spec book."
    )
    assert "too close" not in " ".join(said)


def test_a_part_that_is_too_thin_is_told_what_depth_it_needs(judged):
    """The plan of 12 mm of insert in M8 drills 26.0 mm to the tip; in 22 mm of metal that is 4 mm too much."""
    thin = threads.repair_plan("M8x1.25", 800, 150, depth=22, edge=14.6, length=12)
    said = decided(judged, at=thin)[-1]
    assert "26.0 mm to the drill's tip, and the part is 22.0 mm thick" in said
    assert f"{float(thin.full_depth):.1f} mm deep to its full diameter" in said
    bare = threads.repair_plan("M8x1.25", 800, 150, depth=12.5, edge=14.6, length=12, through=True)
    assert "12.0 mm and one pitch thick" in decided(judged, at=bare)[-1]
    out = threads.repair_plan("M8x1.25", 800, 150, depth=40, edge=4, length=12)
    assert "breaks out at the edge by 0.8 mm" in decided(judged, at=out)[-1]


@pytest.mark.parametrize("word", ["no limit", "not measured"])
def test_metal_that_is_not_judged_is_not_called_enough(judged, word):
    row = judged("wall", nearest=word)
    said = next_steps(row, plan(), 50.0, *(judged(w, place="inside") for w in ("hole", "set-back", "torque")))
    assert "metal enough" not in said[0]
    assert "9.8 mm of metal stays" in said[0]


def test_an_insert_without_a_limit_is_not_called_well_seated(judged):
    assert any("No limit is given for how deep the insert sits" in line for line in decided(judged, fitted="no limit"))
