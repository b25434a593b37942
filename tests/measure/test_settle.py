"""What would settle a verdict, proved by doing it: take the readings, or the gauge, and judge again."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from restonb.measure import Instrument, check, gauge_error_needed, limits_of, readings_needed
from restonb.measure.settle import margin


def with_scatter(n: int, mean: float, s: float) -> list[float]:
    """n readings with exactly that mean and standard deviation."""
    z = np.array([(-1.0) ** i for i in range(n)]) if n % 2 == 0 else np.linspace(-1, 1, n)
    z = z - z.mean()
    return [float(v) for v in mean + s * z / z.std(ddof=1)]


@given(
    st.tuples(st.sampled_from([100, 500]), st.integers(-40, 40)).map(lambda n: sum(n) / 1000),
    st.sampled_from(["calliper", "dial", "unmarked"]),
)
@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.filter_too_much])
def test_the_gauge_that_is_asked_for_settles_it(row, read, gauges, size: float, gauge: str) -> None:
    gap = row(lower=0.1, upper=0.5, instrument=gauge)
    before = check(gap, read(gap, size), gauges)[0]
    assume(before.verdict == "too close to call")
    error = gauge_error_needed(before.budget, margin(size, limits_of(gap)))
    if error is None:
        assert "reads exactly the limit" in before.settle
        assert size in (0.1, 0.5)
        return
    better = Instrument("better", "", "mm", error, error)
    after = check(gap, read(gap, size, instrument="better"), {"better": better})[0]
    assert after.verdict == ("inside" if 0.1 < size < 0.5 else "outside")
    coarser = better._replace(error=2.5 * error, resolution=2.5 * error)
    assert check(gap, read(gap, size, instrument="better"), {"better": coarser})[0].verdict == "too close to call"


@given(st.integers(100, 500).map(lambda n: n / 1000), st.integers(2, 8), st.floats(0.01, 0.1))
@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.filter_too_much])
def test_the_readings_that_are_asked_for_settle_it(row, read, gauges, size: float, n: int, s: float) -> None:
    gap = row(f"repeat {n}", lower=0.1, upper=0.5, instrument="dial")
    before = check(gap, read(gap, *with_scatter(n, size, s)), gauges)[0]
    assume(before.verdict == "too close to call")
    needed = readings_needed(before.budget, margin(before.value, limits_of(gap)), n)
    if needed is None:
        assert "more readings (" not in before.settle
        return
    assert f"{needed - n} more readings ({needed} in all)" in before.settle
    assert needed > n
    for m, word in ((needed, "inside"), (needed - 1, "too close to call")):
        more = gap._replace(positions=f"repeat {m}")
        assert check(more, read(more, *with_scatter(m, size, s)), gauges)[0].verdict == word


def test_more_readings_are_not_asked_for_where_the_gauge_is_what_limits(row, read, gauges) -> None:
    gap = row("repeat 4", upper=0.5)
    found = check(gap, read(gap, *with_scatter(4, 0.49, 0.001)), gauges)[0]
    assert readings_needed(found.budget, 0.01, 4) is None
    assert found.settle.startswith("would settle it: a gauge that shows 0.0")


def test_neither_alone(row, read, gauges) -> None:
    """Scatter keeps a better gauge from settling it, the gauge keeps more readings from it."""
    gap = row("repeat 2", upper=0.5)
    found = check(gap, read(gap, *with_scatter(2, 0.47, 0.02)), gauges)[0]
    assert (
        found.settle
        == "neither a better gauge nor more readings alone would settle it: most of the uncertainty is error of calliper"
    )


def test_on_the_limit_nothing_settles_it(row, read, gauges) -> None:
    gap = row(upper=0.5)
    assert "which no gauge can settle" in check(gap, read(gap, 0.5), gauges)[0].settle


@pytest.mark.parametrize("word", ["inside", "outside"])
def test_settled_verdicts_ask_for_nothing(row, read, gauges, word: str) -> None:
    gap = row(upper=0.5)
    found = check(gap, read(gap, 0.1 if word == "inside" else 0.9), gauges)[0]
    assert (found.verdict, found.settle) == (word, "")


def test_margin_is_to_the_nearest_limit_there_is(row) -> None:
    assert margin(0.2, limits_of(row(lower=0.1, upper=0.5))) == pytest.approx(0.1)
    assert margin(0.2, limits_of(row(upper=0.5))) == pytest.approx(0.3)
    assert margin(0.2, limits_of(row())) == math.inf
