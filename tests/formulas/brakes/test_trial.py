"""A brake trial corrected to the speed of its limit: against published rules, and what no tyre can do."""

from __future__ import annotations

import math
from typing import NamedTuple

import pytest

from restonb.errors import FormulaError
from restonb.formulas import brakes

FIRST_TOUCH = "motorcycle, all controls, from the first touch"


class With(NamedTuple):
    """A number with its standard uncertainty, as other libraries hand it over."""

    nominal_value: float
    std_dev: float


@pytest.mark.published("EN 14766:2005, 4.6.7.5.1.9: corrected distance = distance (V / measured V)^2")
def test_corrected_by_the_square_of_the_speed() -> None:
    assert brakes.corrected_distance(16.2, 41.2, 40, FIRST_TOUCH).distance == pytest.approx(15.2700537)
    assert brakes.corrected_distance(16.2, 41.2, 40, FIRST_TOUCH).distance == pytest.approx(16.2 * (40 / 41.2) ** 2)


@pytest.mark.recalled("GTR 3 and 49 CFR 571.122: S = 0.1 V + (Sm - 0.1 Vm) V^2/Vm^2, within 5 km/h")
def test_corrected_with_the_build_up_of_the_brake() -> None:
    """By hand: 6 + (36 - 5.8) 3600/3364 = 38.3187 m; at the nominal speed the distance stays what it is."""
    assert brakes.corrected_distance(36, 58, 60).distance == pytest.approx(38.3186683)
    assert brakes.corrected_distance(36, 60, 60).distance == pytest.approx(36)


@pytest.mark.parametrize("test", [FIRST_TOUCH, "motorcycle, front only"])
def test_the_speed_counts_twice_in_the_uncertainty(test: str) -> None:
    """JCGM 100, 5.1.2, with derivatives worked out by hand; 0.600456 m for the plain square."""
    build_up = 0.0 if test == FIRST_TOUCH else 0.1
    s, us, vm, uv, v = 16.2, 0.1, 41.2, 0.8, 40.0
    by_s = v**2 / vm**2 * us
    by_v = v**2 * (build_up / vm**2 - 2 * s / vm**3) * uv
    got = brakes.corrected_distance(With(s, us), With(vm, uv), v, test)
    assert got["distance"].u == pytest.approx(math.hypot(by_s, by_v), rel=1e-3)
    if test == FIRST_TOUCH:
        assert got["distance"].u == pytest.approx(0.600456376, rel=1e-3)


def test_deceleration_by_hand() -> None:
    """v^2/2s: (40/3.6)^2/31 m/s2."""
    got = brakes.corrected_distance(15.5, 40, 40)
    assert got.deceleration == pytest.approx((40 / 3.6) ** 2 / 31)
    assert got.grip == pytest.approx(got.deceleration / 9.80665)


@pytest.mark.parametrize(
    ("distance", "measured", "says"),
    [
        (3.4, 60, "no tyre on a road gives more than about 1 g"),
        (20, 30, "more than 5 km/h off"),
        (30, 54.9, "run it again at that speed"),
        (30, 65.1, "run it again at that speed"),
        (0, 60, "above 0"),
        (30, 0, "above 0"),
    ],
)
def test_refused(distance: float, measured: float, says: str) -> None:
    with pytest.raises(FormulaError, match=says):
        brakes.corrected_distance(distance, measured, 60)


@pytest.mark.practice
def test_a_brake_that_hardly_works_is_remarked() -> None:
    """60 km/h in 80 m is 1.74 m/s2, 0.18 g."""
    assert any("hardly works" in note for note in brakes.corrected_distance(80, 60, 60).notes)
    assert not any("hardly works" in note for note in brakes.corrected_distance(30, 60, 60).notes)
