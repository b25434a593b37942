"""A stack from stock: every make-up tried by another way of counting, and three stacks that anyone can add up."""

from itertools import combinations_with_replacement

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import FormulaError
from restonb.formulas.seating import stack


@pytest.mark.parametrize(
    ("wanted", "stock", "pieces", "off"),
    [
        (0.37, [0.05, 0.1, 0.2, 0.5], (0.2, 0.1, 0.05), 0.02),
        (0.62, [0.05, 0.1, 0.2, 0.5], (0.5, 0.1), 0.02),
        (0.013, [0.002, 0.003, 0.005, 0.01, 0.025], (0.01, 0.003), 0.0),
        (0.02, [0.05], (), 0.02),
    ],
)
def test_stacks_that_anyone_can_add_up(wanted, stock, pieces, off):
    found = stack(wanted, stock)
    assert found.pieces == pytest.approx(pieces)
    assert abs(found.off) == pytest.approx(off)


@settings(deadline=None, max_examples=60)
@given(
    wanted=st.integers(0, 150),
    stock=st.lists(st.integers(2, 60), min_size=1, max_size=5, unique=True),
    plies=st.integers(1, 3),
)
def test_none_comes_nearer_with_as_few_pieces(wanted, stock, plies):
    """Whole hundredths, added in whole numbers."""
    found = stack(wanted / 100, [s / 100 for s in stock], plies=plies)
    every = [c for n in range(plies + 1) for c in combinations_with_replacement(stock, n)]
    least = min((abs(sum(c) - wanted), len(c)) for c in every)
    assert (round(abs(found.off) * 100), found.count) == least


def test_pieces_are_not_used_twice_where_there_is_one():
    assert stack(0.4, [0.2, 0.1], counts=[1, 1]).pieces == pytest.approx((0.2, 0.1))


def test_it_says_where_no_stack_will_do():
    assert "no stack from this stock will do" in stack(0.3, [0.2], plies=1, low=0.25, high=0.35).notes[0]


def test_a_negative_thickness_is_refused():
    with pytest.raises(FormulaError, match="wanted"):
        stack(-0.1, [0.1])
