"""Dimension chains: the sums of JCGM 101 9.2, and what must hold for any chain."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas.stackup import bring_in, chain


@pytest.mark.published("JCGM 101:2008 9.2.2, Table 2")
def test_sum_of_four_standard_normals() -> None:
    result = chain([0] * 4, [1] * 4, [1] * 4, sigmas=1, draws=500_000)
    assert result.deviation == pytest.approx(2.00, abs=0.005)
    assert (result.low, result.high) == pytest.approx((-3.92, 3.92), abs=0.02)


@pytest.mark.recalled("JCGM 101:2008 9.2.3")
def test_sum_of_four_rectangular_of_unit_deviation() -> None:
    result = chain([0] * 4, [math.sqrt(3)] * 4, [1] * 4, ["rectangular"], draws=500_000)
    assert result.deviation == pytest.approx(2.00, abs=0.005)
    assert (result.low, result.high) == pytest.approx((-3.88, 3.88), abs=0.02)


def test_triangular_has_the_deviation_of_its_formula() -> None:
    """JCGM 100 4.3.9: half width over the root of six."""
    assert chain([5], [0.3], [1], ["triangular"]).deviation == pytest.approx(0.3 / math.sqrt(6), rel=0.01)


def test_worst_case_and_root_of_squares_row() -> None:
    result = chain([10, 20, 5, 34], [0.05, 0.05, 0.02, 0.1], [1, 1, -1, -1])
    assert result.gap == pytest.approx(-9)
    assert (result.worst_high - result.gap, result.rss_high - result.gap) == pytest.approx((0.22, 0.1241), abs=5e-5)


def test_a_worst_case_that_just_touches_is_no_interference() -> None:
    """30.2 - 10 - 20 less 0.05 + 0.05 + 0.1: the least gap is 0, whatever is left behind the fifteenth digit."""
    result = chain([10, 20, 30.2], [0.05, 0.05, 0.1], [-1, -1, 1])
    assert not any("interference" in note for note in result.notes)
    assert "worst_low   0 mm" in str(result.working())


links = st.lists(
    st.tuples(
        st.floats(0, 100),
        st.floats(0, 0.5),
        st.sampled_from([-1, 1]),
        st.sampled_from(["normal", "rectangular", "triangular"]),
    ),
    min_size=1,
    max_size=6,
)


@given(links)
@settings(deadline=None, max_examples=15)
def test_any_chain_keeps_its_order(rows) -> None:
    sizes, tolerances, directions, shapes = map(list, zip(*rows, strict=True))
    result = chain(sizes, tolerances, directions, shapes)
    near = 1e-9
    assert result.worst_low - near <= result.rss_low <= result.gap <= result.rss_high <= result.worst_high + near
    assert result.low - near <= result.mean <= result.high + near
    total = math.sqrt(
        sum((t / {"normal": 3, "rectangular": 3**0.5, "triangular": 6**0.5}[s]) ** 2 for _, t, _, s in rows)
    )
    assert result.deviation == pytest.approx(total, rel=0.02, abs=1e-12)
    if total > 1e-9:
        assert sum(result.shares) == pytest.approx(100)


def test_the_same_question_has_the_same_answer() -> None:
    assert chain([1, 2], [0.1, 0.2], [1, -1]).low == chain([1, 2], [0.1, 0.2], [1, -1]).low


def test_a_window_states_the_share_inside_and_the_worst_case() -> None:
    """A normal gap with its window at two standard deviations: 95.45 % (any table of the normal distribution)."""
    result = chain([1], [0.3], [1], least=0.8, most=1.2)
    assert result.inside == pytest.approx(95.45, abs=0.15)
    assert result.feasible is False
    assert "0.1 mm below the window" in result.texts("notes")[0]
    assert chain([1], [0.1], [1], least=0.8, most=1.2).feasible is True


@given(st.floats(-1, 2), st.floats(0, 0.5), st.floats(0.01, 0.5))
def test_adding_what_is_told_brings_the_gap_to_the_middle(gap, least, width) -> None:
    result = bring_in(gap, least, least + width, fitted=5.0)
    assert gap - result.add == pytest.approx(least + width / 2)
    assert gap - result.add_least == pytest.approx(least + width)
    assert gap - result.add_most == pytest.approx(least)
    assert result.feasible


def test_the_spacer_on_hand_that_comes_nearest() -> None:
    """End float 0.45 with a 2.0 washer, 0.1 to 0.2 wanted: 2.3 is the middle; 2.25 gives 0.2 and 2.4 gives 0.05."""
    result = bring_in("0.45", "0.1", "0.2", fitted="2.0", sizes="1.9, 2.0, 2.25, 2.4")
    assert result.add == pytest.approx(0.3)
    assert result.choose == pytest.approx(2.25)
    assert result.gap_then == pytest.approx(0.2)
    assert result.inside_then
    assert not bring_in(0.45, 0.1, 0.2, 2.0, [1.9, 2.0]).inside_then


def test_uncertainty_narrows_the_range_until_nothing_is_left() -> None:
    sure = bring_in(0.45, 0.1, 0.2, 2.0, gap_u=0.01)
    assert (sure.add_least, sure.add_most) == pytest.approx((0.27, 0.33))
    unsure = bring_in(0.45, 0.1, 0.2, 2.0, gap_u=0.03)
    assert not unsure.feasible
    assert "measure better" in unsure.texts("notes")[0]


def test_interference_without_a_spacer_cannot_be_cured_by_one() -> None:
    result = bring_in(-0.3, 0.1, 0.2)
    assert result.add == pytest.approx(-0.45)
    assert not result.feasible
    assert "machined" in result.texts("notes")[0]


def test_a_gap_that_comes_out_on_its_limit_is_inside() -> None:
    """0.55 + 0.30 - 0.70 is 0.15, though floats make 0.15000000000000002 of it."""
    assert 0.55 + 0.30 - 0.70 > 0.15
    assert bring_in(0.55, 0.05, 0.15, fitted=0.30, sizes=[0.70]).inside_then
    assert not bring_in(0.55, 0.05, 0.15, fitted=0.30, sizes=[0.699]).inside_then
    touching = chain([0.55, 0.30, 0.70], [0, 0, 0], [1, 1, -1], least=0.05, most=0.15)
    assert touching.feasible
    assert touching.texts("notes") == ()
    assert not chain([0.55, 0.30, 0.70], [0, 0, 0.001], [1, 1, -1], least=0.05, most=0.15).feasible


def test_inches_and_millimetres_agree() -> None:
    inch = bring_in("12 thou", "2 thou", "6 thou", sizes="5, 8, 10 thou")
    mm = bring_in(0.3048, 0.0508, 0.1524, sizes=[0.127, 0.2032, 0.254])
    assert inch.choose == pytest.approx(mm.choose)
    assert inch.add == pytest.approx(mm.add)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: chain([], [], []), "sizes"),
        (lambda: chain([1, 2], [0.1], [1, 1]), "as many of each"),
        (lambda: chain([1], [-0.1], [1]), "half width"),
        (lambda: chain([1], [0.1], [2]), "directions"),
        (lambda: chain([1], [math.nan], [1]), "finite"),
        (lambda: chain([1], [0.1], [1], ["round"]), "normal, rectangular, triangular"),
        (lambda: chain([1, 2], [0.1, 0.1], [1, 1], ["normal", "normal", "normal"]), "3 words for 2 links"),
        (lambda: chain([1], [0.1], [1], draws=1000), "100000"),
        (lambda: chain([1], [0.1], [1], least=2, most=1), "smaller"),
        (lambda: bring_in(0.1, 0.2, 0.1), "below the largest"),
        (lambda: bring_in(0.1, 0.1, 0.2, sizes=[-1]), "0 or more"),
    ],
)
def test_impossible_input_is_refused_by_name(call, says) -> None:
    with pytest.raises(FormulaError, match=says):
        call()
