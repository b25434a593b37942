"""Belts against the exact geometry done another way, and against each other."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas import belts


def by_points(centre: float, a: float, b: float) -> float:
    """Perimeter of the convex hull of two finely divided circles."""
    import numpy as np
    from scipy.spatial import ConvexHull

    t = np.linspace(0, 2 * np.pi, 20000, endpoint=False)
    points = np.concatenate(
        [np.c_[a / 2 * np.cos(t), a / 2 * np.sin(t)], np.c_[centre + b / 2 * np.cos(t), b / 2 * np.sin(t)]]
    )
    return float(ConvexHull(points).area)


@pytest.mark.parametrize(("c", "a", "b"), [(400, 200, 100), (300, 80, 220), (250, 100, 100)])
def test_length_by_another_geometry(c: float, a: float, b: float) -> None:
    assert float(belts.length(c, a, b)) == pytest.approx(by_points(c, a, b), rel=1e-6)


def test_short_form_by_hand() -> None:
    """2*400 + pi*150 + 100^2/1600."""
    assert float(belts.length_short(400, 200, 100)) == pytest.approx(800 + math.pi * 150 + 6.25)


@settings(deadline=None)
@given(st.floats(20, 300), st.floats(20, 300), st.floats(2, 6))
def test_short_form_is_close_and_symmetric(a: float, b: float, far: float) -> None:
    c = far * (a + b) / 2
    assert float(belts.length_short(c, a, b)) == pytest.approx(float(belts.length(c, a, b)), rel=2e-3)
    assert float(belts.length(c, a, b)) == pytest.approx(float(belts.length(c, b, a)))
    assert belts.length(f"{c / 25.4} in", f"{a / 25.4} in", f"{b / 25.4} in").to("in") == pytest.approx(
        float(belts.length(c, a, b)) / 25.4
    )


def test_tension_by_hand() -> None:
    """4 * 0.12 kg/m * (0.3 m)^2 * (60 Hz)^2 = 155.52 N."""
    assert float(belts.tension_from_note("0.12 kg/m", "300 mm", "60 Hz")) == pytest.approx(155.52)


@pytest.mark.practice
def test_deflection() -> None:
    assert float(belts.deflection("640 mm")) == pytest.approx(10)


@pytest.mark.parametrize(
    ("call", "says"),
    [(lambda: belts.length(100, 200, 100), "touch"), (lambda: belts.tension_from_note(0, 1, 1), "above 0")],
)
def test_refused(call: object, says: str) -> None:
    with pytest.raises(FormulaError, match=says):
        call()  # type: ignore[operator]
