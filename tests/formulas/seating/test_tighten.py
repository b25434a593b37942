"""Tightening: common practice of the trade, and arithmetic that can be done by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas.seating import flex, strain

small = st.floats(-0.4, 0.4)


@pytest.mark.practice
def test_two_feet_of_one_diagonal_that_move_show_rocking() -> None:
    result = flex("0.01, 0.12, 0.0, 0.11 mm")
    assert result.over == (2, 4)
    assert result.worst_foot == 2
    assert "rocks about the other one" in result.texts("notes")[0]


@pytest.mark.practice
def test_a_foot_that_moves_more_than_its_gap_is_springy() -> None:
    result = flex([0.0, 0.0, 0.3, 0.0], gaps=[0, 0, 0.1, 0])
    assert result.springs == pytest.approx((0, 0, 0.2, 0))
    assert "foot 3 moves more than its feeler gap" in result.texts("notes")[1]


@pytest.mark.practice
def test_a_foot_within_the_common_limit_is_left_alone() -> None:
    """0.002 in is the usual limit; 0.05 mm stands for it."""
    assert flex("1.9, 0, 0 thou").over == ()
    assert flex("2.1, 0, 0 thou").over == (1,)


@given(st.lists(small, min_size=3, max_size=8), st.floats(0.001, 0.3))
def test_movement_up_and_down_count_alike(movement, limit) -> None:
    assert flex(movement, limit=limit).over == flex([-m for m in movement], limit=limit).over


def test_what_comes_out_on_the_limit_is_not_over_it() -> None:
    """1.35 - 1.30 is 0.05, and 0.050000000000000044 in floats."""
    assert 1.35 - 1.30 > 0.05
    assert flex([1.35 - 1.30, 0, 0, 0]).over == ()
    assert flex([0.051, 0, 0, 0]).over == (1,)
    assert not strain([1.30], [1.35]).strained
    assert strain([1.30], [1.3501]).strained


def test_uncertainty_of_a_difference_of_two_readings() -> None:
    assert flex([0.1, 0, 0], reading_u=0.003).worst_u == pytest.approx(math.sqrt(0.003**2 + 0.003**2))


@pytest.mark.practice
def test_a_joint_that_pulls_and_lets_go_again() -> None:
    result = strain([0.02, 0.03], [0.02, 0.13], [0.02, 0.03])
    assert result.strained
    assert result.worst_position == 2
    assert result.worst_shift == pytest.approx(0.1)
    assert result.worst_stay == 0
    assert "goes back" in result.texts("notes")[0]


@pytest.mark.practice
def test_a_change_that_stays_is_no_elastic_strain() -> None:
    result = strain([0.02], [0.12], [0.11])
    assert result.worst_stay == pytest.approx(0.09)
    assert "does not go back" in result.texts("notes")[0]


def test_without_a_last_reading_it_asks_for_one() -> None:
    assert "open the joint again" in strain([0.0], [0.1]).texts("notes")[0]


@given(st.lists(st.tuples(small, small, small), min_size=1, max_size=12), st.floats(-1, 1))
def test_where_the_dial_was_zeroed_does_not_matter(rows, zero) -> None:
    before, tight, after = zip(*rows, strict=True)
    plain = strain(before, tight, after)
    moved = strain([b + zero for b in before], [t + zero for t in tight], [a + zero for a in after])
    assert moved.shifts == pytest.approx(plain.shifts, abs=1e-12)
    assert moved.stays == pytest.approx(plain.stays, abs=1e-12)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: flex([0.1, 0.1]), "one for each foot, 3 to 8"),
        (lambda: flex([0.1, math.nan, 0]), "finite"),
        (lambda: flex([0.1, 0, 0], gaps=[0, 0]), "2 values for 3 feet"),
        (lambda: flex([0.1, 0, 0], limit=0), "limit"),
        (lambda: strain([], []), "before"),
        (lambda: strain([1, 2], [1]), "as many of each"),
        (lambda: strain([1], [2], limit=-1), "limit"),
    ],
)
def test_impossible_input_is_refused_by_name(call, says) -> None:
    with pytest.raises(FormulaError, match=says):
        call()


# -- readings in shop text


def test_strain_takes_shop_text_and_answers_in_the_unit_stated() -> None:
    """0.5 to 1.5 thou and 1.0 to 4.5 thou: 1 and 3.5 thou; 0.05 mm are 1.97 thou."""
    result = strain("0.5, 1.0 thou", "1.5, 4.5 thou")
    assert result.shifts == pytest.approx((1.0, 3.5))
    assert result["worst_shift"].unit == "thou"
    assert result.strained
    assert not strain("0.5, 1.0 thou", "1.5, 2.9 thou").strained  # 1.9 thou is 0.048 mm


@given(
    st.lists(st.floats(-5, 5).map(lambda v: round(v, 3)), min_size=1, max_size=4), st.sampled_from(["thou", "in", "um"])
)
@settings(deadline=None)
def test_strain_is_the_same_in_any_unit_of_length(change: list[float], unit: str) -> None:
    from restonb.quantity import Quantity

    before = [Quantity(1.0, "mm").to(unit)] * len(change)
    tight = [Quantity(1.0 + c / 20, "mm").to(unit) for c in change]
    in_mm = strain([1.0] * len(change), [1.0 + c / 20 for c in change])
    other = strain(before, tight)
    assert other["worst_shift"].unit == unit
    assert Quantity(other.worst_shift, unit).to("mm").value == pytest.approx(in_mm.worst_shift, abs=1e-9)


def test_strain_of_another_kind_needs_a_limit_of_that_kind() -> None:
    with pytest.raises(FormulaError, match="'limit' is missing; give it in N m"):
        strain("1.0 N m", "1.4 N m")
    assert strain("1.0 N m", "1.4 N m", limit="0.2 N m").strained
    with pytest.raises(FormulaError, match="limit"):
        strain("1.0 N m", "1.4 N m", limit="0.05 mm")
    with pytest.raises(FormulaError, match="tight"):
        strain("1.0 mm", "1.4 N m")


def test_plain_numbers_are_taken_as_they_are() -> None:
    result = strain([0.1], [0.2], limit=0.05)
    assert result["worst_shift"].unit is None
    assert "any one unit" not in result.working().split("valid:")[0]
