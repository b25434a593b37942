"""Gearing and tyres by hand and against a tyre table."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas import gearing


def test_speed_by_hand() -> None:
    """5000/min / 5 * 1.95 m * 60 = 117 km/h."""
    assert float(gearing.road_speed(5000, "1950 mm", 5)) == pytest.approx(117)
    assert gearing.road_speed(5000, "1950 mm", 5).to("mph") == pytest.approx(117 / 1.609344)


@settings(deadline=None)
@given(st.floats(100, 12000), st.floats(1000, 2500), st.floats(2, 20))
def test_forward_and_back(rpm: float, circ: float, i: float) -> None:
    assert float(gearing.engine_speed(float(gearing.road_speed(rpm, circ, i)), circ, i)) == pytest.approx(rpm)


def test_ratios() -> None:
    assert float(gearing.ratio(19, 46)) == pytest.approx(46 / 19)
    assert float(gearing.overall_ratio("2.1, 1, 2.5")) == pytest.approx(5.25)


@pytest.mark.parametrize(("mark", "od"), [("120/70-17", 17 * 25.4 + 168), ("90/90-18", 18 * 25.4 + 162), ("3.25-19", 19 * 25.4 + 2 * 3.25 * 25.4), ("4.10-18", 18 * 25.4 + 2 * 0.9 * 4.1 * 25.4), ("4.25/85-18", 18 * 25.4 + 2 * 0.85 * 4.25 * 25.4)])  # fmt: skip
def test_tyre_by_hand(mark: str, od: float) -> None:
    got = gearing.tyre(mark)
    assert got.diameter == pytest.approx(od)
    assert got.circumference == pytest.approx(math.pi * od)


@pytest.mark.recalled("ETRTO Standards Manual, motorcycle tyres: outside diameters of 180/55-17, 160/60-17, 190/50-17")
@pytest.mark.parametrize(("mark", "od"), [("180/55-17", 630), ("160/60-17", 624), ("190/50-17", 622)])
def test_tyre_table(mark: str, od: float) -> None:
    assert gearing.tyre(mark).diameter == pytest.approx(od, abs=0.6)


@pytest.mark.parametrize("mark", ["", "17", "120-70-17-3", "70/120-17", "9.00-18", "3.25-99"])
def test_refused(mark: str) -> None:
    with pytest.raises(FormulaError, match=r"not a tyre size|extrapolated|missing"):
        gearing.tyre(mark)


def test_speed_is_exact() -> None:
    """6000 rpm / 5 * 2 m = 2400 m a minute, which is 144 km/h, without a rest."""
    assert float(gearing.road_speed(6000, "2000 mm", 5)) == pytest.approx(144, rel=1e-12)
