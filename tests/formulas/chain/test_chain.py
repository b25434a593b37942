"""Chain drives against ISO 606, and against an independent geometry: the hull of two finely divided circles."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas import chain


@pytest.mark.published("ISO 606 Annex A: pitch circle diameter, factor 1/sin(180/z)")
@pytest.mark.parametrize(
    ("p", "z", "d"),
    [(12.7, 17, 69.12), (12.7, 18, 73.14), (15.875, 15, 76.35), (15.875, 45, 227.58), (9.525, 25, 76.00)],
)
def test_pitch_diameter(p: float, z: int, d: float) -> None:
    assert float(chain.pitch_diameter(p, z)) == pytest.approx(d, abs=0.015)


@pytest.mark.recalled("Machinery's Handbook, pitch diameters of sprockets for 1 in pitch: z 21, 38")
@pytest.mark.parametrize(("z", "d"), [(21, 170.42), (38, 307.58)])
def test_pitch_diameter_inch(z: int, d: float) -> None:
    assert float(chain.pitch_diameter("1 in", z)) == pytest.approx(d, abs=0.006)


def by_points(centre: float, p: float, z1: int, z2: int) -> float:
    """The same length by another way: convex hull of two finely divided circles, arcs scaled to whole pitches."""
    import numpy as np
    from scipy.spatial import ConvexHull

    r1, r2 = p / 2 / math.sin(math.pi / z1), p / 2 / math.sin(math.pi / z2)
    t = np.linspace(0, 2 * np.pi, 40000, endpoint=False)
    points = np.concatenate([np.c_[r1 * np.cos(t), r1 * np.sin(t)], np.c_[centre + r2 * np.cos(t), r2 * np.sin(t)]])
    hull = points[ConvexHull(points).vertices]
    steps = np.linalg.norm(np.roll(hull, -1, axis=0) - hull, axis=1)
    straight = np.sort(steps)[-2:].sum()
    wrap1 = sum(
        s for s, a, b in zip(steps, hull, np.roll(hull, -1, axis=0), strict=True) if a[0] <= r1 and b[0] <= r1 and s < 1
    )
    wrap2 = steps.sum() - straight - wrap1
    return float(straight / p + wrap1 / (2 * math.pi * r1) * z1 + wrap2 / (2 * math.pi * r2) * z2)


@pytest.mark.parametrize(("c", "p", "z1", "z2"), [(600, 15.875, 15, 45), (580, 12.7, 17, 42)])
def test_length_by_another_geometry(c: float, p: float, z1: int, z2: int) -> None:
    assert float(chain.length(c, p, z1, z2)) == pytest.approx(by_points(c, p, z1, z2), abs=2e-3)


@pytest.mark.parametrize(("c", "p", "z1", "z2"), [(600, 15.875, 15, 45), (580, 12.7, 17, 42), (300, 9.525, 24, 54)])
def test_length_near_the_short_formula(c: float, p: float, z1: int, z2: int) -> None:
    short = 2 * c / p + (z1 + z2) / 2 + ((z2 - z1) / 2 / math.pi) ** 2 * p / c
    assert float(chain.length(c, p, z1, z2)) == pytest.approx(short, abs=0.02)


@settings(deadline=None, max_examples=60)
@given(st.integers(9, 30), st.integers(9, 60), st.floats(1.05, 8), st.sampled_from([9.525, 12.7, 15.875]))
def test_back_to_the_centre_distance(z1: int, z2: int, far: float, p: float) -> None:
    centre = far * (p / 2 / math.sin(math.pi / z1) + p / 2 / math.sin(math.pi / z2))
    pitches = float(chain.length(centre, p, z1, z2))
    assert float(chain.centre_distance(pitches, p, z1, z2)) == pytest.approx(centre, rel=1e-7)
    assert float(chain.length(f"{centre / 25.4} in", f"{p / 25.4} in", z1, z2)) == pytest.approx(pitches, rel=1e-9)
    got = chain.links(centre, p, z1, z2)
    assert got.links % 2 == 0
    assert got.exact <= got.links < got.exact + 2
    assert got.move >= -1e-6


@pytest.mark.practice
def test_elongation_by_hand() -> None:
    """20 links of 1/2 in: new 254 mm; 258.5 mm is 4.5/254."""
    assert float(chain.elongation(258.5, 20, "1/2 in")) == pytest.approx(100 * 4.5 / 254)
    assert float(chain.elongation(327, 20, 15.875)) == pytest.approx(100 * 9.5 / 317.5)


@pytest.mark.practice
@pytest.mark.parametrize(
    ("teeth", "fixed", "limit"), [(45, False, 3.0), (100, False, 2.0), (45, True, 1.5), (70, False, 200 / 70)]
)
def test_elongation_limit(teeth: int, fixed: bool, limit: float) -> None:
    assert float(chain.elongation_limit(teeth, fixed)) == pytest.approx(limit)


@pytest.mark.published("ISO 606 Table 1")
@pytest.mark.parametrize(
    ("mark", "p", "b1", "d1", "fu"),
    [
        ("35", 9.525, 4.68, 5.08, 7.9), ("06B", 9.525, 5.72, 6.35, 8.9), ("40", 12.7, 7.85, 7.92, 13.9), ("08B", 12.7, 7.75, 8.51, 17.8),
        ("10A", 15.875, 9.4, 10.16, 21.8), ("10B", 15.875, 9.65, 10.16, 22.2), ("12A", 19.05, 12.57, 11.91, 31.3), ("12B", 19.05, 11.68, 12.07, 28.9),
        ("081", 12.7, 3.3, 7.75, 8), ("083", 12.7, 4.88, 7.75, 11.6), ("16A", 25.4, 15.75, 15.88, 55.6),
    ],
)  # fmt: skip
def test_sizes(mark: str, p: float, b1: float, d1: float, fu: float) -> None:
    got = chain.size(mark)
    assert (got.pitch, got.inner_width, got.roller, got.tensile) == (
        p,
        pytest.approx(b1, abs=0.01),
        pytest.approx(d1, abs=0.04),
        pytest.approx(fu, abs=0.15),
    )


@pytest.mark.recalled("ISO 606 Table 1")
@pytest.mark.parametrize(("mark", "p", "b1", "d1", "fu"), [("25", 6.35, 3.1, 3.3, 3.5), ("41", 12.7, 6.25, 7.77, 6.7)])
def test_sizes_recalled(mark: str, p: float, b1: float, d1: float, fu: float) -> None:
    got = chain.size(mark)
    assert (got.pitch, got.inner_width, got.roller, got.tensile) == (p, b1, d1, fu)


@pytest.mark.practice
def test_look_alikes_are_named() -> None:
    assert any("08A" in note and "not interchangeable" in note for note in chain.size("428").notes)
    assert "see the maker" in " ".join(chain.size("05B").notes)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: chain.length(600, 15.875, 8, 45), "9 or more"),
        (lambda: chain.length(100, 15.875, 15, 45), "touch"),
        (lambda: chain.centre_distance(20, 15.875, 15, 45), "too short"),
        (lambda: chain.length(600, 15.875, 15.5, 45), "whole number"),
        (lambda: chain.elongation(300, 20, 12.7), "count the links"),
        (lambda: chain.size("429"), "did you mean"),
        (lambda: chain.slack(-1, 600), "total movement"),
        (lambda: chain.elongation_limit(200), "extrapolated"),
    ],
)
def test_refused(call: object, says: str) -> None:
    with pytest.raises(FormulaError, match=says):
        call()  # type: ignore[operator]


@pytest.mark.practice
def test_slack_by_hand() -> None:
    got = chain.slack("12 mm", "600 mm")
    assert got.share == pytest.approx(2)
    assert (got.low, got.usual, got.high) == pytest.approx((6, 12, 24))
