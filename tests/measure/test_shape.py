"""Out of centre, out of round, twisted; the best circle. Oracles: discrete Fourier transform, scipy's least squares."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares

from restonb.errors import MeasureError
from restonb.measure import fit_circle, harmonic, twist

WHEEL = [0.235, 0.2483, 0.2333, 0.2129, 0.185, 0.1517, 0.1467, 0.1871]
X = [10.02, 7.08, 0.01, -7.05, -9.98, -7.07, 0, 7.1]
Y = [0.01, 7.07, 10, 7.09, 0, -7.06, -9.97, -7.05]


def test_wheel_with_a_known_eccentricity() -> None:
    """Values worked out elsewhere by a = 2/N sum y cos, b = 2/N sum y sin, and confirmed by a Fourier transform."""
    found = harmonic(WHEEL)
    assert found.eccentricity == pytest.approx(0.0499959, abs=5e-8)
    assert found.direction == pytest.approx(59.9764, abs=5e-5)
    assert found.run_out == pytest.approx(0.1016, abs=1e-9)
    assert found.form == pytest.approx(0.0200283, abs=5e-8)
    assert found.mean == pytest.approx(sum(WHEEL) / 8)


@given(st.lists(st.floats(-1, 1), min_size=5, max_size=40))
@settings(deadline=None)
def test_harmonic_is_the_first_term_of_the_fourier_transform(y: list[float]) -> None:
    found = harmonic(y)
    spectrum = np.fft.fft(y)
    assert found.eccentricity == pytest.approx(2 * abs(spectrum[1]) / len(y), abs=1e-12)
    spectrum[[0, 1, -1]] = 0
    assert found.form == pytest.approx(np.ptp(np.fft.ifft(spectrum).real), abs=1e-12)
    assert found.u_factor == pytest.approx(math.sqrt(2 / len(y)), rel=1e-9)


@given(st.floats(0.001, 1), st.floats(0, 360), st.floats(-5, 5), st.integers(5, 36))
@settings(deadline=None)
def test_pure_eccentricity_comes_back(size: float, direction: float, mean: float, n: int) -> None:
    angles = [2 * math.pi * i / n for i in range(n)]
    found = harmonic([mean + size * math.cos(a - math.radians(direction)) for a in angles])
    assert found.eccentricity == pytest.approx(size, abs=1e-9)
    assert math.cos(math.radians(found.direction - direction)) == pytest.approx(1, abs=1e-9)
    assert found.form == pytest.approx(0, abs=1e-9)


def test_places_left_out_do_not_shift_the_centre() -> None:
    angles = [math.radians(45 * i) for i in range(8) if i != 4]
    found = harmonic([1 + 0.3 * math.cos(a - 1.0) for a in angles], angles)
    assert found.eccentricity == pytest.approx(0.3)
    assert found.form == pytest.approx(0, abs=1e-12)


def test_circle_through_eight_points() -> None:
    """Values worked out elsewhere and confirmed by Nelder-Mead; the least-squares circle of ISO 12181."""
    found = fit_circle(X, Y)
    assert (found.x, found.y, found.radius) == pytest.approx((0.0137574, 0.00875147, 9.99639), abs=1e-5)
    assert found.roundness == pytest.approx(0.0285797, abs=5e-7)
    assert found.dof == 5


@given(
    st.floats(-100, 100),
    st.floats(-100, 100),
    st.floats(1, 200),
    st.lists(st.tuples(st.floats(0, 0.9), st.floats(-0.02, 0.02)), min_size=5, max_size=20),
)
@settings(deadline=None)
def test_circle_is_that_of_scipy(cx: float, cy: float, r: float, wobble: list[tuple[float, float]]) -> None:
    turn = [2 * math.pi * (i + f) / len(wobble) for i, (f, _) in enumerate(wobble)]
    x = np.array([cx + r * (1 + e) * math.cos(a) for a, (_, e) in zip(turn, wobble, strict=True)])
    y = np.array([cy + r * (1 + e) * math.sin(a) for a, (_, e) in zip(turn, wobble, strict=True)])
    theirs = least_squares(
        lambda p: np.hypot(x - p[0], y - p[1]) - p[2], [cx, cy, r], xtol=1e-15, ftol=1e-15, gtol=1e-15
    )
    found = fit_circle(x, y)
    assert (found.x, found.y, found.radius) == pytest.approx(theirs.x, abs=1e-5 * r)
    spread = np.linalg.inv(theirs.jac.T @ theirs.jac) * (2 * theirs.cost / (len(wobble) - 3))
    assert found.u_radius == pytest.approx(math.sqrt(spread[2, 2]), rel=1e-3, abs=1e-9 * r)


@pytest.mark.published("Three points lie on one circle (Euclid IV.5): right triangle 3-4-5, half the hypotenuse")
def test_three_points() -> None:
    found = fit_circle([0, 4, 0], [0, 0, 3])
    assert (found.x, found.y, found.radius) == pytest.approx((2, 1.5, 2.5))
    assert found.roundness == pytest.approx(0, abs=1e-12)
    assert found.u_radius is None


@given(st.floats(-1, 1), st.floats(-1, 1), st.floats(-5, 5), st.floats(-0.5, 0.5))
@settings(deadline=None)
def test_twist_is_how_far_a_corner_is_off_the_plane_of_the_others(sx: float, sy: float, c: float, off: float) -> None:
    corners = [(-1, 1), (1, 1), (1, -1), (-1, -1)]
    heights = [sx * x + sy * y + c for x, y in corners]
    assert twist(heights) == pytest.approx(0, abs=1e-12)
    heights[2] += off
    assert twist(heights) == pytest.approx(off, abs=1e-12)


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: harmonic([1, 2, 3, 4]), "at least 5: an oval hides"),
        (lambda: harmonic([1, 2, 3, 4, math.nan]), "missing or no number"),
        (lambda: harmonic([1, 2, 3, 4, 5], [0, 1]), "one angle for each"),
        (lambda: twist([1, 2, 3]), "4 corners in turn, not 3"),
        (lambda: fit_circle([0, 1], [0, 1]), "a circle needs three"),
        (lambda: fit_circle([0, 1, 2], [0, 1, 2]), "lie in one line"),
        (lambda: fit_circle([1, 1, 1], [2, 2, 2]), "lie in one line"),
        (lambda: fit_circle([0, 1, 2], [0, 1, 2, 3]), "both for every point"),
    ],
)
def test_too_little_to_go_by(work, says: str) -> None:
    with pytest.raises(MeasureError, match=says):
        work()
