"""Consumer's and producer's risk against the printed examples of JCGM 106 and others'."""

from __future__ import annotations

import pytest
from scipy.stats import gamma, norm

from restonb.errors import MeasureError
from restonb.measure import guard_for_risk, normal_prior, risks

BALLS = pytest.mark.published(
    "JCGM 106:2012 9.5.4, ball bearings: error motion gamma(4, 0.25 um), limit 2 um, u 0.25 um"
)


@BALLS
def test_bearings_without_inspection() -> None:
    found = risks(gamma(4, scale=0.25), 0.25, upper=2.0)
    assert found.outside == pytest.approx(0.04238, abs=0.000005)


@BALLS
def test_bearings_accepted_at_the_limit() -> None:
    assert risks(gamma(4, scale=0.25), 0.25, upper=2.0).consumer == pytest.approx(0.008019, abs=0.0000005)


@BALLS
def test_bearings_with_the_risk_held_to_a_thousandth() -> None:
    w = guard_for_risk(gamma(4, scale=0.25), 0.25, 0.001, upper=2.0)
    assert w == pytest.approx(0.3282, abs=0.00005)
    assert 2.0 - w == pytest.approx(1.672, abs=0.0005)
    assert risks(gamma(4, scale=0.25), 0.25, upper=2.0, w=w).consumer == pytest.approx(0.001, rel=1e-6)


@pytest.mark.published(
    "Deaver's curves: limits of 2 sigma, 4:1 without guard band 0.8 % and 1.5 %; 2:1 with factor 0.91, 0.8 % and 6.6 %"
)
@pytest.mark.parametrize(("ratio", "factor", "accept", "reject"), [(4, 1.0, 0.008, 0.015), (2, 0.91, 0.008, 0.066)])
def test_false_accept_and_reject(ratio: float, factor: float, accept: float, reject: float) -> None:
    u = 2.0 / ratio / 2
    found = risks(normal_prior(0, 1), u, -2, 2, w=2 * (1 - factor))
    assert found.consumer == pytest.approx(accept, abs=0.0005)
    assert found.producer == pytest.approx(reject, abs=0.0005)


@pytest.mark.recalled("NIST/SEMATECH e-Handbook, 1.3.6.7.1: 0.621 % of a normal distribution lies beyond 2.5 s")
def test_capability() -> None:
    assert risks(normal_prior(10, 1), 0.1, 10 - 2.5, 10 + 2.5).outside == pytest.approx(2 * 0.00621, abs=0.00001)


@pytest.mark.recalled("JCGM 106:2012 9.5.3 resistors, 1500 ohm; figures worked out by quadrature elsewhere")
def test_resistors() -> None:
    prior = normal_prior(1500, 0.12)
    plain, guarded = (risks(prior, 0.04, 1499.8, 1500.2, w) for w in (0.0, 0.04))
    assert plain.outside == pytest.approx(0.0956, abs=0.00005)
    assert (plain.consumer, plain.producer) == pytest.approx((0.0189, 0.0372), abs=0.00005)
    assert guarded.consumer == pytest.approx(0.00433, abs=0.000005)
    assert guarded.producer == pytest.approx(0.115, abs=0.0005)


def test_risks_by_counting_parts() -> None:
    """A million parts made and measured: what was accepted and bad, and what was rejected and good."""
    made = norm(10, 0.02).rvs(1_000_000, random_state=7)
    read = made + norm(0, 0.01).rvs(1_000_000, random_state=8)
    good, taken = abs(made - 9.995) <= 0.035, abs(read - 9.995) <= 0.025
    found = risks(normal_prior(10, 0.02), 0.01, 9.96, 10.03, w=0.01)
    for share, counted in ((found.outside, ~good), (found.consumer, ~good & taken), (found.producer, good & ~taken)):
        assert share == pytest.approx(counted.mean(), abs=5 * (share / 1e6) ** 0.5)


def test_nothing_is_accepted_where_no_zone_is_left() -> None:
    found = risks(normal_prior(0, 1), 0.5, -1, 1, w=1.0)
    assert found.consumer == 0
    assert found.producer == pytest.approx(norm.cdf(1) - norm.cdf(-1))


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: risks(normal_prior(0, 1), 0.1), "no limit, no risk"),
        (lambda: risks(normal_prior(0, 1), 0.0, 0, 1), "no uncertainty"),
        (lambda: normal_prior(0, 0), "it is positive"),
        (lambda: guard_for_risk(normal_prior(0, 1), 0.1, 0.9, upper=2), "less than that of no check"),
    ],
)
def test_risk_that_has_no_answer(work, says: str) -> None:
    with pytest.raises(MeasureError, match=says):
        work()
