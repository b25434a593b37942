"""Alignment: a handbook's worked example, readings simulated from two lines in a plane, and the trade's limits."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas.alignment import chain_angle, drive_line, reverse_indicator, rim_and_face, two_planes

ON_MOVABLE, ON_STATIONARY = "on the movable shaft", "on the stationary shaft"


@pytest.mark.published("Machinery Component Maintenance, p. 203")
def test_reverse_indicator_worked_example() -> None:
    """Offsets .012 and .007 in, planes 14 in apart, feet at 26 and 52 in: lower .0027, raise .0066."""
    result = two_planes("0.012 in", "0.007 in", "14 in", "26 in", "52 in")
    assert result.front / 25.4 == pytest.approx(-0.0027, abs=0.00005)
    assert result.rear / 25.4 == pytest.approx(0.0066, abs=0.00005)
    assert result.texts("steps")[0].startswith("take out")


@pytest.mark.recalled(
    "Piotrowski, Shaft Alignment Handbook (2006), face and rim method: front = bf B/D - br/2, rear = bf A/D - br/2"
)
@pytest.mark.parametrize(("foot", "expected"), [("front", 0.1), ("rear", 0.45)])
def test_rim_and_face_row(foot: str, expected: float) -> None:
    result = rim_and_face(0.3, 0.12, 120, 250, 600, ON_MOVABLE)
    assert getattr(result, foot) == pytest.approx(expected, abs=1e-9)


def test_reverse_indicator_row() -> None:
    """Reference row, checked there in 3D coordinates: y1 0.1, y2 0.16, span 150, feet 250 and 600."""
    result = two_planes(0.1, 0.16, 150, 250, 600)
    assert (result.slope, result.front, result.rear) == pytest.approx((0.0004, -0.2, -0.34))


def simulated(offset: float, slope: float, bracket: str, radius: float) -> tuple[float, float]:
    """Rim and face dial at the bottom, from the distance of points on two tilted discs (not from the formula).

    The stationary axis is the x axis; the movable one passes (0, offset) with the given slope.
    """
    tilt = math.atan(slope)
    across = (-math.sin(tilt), math.cos(tilt))

    def on_movable(height: float) -> tuple[float, float]:
        return height * across[0], offset + height * across[1]

    def seen(turn: int) -> tuple[float, float]:
        """How far each plunger is pushed in, apart from a constant."""
        if bracket == ON_MOVABLE:
            tip = on_movable(turn * radius)
            return -turn * (tip[1] - turn * radius), -tip[0]
        rim_point = on_movable(turn * radius)
        return turn * (rim_point[1] - turn * radius), -rim_point[0]

    top, bottom = seen(1), seen(-1)
    return bottom[0] - top[0], bottom[1] - top[1]


@pytest.mark.parametrize("bracket", [ON_MOVABLE, ON_STATIONARY])
@given(offset=st.floats(-1, 1), slope=st.floats(-0.003, 0.003), front=st.floats(50, 500), more=st.floats(50, 500))
def test_the_moves_bring_the_movable_axis_onto_the_stationary_one(bracket, offset, slope, front, more) -> None:
    radius = 60.0
    rim, face = simulated(offset, slope, bracket, radius)
    result = rim_and_face(rim, face, 2 * radius, front, front + more, bracket)
    assert offset + slope * front + result.front == pytest.approx(0, abs=2e-3)
    assert offset + slope * (front + more) + result.rear == pytest.approx(0, abs=2e-3)


@pytest.mark.practice
def test_the_bracket_on_the_other_half_turns_the_rim_term_round() -> None:
    movable = rim_and_face(0.3, 0.0, 120, 250, 600, ON_MOVABLE)
    stationary = rim_and_face(0.3, 0.0, 120, 250, 600, ON_STATIONARY)
    assert movable.front == pytest.approx(-0.15)
    assert stationary.front == pytest.approx(0.15)


def test_a_dial_on_the_far_side_turns_the_face_term_round() -> None:
    near = rim_and_face(0, 0.12, 120, 250, 600, ON_MOVABLE)
    far = rim_and_face(0, 0.12, 120, 250, 600, ON_MOVABLE, "far side")
    assert far.front == pytest.approx(-near.front)


@pytest.mark.practice
def test_sag_read_on_a_stiff_bar_is_no_misalignment() -> None:
    """A true pair of shafts shows exactly the sag of the bracket."""
    result = rim_and_face(-0.08, -0.01, 120, 250, 600, ON_MOVABLE, sag=-0.08, face_sag=-0.01)
    assert (result.front, result.rear) == pytest.approx((0, 0), abs=1e-12)
    assert "sag" not in " ".join(result.texts("notes"))
    assert "sag" in " ".join(rim_and_face(0, 0, 120, 250, 600, ON_MOVABLE).texts("notes"))


@given(st.floats(-0.5, 0.5), st.floats(-0.5, 0.5), st.floats(-0.1, 0))
def test_reverse_indicators_see_twice_the_offset_each_with_its_sign(y1, y2, sag) -> None:
    """The dial carried by a shaft reads + twice where its own shaft is high; on the other shaft's rim, minus."""
    readings = reverse_indicator(2 * y1 + sag, -2 * y2 + sag, 150, 250, 600, sag)
    offsets = two_planes(y1, y2, 150, 250, 600)
    assert (readings.front, readings.rear) == pytest.approx((offsets.front, offsets.rear), abs=1e-9)


