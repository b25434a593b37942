"""Chassis formulas by a second method and by hand."""

from __future__ import annotations

import math

import pytest

from restonb.errors import FormulaError
from restonb.formulas import chassis


@pytest.mark.parametrize(("radius", "rake", "offset"), [(310, 27, 60), (300, 28, 55), (315, 25.5, 35)])
def test_trail_by_points(radius: float, rake: float, offset: float) -> None:
    """Wheel centre at height R; the steering axis passes at `offset` from it; where the axis meets the ground."""
    a = math.radians(rake)
    along = (math.sin(a), -math.cos(a))  # down and forward
    across = (math.cos(a), math.sin(a))
    start = (-offset * across[0], radius - offset * across[1])
    t = start[1] / -along[1]
    hit = start[0] + t * along[0]
    got = chassis.trail(radius, rake, offset)
    assert got.ground == pytest.approx(hit)
    assert got.normal == pytest.approx(hit * math.cos(a))


def test_trail_without_offset() -> None:
    assert chassis.trail(310, 27, 0).ground == pytest.approx(310 * math.tan(math.radians(27)))


@pytest.mark.parametrize(
    ("erd", "f", "off", "n", "x", "hole"), [(440, 120, 30, 36, 3, 0), (440, 120, 0, 36, 0, 0), (480, 90, 35, 40, 4, 3)]
)
def test_spoke_by_points(erd: float, f: float, off: float, n: int, x: int, hole: float) -> None:
    """Straight distance between two points in space."""
    turn = 2 * math.pi * x / (n / 2)
    flange = (f / 2, 0.0, off)
    rim = (erd / 2 * math.cos(turn), erd / 2 * math.sin(turn), 0.0)
    assert float(chassis.spoke_length(erd, f, off, n, x, hole)) == pytest.approx(math.dist(flange, rim) - hole / 2)


def test_radial_spoke_by_hand() -> None:
    assert float(chassis.spoke_length(440, 120, 0, 36, 0)) == pytest.approx(160)


def test_string_by_hand() -> None:
    got = chassis.wheel_string(52, 48, 30, 30, 48, 50, 600)
    assert got.offset == pytest.approx(2)
    assert got.toe == pytest.approx(math.degrees(math.atan(-2 / 600)))


@pytest.mark.recalled("ISO 281: L10 = (C/P)^3 million revolutions for ball bearings")
def test_bearing_life_by_hand() -> None:
    assert float(chassis.bearing_life(14000, 1500, 800)) == pytest.approx((14000 / 1500) ** 3 * 1e6 / 48000)
    assert float(chassis.bearing_life(14000, 1500, 800, "roller")) > float(chassis.bearing_life(14000, 1500, 800))


def test_rim() -> None:
    assert chassis.rim_run_out("30 thou", "-10 thou").to("thou") == pytest.approx(40)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: chassis.spoke_length(440, 500, 30, 36, 3), "larger than the rim"),
        (lambda: chassis.spoke_length(440, 120, 30, 37, 3), "four divides"),
        (lambda: chassis.spoke_length(440, 120, 30, 36, 9), "too many"),
        (lambda: chassis.bearing_life(14000, 8000, 800), "does not hold"),
        (lambda: chassis.trail(310, 60, 50), "extrapolated"),
        (lambda: chassis.rim_run_out(0, 1), "swap"),
    ],
)
def test_refused(call: object, says: str) -> None:
    with pytest.raises(FormulaError, match=says):
        call()  # type: ignore[operator]
