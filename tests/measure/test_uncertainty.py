"""The parts of an uncertainty, one by one, against the printed guide and certified data."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import MeasureError
from restonb.measure import (
    Budget,
    arcsine,
    certificate,
    combine,
    component,
    coverage_factor,
    effective_dof,
    rectangular,
    resolution_step,
    triangular,
    type_a,
)

STRD = Path(__file__).parent / "data" / "strd"

TEMPERATURES = [
    *(96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07),
    *(100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72),
]


def certified(name: str) -> tuple[float, float, list[float]]:
    """Mean, standard deviation and data of one file, from the lines that its header names."""
    lines = (STRD / f"{name}.dat").read_text(encoding="ascii", errors="replace").splitlines()
    text = "\n".join(lines)
    first, last = map(int, re.search(r"Data\s*:\s*lines\s+(\d+)\s+to\s+(\d+)", text).groups())
    mean = float(re.search(r"ybar:\s+(\S+)", text)[1])
    s = float(re.search(r"\bs:\s+(\S+)", text)[1])
    return mean, s, [float(v) for line in lines[first - 1 : last] for v in line.split()]


@pytest.mark.published("NIST StRD, univariate summary statistics: certified mean and standard deviation")
@pytest.mark.parametrize(
    ("name", "n"),
    [("Lew", 200), ("Lottery", 218), ("Mavro", 50), ("NumAcc1", 3), ("NumAcc2", 1001), ("PiDigits", 5000)],
)
def test_mean_and_scatter_of_reference_data(name: str, n: int) -> None:
    mean, s, data = certified(name)
    found = type_a(data)
    assert found.n == len(data) == n
    assert found.mean == pytest.approx(mean, rel=1e-14)
    assert found.s == pytest.approx(s, rel=1e-13)
    assert found.u == pytest.approx(s / math.sqrt(n), rel=1e-13)


@pytest.mark.recalled("NIST StRD NumAcc3 and NumAcc4, by their definition: 1000000.2 and 10000000.2 with steps of 0.1")
@pytest.mark.parametrize(("middle", "digits"), [(1_000_000, 9), (10_000_000, 8)])
def test_scatter_survives_a_large_mean(middle: int, digits: int) -> None:
    """One pass with sums of squares loses all digits here. The data themselves hold only so many of 0.1."""
    data = [middle + 0.2] + [middle + 0.1, middle + 0.3] * 500
    found = type_a(data)
    assert found.mean == pytest.approx(middle + 0.2, rel=1e-15)
    assert found.s == pytest.approx(0.1, rel=10.0**-digits)


@pytest.mark.recalled("JCGM 100:2008 4.4.3: 20 temperatures, mean 100.14 (exactly 100.145), s 1.49, u 0.33 degC")
def test_twenty_temperatures() -> None:
    found = type_a(TEMPERATURES)
    assert found.mean == pytest.approx(100.145, abs=0.0005)
    assert found.s == pytest.approx(1.489, abs=0.0005)
    assert found.u == pytest.approx(0.333, abs=0.0005)
    assert found.dof == 19


@pytest.mark.recalled("JCGM 100:2008 4.3.3 to 4.3.9 and F.2.2.1")
def test_what_is_stated_becomes_a_standard_uncertainty() -> None:
    assert certificate(240e-6, 3) == pytest.approx(80e-6)
    assert certificate(129e-6, 2.576) == pytest.approx(50e-6, abs=0.5e-6)  # 99 %, printed as 2.58
    assert rectangular(0.40e-6) == pytest.approx(0.23e-6, abs=0.005e-6)
    assert rectangular(4.0) == pytest.approx(2.3, abs=0.05)
    assert triangular(4.0) == pytest.approx(1.6, abs=0.05)
    assert resolution_step(1.0) == pytest.approx(0.29, abs=0.005)


@pytest.mark.published("JCGM 100:2008 F.2.2.1 and 4.3.7, by their formulas; H.1.3.4 for the cycle")
def test_type_b_formulas() -> None:
    assert resolution_step(0.01) == pytest.approx(0.00288675, rel=1e-5)
    assert rectangular(0.05) == pytest.approx(0.0288675, rel=1e-5)
    assert arcsine(0.5) == pytest.approx(0.35, abs=0.005)
    assert combine([0.2, arcsine(0.5)]) == pytest.approx(0.41, abs=0.005)


@pytest.mark.published("JCGM 100:2008 Table G.2")
@pytest.mark.parametrize(
    ("dof", "p", "k", "digits"),
    [
        (1, 0.6827, 1.84, 2),
        (1, 0.95, 12.71, 2),
        (1, 0.9973, 235.8, 1),
        (2, 0.9973, 19.21, 2),
        (3, 0.9545, 3.31, 2),
        (5, 0.9973, 5.51, 2),
        (9, 0.9973, 4.09, 2),
        (10, 0.95, 2.23, 2),
        (16, 0.99, 2.92, 2),
        (50, 0.99, 2.68, 2),
        (100, 0.95, 1.984, 3),
        (math.inf, 0.90, 1.645, 3),
        (math.inf, 0.95, 1.960, 3),
        (math.inf, 0.9545, 2.000, 3),
        (math.inf, 0.99, 2.576, 3),
        (math.inf, 0.9973, 3.000, 3),
    ],
)
def test_coverage_factor_is_that_of_the_table(dof: float, p: float, k: float, digits: int) -> None:
    assert coverage_factor(dof, p) == pytest.approx(k, abs=0.5001 * 10.0**-digits)


@pytest.mark.recalled("JCGM 100:2008 G.4.1 note 1: cut down to the next whole number")
def test_dof_is_cut_down_and_never_up() -> None:
    assert coverage_factor(16.76, 0.99) == coverage_factor(16, 0.99)
    assert coverage_factor(16.99, 0.99) > coverage_factor(17, 0.99)


@pytest.mark.recalled("JCGM 100:2008 G.4.1: relative 0.25, 0.57, 0.82 % with 9, 4, 14 dof: 1.03 %, 19.0, U95 2.2 %")
def test_product_of_three() -> None:
    parts, dofs = [0.25, 0.57, 0.82], [9, 4, 14]
    assert combine(parts) == pytest.approx(1.03, abs=0.005)
    assert effective_dof(parts, dofs) == pytest.approx(19.0, abs=0.05)
    assert coverage_factor(effective_dof(parts, dofs), 0.95) * combine(parts) == pytest.approx(2.2, abs=0.05)


@pytest.mark.published(
    "X-ray fluorescence ratio, worked example of an open uncertainty calculator: u 0.00494, 27.7, U95 0.0101"
)
def test_ratio_of_two_readings_times_a_reference() -> None:
    a, b, c = (0.1820, 0.00093), (0.1823, 0.00058), (0.6978, 0.0026)
    y = a[0] / b[0] * c[0]
    assert y == pytest.approx(0.6967, abs=0.00005)
    parts = [y * u / x for x, u in (a, b, c)]
    dof = effective_dof(parts, [9, 19, 19])
    assert combine(parts) == pytest.approx(0.00494, abs=0.00001)  # from inputs of two digits
    assert dof == pytest.approx(27.7, abs=0.3)  # goes with the fourth power of them
    assert coverage_factor(dof, 0.95) * combine(parts) == pytest.approx(0.0101, abs=0.00005)


@pytest.mark.published("JCGM 101:2008 9.2.2 Table 2: the sum of four standard normals has u 2.0 and 95 % within 3.92")
def test_sum_of_four_normals() -> None:
    assert combine([1.0] * 4) == pytest.approx(2.0)
    assert coverage_factor(math.inf, 0.95) * combine([1.0] * 4) == pytest.approx(3.92, abs=0.005)


@pytest.mark.recalled(
    "JCGM 100:2008 5.2.2 note 1: ten resistors of 1000 ohm calibrated by one standard, u 0.1: 1 ohm, not 0.32"
)
def test_errors_wholly_in_common_add_up() -> None:
    together = [[1.0] * 10 for _ in range(10)]
    assert combine([0.1] * 10, together) == pytest.approx(1.0)
    assert combine([0.1] * 10) == pytest.approx(0.32, abs=0.005)


@given(st.lists(st.floats(0, 10), min_size=2, max_size=6), st.floats(0.01, 10))
@settings(deadline=None)
def test_another_part_never_lessens_a_budget(parts: list[float], more: float) -> None:
    few = Budget(tuple(component("a", p, "normal") for p in parts))
    many = Budget((*few.components, component("b", more, "normal")))
    assert many.u >= few.u
    assert many.u >= more * (1 - 1e-12)


@given(st.lists(st.tuples(st.floats(-3, 3), st.floats(0.1, 5)), min_size=2, max_size=8))
@settings(deadline=None)
def test_errors_of_one_gauge_are_never_counted_for_less_than_alone_or_together(
    parts: list[tuple[float, float]],
) -> None:
    """r = 0 and r = 1 are the ends; the variance is linear in r between them (JCGM 100 eq. 13)."""
    budget = Budget(tuple(component("a", u, "normal", sensitivity=c, shared="gauge") for c, u in parts))
    pieces = [c * u for c, u in parts]
    n = len(pieces)
    for r in (0.0, 0.3, 1.0):
        table = [[1.0 if i == j else r for j in range(n)] for i in range(n)]
        assert budget.u >= combine(pieces, table) * (1 - 1e-9) - 1e-12


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: type_a([1.0]), "take at least 2"),
        (lambda: type_a([]), "take at least 2"),
        (lambda: type_a([1.0, math.nan]), "write a number"),
        (lambda: type_a([1.0, True]), "write a number"),
        (lambda: type_a([1.0, "2"]), "write a number"),  # type: ignore[list-item]
        (lambda: rectangular(-0.1), "without a sign"),
        (lambda: certificate(0.1, 0), "positive factor"),
        (lambda: component("x", 1, "round"), "write one of arcsine"),
        (lambda: coverage_factor(5, 95), "between 0 and 1"),
        (lambda: coverage_factor(0), "positive, or infinite"),
        (lambda: effective_dof([1, 1], [3]), "one for each part"),
        (lambda: combine([1, 1], [[1, 0]]), "2 by 2"),
        (lambda: combine([1, 1], [[1, 0.5], [0.4, 1]]), "the same both ways"),
        (lambda: combine([1, 1, -1], [[1, 0.9, 0.9], [0.9, 1, -0.9], [0.9, -0.9, 1]]), None),
        (lambda: combine([1, -1, -1], [[1, 0.9, 0.9], [0.9, 1, -0.9], [0.9, -0.9, 1]]), "contradict each other"),
    ],
)
def test_what_cannot_be_is_refused(work, says: str | None) -> None:
    if says is None:
        assert work() >= 0
        return
    with pytest.raises(MeasureError, match=says):
        work()


@pytest.mark.published("JCGM 100:2008 5.1: scatter of nothing leaves the resolution, F.2.2.1")
def test_readings_all_alike_have_no_scatter() -> None:
    assert type_a([5.0] * 10).s == 0.0
    budget = Budget((component("scatter", 0.0, "normal", dof=9), component("resolution", 0.01, "resolution")))
    assert budget.u == pytest.approx(0.01 / math.sqrt(12))
    assert budget.dof == math.inf


def test_budget_says_which_part_dominates() -> None:
    budget = Budget((component("error", 0.03, "rectangular"), component("resolution", 0.01, "resolution")), "mm")
    assert budget.largest.name == "error"
    assert sum(budget.percent(c) for c in budget.components) == pytest.approx(100)
    assert "most of it: error (97 %)" in str(budget)  # 0.03^2/3 against 0.01^2/12
    assert list(budget.frame()["part"]) == ["error", "resolution"]
    assert "<caption>" in budget._repr_html_()
    assert Budget(()).u == 0
    assert "not known" in Budget(()).summary()
