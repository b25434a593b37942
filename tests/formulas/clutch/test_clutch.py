"""Plate clutches: sums that anyone can do, integration over the face, and refusals by name."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas.clutch import clamp_force, torque


def test_new_springs_on_new_plates():
    """Four springs of 46 mm squeezed to 30 mm at 18 N/mm: 4 x 18 x 16 = 1152 N."""
    assert clamp_force([46.0] * 4, 30.0, 18.0).force == pytest.approx(1152)


def test_worn_plates_let_the_springs_out():
    """Two plates each 0.5 mm thinner: every spring 1 mm longer, 4 x 18 x 15 = 1080 N."""
    found = clamp_force([46.0] * 4, 30.0, 18.0, plates=[3.0, 3.0], new=3.5)
    assert (found.loss, found.force) == pytest.approx((1.0, 1080))


def test_uneven_springs_are_told():
    found = clamp_force(["46 mm", "44 mm"], "30 mm", "18 N/mm")
    assert (found.weakest, found.strongest) == pytest.approx((252, 288))
    assert "more than 10 %" in found.notes[0]


@given(inner=st.floats(20, 150), width=st.floats(2, 80), friction=st.floats(0.05, 0.4), force=st.floats(1, 5000))
def test_even_wear_by_integration_over_the_face(inner, width, friction, force):
    """Pressure p = C/r: F = 2 pi C (R - r) and T = ∫ μ p r 2 pi r dr = μ 2 pi C (R² - r²)/2, on one face."""
    outer = inner + width
    ri, ro = inner / 2000, outer / 2000
    c = force / (2 * math.pi * (ro - ri))
    steps = 400
    edges = [ri + (ro - ri) * (i + 0.5) / steps for i in range(steps)]
    integral = sum(friction * (c / r) * r * 2 * math.pi * r * (ro - ri) / steps for r in edges)
    assert float(torque(force, outer, inner, 1, friction)) == pytest.approx(integral, rel=1e-9)


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: clamp_force([29.0], 30.0, 18.0), "no longer than its place"),
        (lambda: clamp_force([46.0], 30.0, 18.0, plates=[3.0]), "'plates' needs 'new'"),
        (lambda: clamp_force([46.0], 30.0, 18.0, plates=[3.0], new=50.0), "check their unit"),
        (lambda: torque(100.0, 100.0, 120.0, 2), "inner < outer"),
        (lambda: torque(100.0, 140.0, 120.0, 2, 2.0), "friction"),
    ],
)
def test_bad_numbers_are_refused_by_name(call, match):
    with pytest.raises(FormulaError, match=match):
        call()
