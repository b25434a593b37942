"""The worked examples of JCGM 100:2008 annex H, step by step, and the same through an independent library (GTC)."""

from __future__ import annotations

import math

import pytest
from GTC import cos as gtc_cos
from GTC import dof as gtc_dof
from GTC import multiple_ureal, set_correlation, ureal, value
from GTC import sin as gtc_sin
from GTC import type_a as gtc_type_a
from GTC import uncertainty as gtc_u
from scipy.stats import linregress
from uncertainties import correlation_matrix, umath

from restonb.measure import (
    Budget,
    arcsine,
    certificate,
    combine,
    component,
    correlated_means,
    coverage_factor,
    effective_dof,
    rectangular,
    type_a,
    wear_rate,
)

H1 = pytest.mark.published("JCGM 100:2008 H.1, end-gauge calibration")
H2 = pytest.mark.published("JCGM 100:2008 H.2, resistance and reactance measured together")
H3 = pytest.mark.published("JCGM 100:2008 H.3, calibration of a thermometer")


def dof_of_reliability(relative: float) -> float:
    """JCGM 100 eq. G.3."""
    return 0.5 / relative**2


@H1
def test_h1_standard() -> None:
    assert certificate(0.075, 3) == pytest.approx(0.025)  # um; H.1.3.1: 25 nm


@H1
def test_h1_difference() -> None:
    """H.1.3.2: scatter, comparator random, comparator systematic."""
    scatter = 13 / math.sqrt(5)
    random = certificate(10, coverage_factor(5, 0.95))
    systematic = certificate(20, 3)
    assert scatter == pytest.approx(5.8, abs=0.05)
    assert random == pytest.approx(3.9, abs=0.05)
    assert systematic == pytest.approx(6.7, abs=0.05)
    assert dof_of_reliability(0.25) == 8
    parts = [scatter, random, systematic]
    assert combine(parts) == pytest.approx(9.7, abs=0.05)
    assert effective_dof(parts, [24, 5, 8]) == pytest.approx(25.6, abs=0.2)


@H1
def test_h1_temperature_of_the_bed() -> None:
    """H.1.3.4: mean -0.1 degC with u 0.2, and a cycle of 0.5 degC."""
    assert arcsine(0.5) == pytest.approx(0.35, abs=0.005)
    assert combine([0.2, arcsine(0.5)]) == pytest.approx(0.41, abs=0.005)


def h1_budget() -> Budget:
    length, alpha, theta = 50.000623e6, 11.5e-6, -0.1  # nm, 1/K, K
    return Budget(
        (
            component("standard", 75, "certificate", k=3, dof=18),
            component("difference", 9.7, "normal", dof=25.6),
            component(
                "difference of expansions",
                1e-6,
                "rectangular",
                sensitivity=-length * theta,
                dof=dof_of_reliability(0.10),
            ),
            component(
                "difference of temperatures",
                0.05,
                "rectangular",
                sensitivity=-length * alpha,
                dof=dof_of_reliability(0.50),
            ),
        ),
        "nm",
        0.99,
    )


@H1
def test_h1_budget() -> None:
    budget = h1_budget()
    standard, difference, expansion, temperature = (c.contribution for c in budget.components)
    assert rectangular(1e-6) == pytest.approx(0.58e-6, abs=0.005e-6)
    assert rectangular(0.05) == pytest.approx(0.029, abs=0.0005)
    assert standard == pytest.approx(25, abs=0.5)
    assert difference == pytest.approx(9.7, abs=0.05)
    assert expansion == pytest.approx(2.9, abs=0.05)
    assert temperature == pytest.approx(16.6, abs=0.1)
    assert budget.largest.name == "standard"


@H1
def test_h1_result() -> None:
    budget = h1_budget()
    length = 50.000623 + 215e-6
    assert length == pytest.approx(50.000838, abs=5e-10)
    assert budget.u == pytest.approx(32, abs=0.5)
    assert math.floor(budget.dof) == 16
    assert budget.k == pytest.approx(2.92, abs=0.005)
    assert budget.k * 32 == pytest.approx(93, abs=0.5)  # the guide multiplies the rounded 32; unrounded it is 92.5
    assert pytest.approx(budget.k * budget.u) == budget.U


@H1
def test_h1_second_order() -> None:
    """H.1.7: the products of small terms that the first order leaves out bring u to 34 nm."""
    length = 50.000623e6
    products = [length * rectangular(1e-6) * 0.41, length * rectangular(2e-6) * rectangular(0.05)]
    assert products[0] == pytest.approx(11.7, abs=0.2)
    assert products[1] == pytest.approx(1.7, abs=0.05)
    assert combine([h1_budget().u, *products]) == pytest.approx(34, abs=0.5)


def test_h1_as_gtc_has_it() -> None:
    standard, difference = ureal(50.000623e6, 25, 18), ureal(215, 9.7, 25.6)
    alpha, theta = ureal(11.5e-6, 0, math.inf), ureal(-0.1, 0, math.inf)
    d_alpha, d_theta = ureal(0, rectangular(1e-6), 50), ureal(0, rectangular(0.05), 2)
    length = standard + difference - standard * (d_alpha * theta + alpha * d_theta)
    ours = h1_budget()
    assert ours.u == pytest.approx(gtc_u(length), rel=1e-5)
    assert ours.dof == pytest.approx(gtc_dof(length), rel=1e-4)