def test_rim_and_face_and_reverse_indicators_agree() -> None:
    offset, slope, span = 0.2, -0.0008, 180
    one = rim_and_face(2 * offset, -slope * 120, 120, 250, 600, ON_MOVABLE)
    two = reverse_indicator(2 * offset, -2 * (offset + slope * span), span, 250, 600)
    assert (one.front, one.rear) == pytest.approx((two.front, two.rear))


def test_sprocket_angle_row() -> None:
    assert float(chain_angle(1, 600)) == pytest.approx(0.0954929, abs=1e-7)


@pytest.mark.practice
@pytest.mark.parametrize(
    ("kind", "centres", "offset", "angle"),
    [("chain", 1000, 1.0, 0.5), ("v-belt", 200, 1.0, 0.5), ("toothed belt", 200, 1.0, 0.25)],
)
def test_common_limits(kind, centres, offset, angle) -> None:
    result = drive_line(0, 0, 200, centres, kind)
    assert (result.offset_allowed, result.angle_allowed) == pytest.approx((offset, angle))
    assert result.in_line
    assert result.texts("steps") == ("it runs in line within what is usual: nothing to turn, nothing to move",)


@pytest.mark.practice
def test_what_is_within_the_usual_limits_is_not_to_be_turned() -> None:
    """600 mm of chain: 0.6 mm and 0.5 deg are usual. 0.3 mm over 200 mm is 0.09 deg; 4 mm over 200 mm is 1.1 deg."""
    near = drive_line(0.2, 0.5, 200, 600)
    assert near.in_line
    assert near.angle == pytest.approx(math.degrees(0.0015), abs=1e-4)
    assert "turn the" not in " ".join(near.texts("steps"))
    askew = drive_line(-2.0, 2.0, 200, 600)
    assert not askew.in_line
    assert askew.texts("steps")[0].startswith("turn the driven wheel by 1.15 deg")
    assert not drive_line(0.7, 0.7, 200, 600).in_line


@given(near=st.floats(-3, 3), far=st.floats(-3, 3), step=st.floats(-2, 2))
def test_turning_and_shifting_as_told_puts_both_rims_on_the_line(near, far, step) -> None:
    result = drive_line(near, far, 200, 600, "chain", step)
    rise = math.tan(math.radians(result.angle)) * 100
    assert near + rise - result.shift == pytest.approx(step, abs=1e-9)
    assert far - rise - result.shift == pytest.approx(step, abs=1e-9)


def test_shims_go_behind_a_wheel_that_is_set_back() -> None:
    steps = drive_line(0.8, 0.8, 200, 600).texts("steps")
    assert steps == (
        "move it 0.8 mm towards the straightedge: shims behind it, or as much out from behind the driving wheel",
    )


def test_adjusters_turn_the_wheel() -> None:
    assert drive_line(1.0, 1.8, 200, 600, adjuster_spacing=180).adjusters == pytest.approx(180 * 0.8 / 200)


