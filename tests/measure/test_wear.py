"""Worn in, the wear rate, and when the limit is met."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.stats import linregress, t

from restonb.errors import MeasureError
from restonb.measure import Characteristic, limits_of, wear_rate, worn_in

BORE = Characteristic("engine", "bore", "cylinder bore", "once", "mm", lower=70.00, upper=70.02, wear_limit=70.10)
LINING = Characteristic("brakes", "lining", "brake lining", "once", "mm", lower=4.8, upper=5.2, wear_limit=2.0)


@pytest.mark.practice
@pytest.mark.parametrize(
    ("value", "new", "wear", "percent"),
    [
        (70.02, 70.02, 70.10, 0),
        (70.06, 70.02, 70.10, 50),
        (70.10, 70.02, 70.10, 100),
        (70.12, 70.02, 70.10, 125),
        (70.01, 70.02, 70.10, 0),
        (3.4, 4.8, 2.0, 50),
        (5.0, 4.8, 2.0, 0),
    ],
)
def test_worn_in(value: float, new: float, wear: float, percent: float) -> None:
    assert worn_in(value, new, wear) == pytest.approx(percent)


def test_worn_in_needs_a_way_to_go() -> None:
    with pytest.raises(MeasureError, match="the same"):
        worn_in(1.0, 2.0, 2.0)


@pytest.mark.practice
def test_wear_limit_takes_the_place_of_the_new_limit_on_its_side() -> None:
    bore, lining = limits_of(BORE), limits_of(LINING)
    assert (bore.lower, bore.upper, bore.wears, bore.new) == (70.00, 70.10, "up", 70.02)
    assert (lining.lower, lining.upper, lining.wears, lining.new) == (2.0, 5.2, "down", 4.8)
    nominal = limits_of(Characteristic("s", "pin", "pin", "once", "mm", nominal=8.0, wear_limit=7.9))
    assert (nominal.lower, nominal.upper, nominal.wears) == (7.9, None, "down")
    play = limits_of(Characteristic("s", "play", "play", "once", "mm", lower=0, upper=0.05, wear_limit=0.2))
    assert (play.lower, play.upper, play.wears) == (None, 0.2, "up")


@pytest.mark.parametrize(
    ("limits", "says"),
    [
        ({"lower": 2.0, "upper": 1.0}, "swap them"),
        ({"wear_limit": 3.0}, "which way the part wears"),
        ({"lower": 1.0, "upper": 2.0, "wear_limit": 1.5}, "lies between"),
    ],
)
def test_limits_that_contradict_each_other(limits: dict[str, float], says: str) -> None:
    with pytest.raises(MeasureError, match=says):
        limits_of(Characteristic("s", "k", "what", "once", "mm", **limits))


points = st.lists(
    st.tuples(st.floats(0, 50_000), st.floats(-0.1, 0.1)), min_size=3, max_size=12, unique_by=lambda p: round(p[0], -1)
)


@given(points, st.floats(-1e-5, 1e-5))
@settings(deadline=None)
def test_rate_is_that_of_scipy(data: list[tuple[float, float]], slope: float) -> None:
    x = [p[0] for p in data]
    y = [70 + slope * p[0] + p[1] for p in data]
    assume(len(set(y)) > 1)  # of sizes that are all alike scipy gives no standard error
    found, theirs = wear_rate(x, y, 80.0), linregress(x, y)
    assert found.rate == pytest.approx(theirs.slope, rel=1e-6, abs=1e-12)
    assert found.u_rate == pytest.approx(theirs.stderr, rel=1e-5, abs=1e-12)
    assert pytest.approx(theirs.stderr * t.ppf(0.975, len(x) - 2), rel=1e-5, abs=1e-11) == found.U_rate


MILES = [0.0, 4_000.0, 9_000.0, 15_000.0, 21_000.0]
SIZES = [70.012, 70.018, 70.029, 70.038, 70.052]


def test_interval_is_where_the_band_of_the_line_meets_the_limit() -> None:
    """At its ends the t-band of the fitted mean touches the limit: the definition of inverse regression."""
    found = wear_rate(MILES, SIZES, 70.10)
    assert found.value_at(found.at) == pytest.approx(70.10)
    x, y = np.array(MILES), np.array(SIZES)
    fit = linregress(x, y)
    s = math.sqrt(((y - fit.intercept - fit.slope * x) ** 2).sum() / 3)
    for end in (found.earliest, found.latest):
        band = t.ppf(0.975, 3) * s * math.sqrt(1 / 5 + (end - x.mean()) ** 2 / ((x - x.mean()) ** 2).sum())
        assert abs(found.value_at(end) - 70.10) == pytest.approx(band, rel=1e-9)
    assert found.earliest < found.at < found.latest
    assert found.left == pytest.approx(found.at - 21_000)
    assert found.left_at_least == pytest.approx(found.earliest - 21_000)


def test_interval_holds_the_truth_as_often_as_it_says() -> None:
    """2,000 bores that wear by 2e-6 mm a mile and are read with a scatter of 0.002 mm."""
    draw = np.random.default_rng(450)
    truth = 0.10 / 2e-6
    hits = total = 0
    for _ in range(2_000):
        found = wear_rate(MILES, [2e-6 * m + e for m, e in zip(MILES, draw.normal(0, 0.002, 5), strict=True)], 0.10)
        if found.at is not None:
            total += 1
            hits += found.earliest <= truth <= found.latest
    assert total > 1_990
    assert hits / total == pytest.approx(0.95, abs=0.015)  # 3 sigma of 2,000 trials


@given(points, st.floats(-1e-5, 1e-5), st.sampled_from(["up", "down"]))
@settings(deadline=None)
def test_nothing_is_projected_from_a_rate_that_may_be_none(
    data: list[tuple[float, float]], slope: float, wears: str
) -> None:
    x = [p[0] for p in data]
    y = [slope * p[0] + p[1] for p in data]
    found = wear_rate(x, y, 10.0 if wears == "up" else -10.0, wears=wears)
    sense = 1 if wears == "up" else -1
    assert (found.at is None) == bool(found.why_not)
    assert (found.at is not None) == (sense * found.rate - found.U_rate > 0)
    if found.at is not None:
        assert found.earliest <= found.at <= found.latest
        assert all(math.isfinite(v) for v in (found.earliest, found.latest))


def test_uncertainty_counts_where_points_are_on_the_line_by_luck() -> None:
    exact = wear_rate([0, 1, 2], [1.0, 2.0, 3.0], 10.0)
    honest = wear_rate([0, 1, 2], [1.0, 2.0, 3.0], 10.0, u=0.05)
    assert exact.u_rate == pytest.approx(0, abs=1e-12)
    assert honest.u_rate == pytest.approx(0.05 / math.sqrt(2))
    assert honest.earliest < exact.at < honest.latest


def test_worn_past_the_limit_has_nothing_left() -> None:
    found = wear_rate([0, 100, 200, 300], [5.0, 4.0, 3.01, 2.0], 3.5, wears="down")
    assert found.left == 0
    assert found.left_at_least == 0


def test_a_part_that_grows_back_gives_no_projection() -> None:
    found = wear_rate(MILES, SIZES[::-1], 70.10)
    assert found.at is found.earliest is found.left is None
    assert "no wear shows" in found.why_not
    noisy = wear_rate([0, 1, 2, 3], [0.0, 0.3, -0.2, 0.2], 5.0)
    assert "does not stand out from the scatter" in noisy.why_not


@given(st.floats(0.5, 100))
@settings(deadline=None)
def test_projection_does_not_depend_on_the_unit(scale: float) -> None:
    assume(scale > 0)
    a = wear_rate(MILES, SIZES, 70.10)
    b = wear_rate([m * scale for m in MILES], [s / 25.4 for s in SIZES], 70.10 / 25.4)
    assert (b.at, b.earliest, b.latest) == pytest.approx((a.at * scale, a.earliest * scale, a.latest * scale), rel=1e-6)


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (([0, 1], [1, 2], 5), "needs at least 3"),
        (([0], [1], 5), "1 point:"),
        (([1, 1, 1], [1, 2, 3], 5), "at one usage"),
        (([0, 1, 2], [1, 2], 5), "one of each"),
        (([0, 1, 2], [1, 2, math.nan], 5), "missing"),
    ],
)
def test_too_little_to_go_by(args: tuple[list[float], list[float], float], says: str) -> None:
    with pytest.raises(MeasureError, match=says):
        wear_rate(*args)


def test_direction_is_up_or_down() -> None:
    with pytest.raises(MeasureError, match="write up or down"):
        wear_rate([0, 1, 2], [1, 2, 3], 5, wears="sideways")