VOLTS = [5.007, 4.994, 5.005, 4.990, 4.999]
AMPS = [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3]
RADIANS = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]


@H2
def test_h2_means() -> None:
    """Table H.2: mean and u of each, and the correlations of the means."""
    for data, mean, u, step in (
        (VOLTS, 4.9990, 0.0032, 0.00005),
        (AMPS, 19.6610e-3, 0.0095e-3, 0.00005e-3),
        (RADIANS, 1.04446, 0.00075, 0.000005),
    ):
        found = type_a(data)
        assert found.mean == pytest.approx(mean, abs=step)
        assert found.u == pytest.approx(u, abs=step)
    r = correlation_matrix(correlated_means([VOLTS, AMPS, RADIANS]))
    assert r[0][1] == pytest.approx(-0.36, abs=0.005)
    assert r[0][2] == pytest.approx(0.86, abs=0.005)
    assert r[1][2] == pytest.approx(-0.65, abs=0.005)


@H2
def test_h2_results() -> None:
    """Tables H.3 and H.4."""
    v, i, phi = correlated_means([VOLTS, AMPS, RADIANS])
    r, x, z = v / i * umath.cos(phi), v / i * umath.sin(phi), v / i
    for found, mean, u, digit in ((r, 127.732, 0.071, 3), (x, 219.847, 0.295, 3), (z, 254.260, 0.236, 3)):
        assert found.nominal_value == pytest.approx(mean, abs=0.6 * 10**-digit)
        assert found.std_dev == pytest.approx(u, abs=0.6 * 10**-digit)
    table = correlation_matrix([r, x, z])
    assert table[0][1] == pytest.approx(-0.588, abs=0.0005)
    assert table[0][2] == pytest.approx(-0.485, abs=0.0005)
    assert table[1][2] == pytest.approx(0.993, abs=0.0005)


@H2
def test_h2_by_the_law_of_propagation() -> None:
    """Sensitivities, rounded means and printed correlations of Table H.2 in JCGM 100 eq. 16: 0.070, 0.30, 0.24 ohm."""
    v, i, phi = 4.999, 19.661e-3, 1.04446
    us = (3.2e-3, 9.5e-6, 7.5e-4)
    table = [[1, -0.36, 0.86], [-0.36, 1, -0.65], [0.86, -0.65, 1]]
    z, c, s = v / i, math.cos(phi), math.sin(phi)
    for slopes, u in (
        ((c / i, -z * c / i, -z * s), 0.070),
        ((s / i, -z * s / i, z * c), 0.30),
        ((1 / i, -z / i, 0), 0.24),
    ):
        parts = [k * one for k, one in zip(slopes, us, strict=True)]
        assert combine(parts, table) == pytest.approx(u, abs=0.5 * 10 ** (-3 if u < 0.1 else -2))
        assert abs(combine(parts) / combine(parts, table) - 1) > 0.1, "leaving out the correlations must show"


def test_h2_as_gtc_has_it() -> None:
    v, i, phi = gtc_type_a.multi_estimate_real([VOLTS, AMPS, RADIANS])
    ours = correlated_means([VOLTS, AMPS, RADIANS])
    pairs = (
        (v / i * gtc_cos(phi), ours[0] / ours[1] * umath.cos(ours[2])),
        (v / i * gtc_sin(phi), ours[0] / ours[1] * umath.sin(ours[2])),
        (v / i, ours[0] / ours[1]),
    )
    for theirs, found in pairs:
        assert found.nominal_value == pytest.approx(value(theirs), rel=1e-12)
        assert found.std_dev == pytest.approx(gtc_u(theirs), rel=1e-9)


THERMOMETER = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
CORRECTION = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]


@H3
def test_h3_line() -> None:
    """Table H.6 and H.3.3: intercept -0.1712 at 20 degC, slope 0.00218 (0.00067), b(30 degC) = -0.1494 degC.

    The squared residuals sum to 0.000110096583109, as the data in print must give.
    """
    line = wear_rate(THERMOMETER, CORRECTION, limit=0.0)
    squares = sum((b - line.value_at(t)) ** 2 for t, b in zip(THERMOMETER, CORRECTION, strict=True))
    assert squares == pytest.approx(0.000110096583109, rel=1e-9)
    assert line.value_at(20) == pytest.approx(-0.1712, abs=0.00005)
    assert line.rate == pytest.approx(0.00218, abs=0.000005)
    assert line.u_rate == pytest.approx(0.00067, abs=0.000005)
    assert line.value_at(30) == pytest.approx(-0.1494, abs=0.00005)
    assert line.dof == 9


def test_h3_as_scipy_has_it() -> None:
    line, theirs = wear_rate(THERMOMETER, CORRECTION, limit=0.0), linregress(THERMOMETER, CORRECTION)
    assert line.rate == pytest.approx(theirs.slope, rel=1e-12)
    assert line.start == pytest.approx(theirs.intercept, rel=1e-12)
    assert line.u_rate == pytest.approx(theirs.stderr, rel=1e-12)


def test_correlated_parts_as_gtc_has_them() -> None:
    a, b = multiple_ureal([1.0, 2.0], [0.1, 0.2], 5)
    set_correlation(0.6, a, b)
    assert combine([3 * 0.1, -2 * 0.2], [[1, 0.6], [0.6, 1]]) == pytest.approx(gtc_u(3 * a - 2 * b), rel=1e-12)