def turned(offsets, across, end, by, spacing):
    """Offsets to the right (front, rear) after the right or left end of the axle went back by so much, the other staying.

    Seen from above: the axle turns about the end that stays, and the sprocket with it.
    """
    angle = math.atan(by / spacing) * (1 if end == "left" else -1)  # + turns the front edge to the left
    front, rear = offsets
    half = across / 2
    middle, slope = (front + rear) / 2, (front - rear) / across
    slope = math.tan(math.atan(slope) - angle)
    return middle + slope * half, middle - slope * half


@pytest.mark.parametrize(("front", "rear", "back"), [(-0.9, 0.9, "right"), (0.9, -0.9, "left")])
def test_the_end_of_the_axle_that_goes_back_turns_the_wheel_straight(front, rear, back) -> None:
    """The rear edge to the right: the wheel points to the left, and its left end lies further back; the right end goes back."""
    line = drive_line(front, rear, 100, 587, "chain", adjuster_spacing=180, plus="to the right")
    steps = line.texts("steps")
    assert (line.adjusters > 0) == (back == "right")
    end = "back" if back == "right" else "forward"
    assert steps[0].endswith(f"the right end of the axle {end} by {abs(line.adjusters):.3g} mm against the left end")
    after = turned((front, rear), 100, back, abs(line.adjusters), 180)
    assert after == pytest.approx((0, 0), abs=1e-3)


@pytest.mark.parametrize(("offset", "way"), [(2.0, "left"), (-2.0, "right")])
def test_a_wheel_beside_the_line_goes_the_other_way(offset, way) -> None:
    steps = drive_line(offset, offset, 210, 587, plus="to the right").texts("steps")
    assert steps == (f"move it 2 mm to the {way}",)


def test_the_side_of_the_straightedge_decides_what_a_gap_means() -> None:
    """The driven wheel stands 2 mm to the right. On the left faces the edge shows a gap of 2 mm; on the right faces it is in the way."""
    by_edge = drive_line(2.0, 2.0, 210, 587).texts("steps")
    assert "towards the straightedge" in by_edge[0]  # to the left, where that edge lies
    assert drive_line(2.0, 2.0, 210, 587, plus="to the right").texts("steps")[0].endswith("to the left")


@pytest.mark.parametrize(("allowed", "in_line"), [(1.0, True), (0.8, True), (0.79, False), (None, False)])
def test_the_limit_of_the_maker_goes_before_the_usual_one(allowed, in_line) -> None:
    """587 mm of chain: 0.587 mm is usual."""
    line = drive_line(0.8, 0.8, 210, 587, allowed=allowed)
    assert line.in_line is in_line
    assert line.offset_allowed == pytest.approx(0.587 if allowed is None else allowed)


def test_an_offset_on_its_limit_is_in_line() -> None:
    assert drive_line(0.1 + 0.2, 0.1 + 0.2, 210, 300).in_line  # 0.30000000000000004 of 0.3 mm


@given(st.floats(0.01, 1), st.floats(-0.5, 0.5))
def test_inches_and_millimetres_agree(rim, face) -> None:
    assume(abs(rim) > 0.01)
    mm = rim_and_face(rim, face, 120, 250, 600, ON_MOVABLE)
    inch = rim_and_face(*(f"{v / 25.4:.12f} in" for v in (rim, face, 120, 250, 600)), ON_MOVABLE)
    assert inch.front == pytest.approx(mm.front, abs=1e-8)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: rim_and_face(0.1, 0.1, 120, 250, 600), "bracket"),
        (lambda: rim_and_face(0.1, 0.1, 120, 250, 600, "left"), "write one of on the movable shaft"),
        (lambda: rim_and_face(0.1, 0.1, 0, 250, 600, ON_MOVABLE), "diameter"),
        (lambda: rim_and_face(0.1, 0.1, 120, 250, 250, ON_MOVABLE), "same distance"),
        (lambda: two_planes(0.1, math.nan, 100, 250, 600), "offset_2"),
        (lambda: two_planes(0.1, 0.1, 0, 250, 600), "span"),
        (lambda: chain_angle(1, -5), "centres"),
        (lambda: drive_line(0, 0, 200, 600, "rope"), "write one of chain"),
    ],
)
def test_impossible_input_is_refused_by_name(call, says) -> None:
    with pytest.raises(FormulaError, match=says):
        call()
