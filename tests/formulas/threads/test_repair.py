"""Depth budget and repair plan."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas import threads


@pytest.mark.published(
    "ASME B18.29.2M; Machinery's Handbook 31 p. 1746, example 3: M8x1.25, 12 mm insert, plug tap, 23.5 mm"
)
def test_depth_of_the_printed_example() -> None:
    assert threads.blind_depth("M8x1.25", 12, 8.3).full == pytest.approx(23.5, abs=0.05)


def test_male_centre_is_for_small_plug_taps_only() -> None:
    """8 mm and smaller: 0.5 d more, by ASME B18.29.2M. 12 + (1 + 4 + 1) 1.25 = 19.5 without it."""
    assert threads.blind_depth("M8", 12, 8.3, male_centre=0).full == pytest.approx(19.5)
    assert threads.blind_depth("M8", 12, 8.3, "bottoming").full == pytest.approx(12 + 4 * 1.25)
    assert threads.blind_depth("M10", 15, 10.4).full == pytest.approx(15 + 6 * 1.5)


@pytest.mark.recalled("handbooks: bottoming taps have 1 to 2 threads of chamfer, plug taps 3 to 5, taper taps 7 to 10")
@pytest.mark.parametrize(("tap", "low", "high"), [("bottoming", 1, 2), ("plug", 3, 5), ("taper", 7, 10)])
def test_chamfer_of_taps(tap: str, low: float, high: float) -> None:
    ground = threads.blind_depth("M10", 15, 10.4, tap, setback=0, clearance=0).full - 15
    assert low * 1.5 <= ground <= high * 1.5


def test_budget_by_hand() -> None:
    """12 + (0.5 + 2 + 1) 1.25 = 16.375 mm, and a 118 degree point adds 0.3 d."""
    got = threads.blind_depth("M8", 12, 8.3, "bottoming", setback=0.5, clearance=1, chamfer=2)
    assert got.full == pytest.approx(16.375)
    assert got.tip - got.full == pytest.approx(8.3 / 2 / math.tan(math.radians(59)))
    assert got.tip - got.full == pytest.approx(0.3 * 8.3, rel=2e-3)
    assert got.tap_mark == pytest.approx(16.375 - 1.25)
    assert got.drill_mark == got.tip


def test_floor_and_its_cautions() -> None:
    assert threads.blind_depth("M8", 12, 8.3, depth=30).floor == pytest.approx(
        30 - 23.5 - 8.3 / 2 / math.tan(math.radians(59))
    )
    assert "breaks through" in threads.blind_depth("M8", 12, 8.3, depth=25).cautions[0]
    assert "flat-ended" in threads.blind_depth("M8", 12, 8.3, depth=26.5).cautions[0]
    assert "not known" in threads.blind_depth("M8", 12, 8.3).cautions[0]
    assert threads.blind_depth("M8", 12, 8.3, depth=40).cautions == ()


def test_wire_insert_plan() -> None:
    got = threads.repair_plan("M8", 800, 180, depth=40, edge=30)
    assert (got.drill, got.length, got.strong_enough, got.possible) == ("8.3 mm", 16, True, True)
    assert got.full_depth == pytest.approx(23.5 + 4)  # the printed example with 16 mm in place of 12
    assert got.wall == pytest.approx(30 - 9.6238 / 2, abs=1e-4)
    text = got.working()
    for word in ("stop tape", "tang", "countersink", "eye protection", "maker's manual"):
        assert word in text
    # what comes first must come first
    drill, tap, wind = (
        next(i for i, step in enumerate(got.steps) if step.startswith(word)) for word in ("drill", "tap", "wind")
    )
    assert drill < tap < wind


def test_bush_plan() -> None:
    got = threads.repair_plan("M8", 800, 180, "solid bush", depth=40, edge=30)
    assert (got.tap, got.hole_major) == ("M12x1.5 tap", 12)
    assert any("threadlocker" in step for step in got.steps)
    assert not any("tang" in step for step in got.steps)
    assert got.wall == pytest.approx(24)


@pytest.mark.recalled(
    "design rules for wire thread inserts: centre at least 2 bolt diameters from the edge; 2 tap diameters of wall for full strength"
)
@pytest.mark.parametrize(
    ("edge", "says"),
    [
        (4.5, "breaks through the edge"),
        (14, r"16 mm \(2 bolt diameters\) is the least wanted"),
        (20, r"for full strength 19.2 mm"),
        (None, "not known"),
    ],
)
def test_wall_rules(edge: float | None, says: str) -> None:
    got = threads.repair_plan("M8", 800, 180, depth=40, edge=edge)
    assert any(re.search(says, caution) for caution in got.cautions)
    assert got.possible == (edge != 4.5)


def test_hole_that_is_too_shallow_is_not_possible() -> None:
    got = threads.repair_plan("M8", 800, 180, depth=20, edge=30)
    assert not got.possible
    assert got.floor is not None
    assert got.floor < 0
    assert threads.repair_plan("M8", 800, 180, depth=20, edge=30, length=8, tap="bottoming").possible
    thin = threads.repair_plan("M8", 800, 180, depth=16, edge=30, through=True)
    assert not thin.possible
    assert thin.full_depth is None


def test_short_insert_says_that_the_torque_must_come_down() -> None:
    got = threads.repair_plan("M8", 800, 100, length=8, depth=40, edge=30)
    assert got.strong_enough is False
    assert any("lower the torque" in caution for caution in got.cautions)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: threads.repair_plan("2 BA", 400, 180), "geometry of inserts for BA"),
        (lambda: threads.repair_plan("M8", 800, 180, "glue"), "write one of wire insert, solid bush"),
        (lambda: threads.repair_plan("M8", 800, 180, depth=0), "'depth' is 0"),
        (lambda: threads.blind_depth("M8", -1, 8.3), "'length' is -1"),
        (lambda: threads.blind_depth("M8", 12, 8.3, point=20), "'point' is 20"),
        (lambda: threads.blind_depth("M8", "12", "8,3 mm"), "decimal comma"),
    ],
)
def test_refused(call: object, says: str) -> None:
    with pytest.raises(FormulaError, match=says):
        call()  # type: ignore[operator]


@settings(deadline=None)
@given(length=st.floats(4, 40), drill=st.floats(3, 16), setback=st.floats(0, 2), clearance=st.floats(0, 3))
def test_depth_forward_and_back_and_in_inches(length: float, drill: float, setback: float, clearance: float) -> None:
    got = threads.blind_depth("M10", length, drill, "bottoming", setback, clearance)
    assert got.full - (setback + 2 + clearance) * 1.5 == pytest.approx(length)
    assert got.tap_tip + clearance * 1.5 == pytest.approx(got.full)
    inch = threads.blind_depth(
        "M10", f"{length / 25.4:.10f} in", f"{drill / 25.4:.10f} in", "bottoming", setback, clearance
    )
    assert inch.tip == pytest.approx(got.tip, rel=1e-7)


def test_what_holds_and_what_breaks_by_hand() -> None:
    """12 mm of insert in M8x1.25 and 150 MPa: 0.577 x 150 x pi x 9.62380 x 0.875 x 0.8 x 12; the bolt: 36.609 mm2 x 800 MPa."""
    got = threads.repair_plan("M8", 800, 150, depth=40, edge=30, length=12)
    assert got.parent_strips == pytest.approx(0.577 * 150 * math.pi * 9.62380 * 0.875 * 0.8 * 12, rel=1e-5)
    assert got.bolt_breaks == pytest.approx(36.609 * 800, rel=1e-4)
    long = threads.repair_plan("M8", 800, 150, depth=60, edge=30, length=24)
    assert long.parent_strips == pytest.approx(2 * got.parent_strips)


def test_a_bush_holds_by_its_outside_thread() -> None:
    """M8 takes an M12x1.5 bush: pi x 12 x 0.875 x 0.8 per mm, in 180 MPa."""
    got = threads.repair_plan("M8", 800, 180, "solid bush", depth=40, edge=30, length=14)
    assert got.tap.startswith("M12x")
    assert got.parent_strips == pytest.approx(0.577 * 180 * math.pi * 12 * 0.875 * 0.8 * 14, rel=1e-5)


@pytest.mark.recalled("design rules for wire thread inserts: centre to edge at least two bolt diameters")
@pytest.mark.parametrize(("edge", "enough"), [(15.9, False), (16.0, True), (None, None)])
def test_two_bolt_diameters_to_the_edge_are_wanted(edge: float | None, enough: bool | None) -> None:
    got = threads.repair_plan("M8", 800, 180, depth=40, edge=edge)
    assert (got.edge_enough, got.edge_wanted) == (enough, 16)


@pytest.mark.parametrize("thread", ["5/16-22 BSF", "3/8-26 BSCyc", "1/4-20 BSW", "2 BA"])
def test_british_threads_take_a_bush_and_most_an_insert(thread: str) -> None:
    bush = threads.repair_plan(thread, 695, 150, "solid bush", depth=60, edge=40)
    assert bush.possible
    assert not bush.reasoned
    if not thread.endswith("BA"):
        assert threads.repair_plan(thread, 695, 150, depth=60, edge=40).reasoned
