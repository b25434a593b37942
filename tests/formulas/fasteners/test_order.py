"""Tightening order: a permutation, across the ring, and from the middle outward."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas import fasteners


def ring(n: int) -> list[tuple[float, float]]:
    return [(50 * math.cos(2 * math.pi * i / n), 50 * math.sin(2 * math.pi * i / n)) for i in range(n)]


@pytest.mark.practice
def test_four_bolts_cross() -> None:
    assert fasteners.tightening_order(ring(4), 24).order == (1, 3, 2, 4)


@pytest.mark.practice
@pytest.mark.parametrize("n", [4, 6, 8, 10])
def test_second_bolt_lies_opposite_the_first(n: int) -> None:
    assert fasteners.tightening_order(ring(n), 24).order[1] == n // 2 + 1


@pytest.mark.practice
def test_long_cover_goes_from_the_middle_outward() -> None:
    bolts = [(0, 0), (40, 0), (80, 0), (120, 0), (160, 0), (0, 30), (40, 30), (80, 30), (120, 30), (160, 30)]
    got = fasteners.tightening_order(bolts, 10)
    assert got.pattern == "oblong"
    assert set(got.order[:2]) == {3, 8}
    assert set(got.order[-4:]) == {1, 5, 6, 10}


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(0, 300), st.integers(0, 300)), min_size=3, max_size=14, unique=True))
def test_every_bolt_once(bolts: list[tuple[int, int]]) -> None:
    got = fasteners.tightening_order(bolts, "30 N m")
    assert sorted(got.order) == list(range(1, len(bolts) + 1))
    assert got.stages == pytest.approx((9, 21, 30))


@pytest.mark.parametrize(
    ("bolts", "passes", "says"),
    [([(0, 0), (1, 1)], (100,), "at least 3"), ([(0, 0), (1, 1), (0, 0)], (100,), "same place"), (ring(4), (70, 30), "rise"), (ring(4), (0, 100), "extrapolated")],
)  # fmt: skip
def test_refused(bolts: list[tuple[float, float]], passes: tuple[float, ...], says: str) -> None:
    with pytest.raises(FormulaError, match=says):
        fasteners.tightening_order(bolts, 24, passes)
