"""Engine formulas by hand, by a second method, and against the standard atmosphere."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas import engine


def test_displacement_by_hand() -> None:
    assert float(engine.displacement(70, 65, 2)) == pytest.approx(math.pi / 4 * 4900 * 65 * 2 / 1000)
    assert float(engine.displacement("86 mm", "86 mm")) == pytest.approx(499.557, abs=1e-3)


def test_compression_ratio_by_hand() -> None:
    assert float(engine.compression_ratio(250.146, 29.1)) == pytest.approx(279.246 / 29.1)
    by_hand = 28 + math.pi / 4 * 71.5**2 * 1.2 / 1000 + math.pi / 4 * 70**2 * 0.1 / 1000 - 2.5
    assert float(engine.clearance_volume(28, 71.5, 1.2, 70, 0.1, 2.5)) == pytest.approx(by_hand)


@pytest.mark.parametrize(("angle", "x"), [(0, 0), (180, 65), (360, 0)])
def test_piston_at_the_ends(angle: float, x: float) -> None:
    assert float(engine.piston_position(angle, 65, 130)) == pytest.approx(x, abs=1e-9)


@pytest.mark.parametrize("angle", [45, 90, 137])
def test_piston_by_points(angle: float) -> None:
    """Crank pin and gudgeon pin as points: the pin lies where a circle about the crank pin meets the axis."""
    r, rod = 32.5, 130.0
    pin = complex(0, 0) + r * complex(math.sin(math.radians(angle)), math.cos(math.radians(angle)))
    low, high = pin.imag, pin.imag + rod
    for _ in range(200):
        mid = (low + high) / 2
        low, high = (mid, high) if abs(complex(0, mid) - pin) < rod else (low, mid)
    assert float(engine.piston_position(angle, 65, 130)) == pytest.approx(r + rod - low, abs=1e-9)


@pytest.mark.recalled("ISO 2533 and US Standard Atmosphere 1976")
@pytest.mark.parametrize(("h", "p"), [(0, 101.325), (500, 95.461), (1500, 84.556)])
def test_air_pressure(h: float, p: float) -> None:
    assert float(engine.air_pressure(h)) == pytest.approx(p, abs=0.01)


def test_compression_at_sea_level_by_hand() -> None:
    assert float(engine.compression_at_sea_level(1000, 84.56)) == pytest.approx(1084.56 * 101.325 / 84.56 - 101.325)


@settings(deadline=None)
@given(st.floats(300, 1500), st.floats(60, 105))
def test_there_and_back(gauge: float, air: float) -> None:
    there = float(engine.compression_at_sea_level(gauge, air))
    assert float(engine.compression_at_sea_level(there, 101.325, air)) == pytest.approx(gauge)


def test_spreads_by_hand() -> None:
    assert float(engine.compression_spread([1150, 1100])) == pytest.approx(100 * 50 / 1150)
    assert float(engine.leak_down(700, 620)) == pytest.approx(100 * 80 / 700)


def test_bore_wear_by_hand() -> None:
    got = engine.bore_wear("70.045, 70.030; 70.032, 70.025; 70.012, 70.010")
    assert got.taper == pytest.approx(0.033)
    assert got.ovality == pytest.approx(0.015)
    inch = engine.bore_wear([[f"{d / 25.4} in" for d in row] for row in ((70.045, 70.030), (70.032, 70.025))])
    assert inch.taper == pytest.approx(0.013)


def test_cam_by_hand() -> None:
    """Inlet 20/56: duration 256, centre 108; exhaust 58/18: duration 256, centre 110; overlap 38."""
    got = engine.cam_timing(20, 56, 58, 18)
    assert (got.inlet_duration, got.inlet_centre, got.exhaust_centre, got.lobe_separation, got.overlap) == (
        256,
        108,
        110,
        109,
        38,
    )


def test_shim_by_hand() -> None:
    assert float(engine.end_float_shim(0.62, 0.05, 0.15)) == pytest.approx(0.52)
    assert engine.end_float_shim("24.4 thou", "2 thou", "6 thou").to("thou") == pytest.approx(20.4)


@pytest.mark.practice
def test_ring_gap() -> None:
    got = engine.ring_gap(70)
    assert (got.low, got.high) == pytest.approx((0.21, 0.28))


def test_squish() -> None:
    assert float(engine.squish(0.1, 0.9)) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: engine.squish(-1, 0.9), "touch the head"),
        (lambda: engine.piston_position(10, 65, 30), "shorter than the crank"),
        (lambda: engine.bore_wear([[70, 70.1], [70]]), "same number of axes"),
        (lambda: engine.bore_wear([[70, 2.75], [70, 70]]), "check their units"),
        (lambda: engine.air_pressure(20000), "extrapolated"),
        (lambda: engine.leak_down(600, 700), "swap"),
        (lambda: engine.end_float_shim(0.6, 0.2, 0.1), "swap"),
        (lambda: engine.clearance_volume(28, 71, 1, 70, 0.1, 60), "nothing is left"),
        (lambda: engine.compression_spread([1000]), "at least 2"),
    ],
)
def test_refused(call: object, says: str) -> None:
    with pytest.raises(FormulaError, match=says):
        call()  # type: ignore[operator]
