"""Decision rules: guard bands, the probability of being inside, and the same word for one value and for a table."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from scipy.stats import norm, t

from restonb.errors import MeasureError, QuantityError
from restonb.measure import (
    WORDS,
    acceptance_zone,
    guard_band,
    judge,
    judge_one,
    probability_inside,
    verdict_words,
    worst,
)
from restonb.quantity import convert, convert_difference

MISSING, INSIDE, CLOSE, OUTSIDE, FREE = range(5)


def word(value: float, u: float, lower: float | None, upper: float | None, rule: str = "prove") -> str:
    return WORDS[judge_one(value, guard_band(2 * u, rule), lower, upper)]


@pytest.mark.published("ILAC-G8:09/2019 4.2.3: acceptance limits moved inwards by w = r U")
def test_guard_band_moves_the_limits_inwards() -> None:
    low, high, empty = acceptance_zone(25.0, 25.021, guard_band(0.004))
    assert (low, high) == pytest.approx((25.004, 25.017), abs=1e-12)
    assert not empty
    low, _, _ = acceptance_zone(25.0, 25.021, guard_band(0.002, r=1.645))
    assert low == pytest.approx(25.0033, abs=0.00005)
    assert acceptance_zone(25.0, 25.021, guard_band(0.004, "simple")) == (25.0, 25.021, False)


@pytest.mark.published("ILAC-G8:09/2019: false acceptance at most 2.5 % with w = U, up to 50 % with w = 0")
def test_risk_at_the_acceptance_limit() -> None:
    u = 0.002
    proved = acceptance_zone(None, 25.0, guard_band(2 * u)).upper
    assert 1 - probability_inside(proved, u, None, 25.0) <= 0.025
    assert 1 - probability_inside(25.0, u, None, 25.0) == pytest.approx(0.5)


@pytest.mark.recalled("ISO 14253-1:2017: 95 % probability needs a guard band of 1.65 u at a one-sided limit")
def test_guard_band_of_95_percent() -> None:
    w = guard_band(2.0, r=1.65 / 2)
    assert w == pytest.approx(1.65)
    assert probability_inside(10.0 - w, 1.0, None, 10.0) == pytest.approx(0.95, abs=0.001)


@pytest.mark.recalled("JCGM 106:2012 7.3.3 and 7.4 examples")
@pytest.mark.parametrize(
    ("y", "u", "lower", "upper", "p"),
    [(-5.47, 0.05, None, -5.4, 0.92), (509.7, 8.6, 490.0, None, 0.99), (13.6, 1.8, 12.5, 16.3, 0.66)],
)
def test_probability_inside_of_printed_examples(
    y: float, u: float, lower: float | None, upper: float | None, p: float
) -> None:
    assert probability_inside(y, u, lower, upper) == pytest.approx(p, abs=0.005)


@pytest.mark.recalled(
    "JCGM 106:2012 8.3.3: a speed limit of 100 km/h, u 2 %, is proved exceeded at 99.9 % from 107 km/h on"
)
def test_guarded_rejection_of_a_speed() -> None:
    k = norm.ppf(0.999)
    words = [WORDS[judge_one(v, k * 0.02 * v, None, 100.0)] for v in (99, 106, 107)]
    assert words == ["too close to call", "too close to call", "outside"]


@pytest.mark.parametrize(
    ("value", "lower", "upper", "says"),
    [
        (0.15, 0.10, 0.20, "inside"),
        (0.12, 0.10, 0.20, "inside"),  # on the acceptance limit
        (0.119, 0.10, 0.20, "too close to call"),
        (0.10, 0.10, 0.20, "too close to call"),
        (0.081, 0.10, 0.20, "too close to call"),
        (0.08, 0.10, 0.20, "too close to call"),  # on the rejection limit: not beyond it
        (0.079, 0.10, 0.20, "outside"),
        (0.221, 0.10, 0.20, "outside"),
        (0.18, None, 0.20, "inside"),
        (0.19, None, 0.20, "too close to call"),
        (-9.0, None, 0.20, "inside"),
        (0.30, 0.10, None, "inside"),
        (0.05, 0.10, None, "outside"),
        (0.15, None, None, "no limit"),
        (math.nan, 0.10, 0.20, "not measured"),
        (math.nan, None, None, "not measured"),
        (0.15, 0.14, 0.16, "too close to call"),  # both guard bands together are wider than the tolerance
        (0.20, 0.14, 0.16, "outside"),
    ],
)
def test_prove_asks_for_the_guard_band_on_either_side(
    value: float, lower: float | None, upper: float | None, says: str
) -> None:
    """ISO 14253-1: conformity and non-conformity are both to be proved, between is neither. U = 0.02."""
    assert word(value, 0.01, lower, upper) == says
    assert WORDS[int(judge(value, 0.01, lower, upper))] == says


@pytest.mark.parametrize(
    ("value", "says"), [(0.10, "inside"), (0.0999, "outside"), (0.20, "inside"), (0.2001, "outside")]
)
def test_simple_goes_by_the_value(value: float, says: str) -> None:
    assert word(value, 5.0, 0.10, 0.20, "simple") == says
    assert WORDS[int(judge(value, 5.0, 0.10, 0.20, "simple"))] == says


def test_no_value_can_be_inside_where_the_guard_bands_meet() -> None:
    assert acceptance_zone(10.0, 10.05, 0.03).empty
    assert not acceptance_zone(10.0, 10.05, 0.02).empty
    assert not acceptance_zone(None, 10.05, 9.0).empty
    assert not acceptance_zone(10.0, 10.05, -0.03).empty  # guarded rejection moves them apart


values = st.floats(-1e3, 1e3).map(lambda v: round(v, 3))
limits = st.one_of(st.none(), values)
us = st.floats(0, 50).map(lambda v: round(v, 4))


@given(values, us, limits, limits, st.sampled_from(["prove", "simple"]))
@settings(deadline=None)
def test_one_value_and_a_table_get_the_same_word(
    value: float, u: float, a: float | None, b: float | None, rule: str
) -> None:
    lower, upper = (min(a, b), max(a, b)) if a is not None and b is not None else (a, b)
    one = judge_one(value, guard_band(2 * u, rule), lower, upper)
    low, high = (math.nan if limit is None else limit for limit in (lower, upper))
    for table in (
        judge(value, u, lower, upper, rule),
        judge([value], u, lower, upper, rule)[0],
        judge([value], [u], [low], [high], rule)[0],
        judge([value], [u], lower, [high], rule, k=[2.0])[0],
    ):
        assert int(table) == one


@given(values, us, st.floats(0, 20), limits, limits)
@settings(deadline=None)
def test_a_wider_uncertainty_only_ever_takes_words_back(
    value: float, u: float, more: float, lower: float | None, upper: float | None
) -> None:
    """Inside and outside may become too close to call, and nothing else may happen."""
    assume(lower is None or upper is None or lower <= upper)
    sharp, blunt = word(value, u, lower, upper), word(value, u + more, lower, upper)
    assert blunt in (sharp, "too close to call")


@given(values, us, values, values, st.floats(0, 50))
@settings(deadline=None)
def test_wider_limits_never_turn_inside_into_anything_else(
    value: float, u: float, a: float, b: float, more: float
) -> None:
    lower, upper = value - 5 * u - abs(a), value + 5 * u + abs(b)
    assume(word(value, u, lower, upper) == "inside")
    assert word(value, u, lower - more, upper + more) == "inside"


@given(values, values, st.floats(0, 5), st.floats(0, 5))
@settings(deadline=None)
def test_guard_bands_nest(a: float, b: float, w: float, more: float) -> None:
    lower, upper = sorted((a, b))
    outer, inner = acceptance_zone(lower, upper, w), acceptance_zone(lower, upper, w + more)
    assert inner.lower >= outer.lower
    assert inner.upper <= outer.upper
    assert inner.empty >= outer.empty


thousandths = st.integers(-4000, 4000).map(lambda n: n / 1000)


@given(
    thousandths,
    st.integers(0, 200).map(lambda n: n / 1000),
    thousandths,
    thousandths,
    st.sampled_from([("mm", "in"), ("degC", "degF"), ("N m", "ft-lb"), ("bar", "psi")]),
)
@example(0.001, 0.001, 0.0, 0.0, ("mm", "in"))
@example(0.0, 0.0, 0.0, 0.0, ("degC", "degF"))
@settings(deadline=None, max_examples=300)
def test_same_verdict_in_either_unit(value: float, U: float, a: float, b: float, units: tuple[str, str]) -> None:
    """On round numbers, so that readings often lie exactly on a limit or on the edge of its guard band."""
    one, other = units
    lower, upper = sorted((a, b))
    first = judge_one(value, U, lower, upper)
    there = [convert(v, one, other) for v in (value, lower, upper)]
    assert judge_one(there[0], convert_difference(U, one, other), there[1], there[2]) == first
    assert (
        int(judge(there[0], convert_difference(U, one, other), lower, upper, k=1.0, unit=other, limit_unit=one))
        == first
    )
    assert int(judge([value], [U], there[1], [there[2]], k=1.0, unit=one, limit_unit=other)[0]) == first


@given(values, st.floats(0.001, 50), values, values, st.one_of(st.just(math.inf), st.integers(1, 50)))
@settings(deadline=None)
def test_probability_inside_is_that_of_scipy(value: float, u: float, a: float, b: float, dof: float) -> None:
    lower, upper = sorted((a, b))
    spread = norm(value, u) if math.isinf(dof) else t(dof, value, u)
    assert probability_inside(value, u, lower, upper, dof) == pytest.approx(
        spread.cdf(upper) - spread.cdf(lower), abs=1e-12
    )
    assert probability_inside(value, u, None, upper, dof) == pytest.approx(spread.cdf(upper), abs=1e-12)


def test_probability_without_uncertainty_is_all_or_nothing() -> None:
    assert probability_inside(1.0, 0.0, 0.0, 1.0) == 1.0
    assert probability_inside(1.1, 0.0, 0.0, 1.0) == 0.0
    assert probability_inside(1.1, 0.0) == 1.0


def test_a_whole_table_keeps_its_shape_and_says_what_is_missing() -> None:
    value = np.array([[0.1, 0.2, np.nan], [0.3, 0.4, 0.5]])
    codes = judge(value, 0.01, [0.0, np.nan, 0.0], [0.25, np.nan, np.nan])
    assert codes.shape == (2, 3)
    assert codes.dtype == np.int8
    assert verdict_words(codes).tolist() == [["inside", "no limit", "not measured"], ["outside", "no limit", "inside"]]
    assert judge(np.array([]), 0.01, 0.0, 1.0).shape == (0,)
    assert value[0, 0] == 0.1, "the readings are left as they were"


def test_blocks_leave_no_seam() -> None:
    value = np.linspace(-1, 2, 100_003)
    codes = judge(value, 0.05, 0.0, 1.0)
    assert codes.tolist() == [judge_one(v, 0.1, 0.0, 1.0) for v in value.tolist()]


@pytest.mark.parametrize(
    ("work", "error", "says"),
    [
        (lambda: guard_band(0.1, "strict"), MeasureError, "write prove or simple"),
        (lambda: guard_band(-0.1), MeasureError, "neither can be negative"),
        (lambda: judge(1.0, -0.1, 0.0, 1.0), MeasureError, "uncertainty of 0 or more"),
        (lambda: judge([1.0, 2.0], [0.1, math.nan], 0.0, 1.0), MeasureError, "uncertainty of 0 or more"),
        (lambda: judge(1.0, 0.1, 0.0, 1.0, "maybe"), MeasureError, "write prove or simple"),
        (lambda: judge(1.0, 0.1, 0.0, 1.0, unit="mm"), MeasureError, "or neither"),
        (lambda: judge(1.0, 0.1, 0.0, 1.0, unit="mm", limit_unit="V"), QuantityError, "mm"),
        (lambda: probability_inside(1.0, -1.0, 0.0, 2.0), MeasureError, "cannot be negative"),
    ],
)
def test_what_cannot_be_judged_is_refused(work, error: type[Exception], says: str) -> None:
    with pytest.raises(error, match=says):
        work()


def test_the_worst_word_decides() -> None:
    assert worst(["inside", "outside", "not measured"]) == "outside"
    assert worst(["inside", "too close to call", "not measured"]) == "too close to call"
    assert worst(["inside", "not measured"]) == "not measured"
    assert worst(["inside", "no limit"]) == "no limit"
    assert worst(["no limit", "not measured"]) == "not measured"
    assert worst(["in doubt", "not measured"]) == "in doubt"
    assert worst(["too close to call", "in doubt"]) == "too close to call"
    assert worst([]) == "not measured"
