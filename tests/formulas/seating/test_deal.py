"""Dealing counted pieces to feet: against integer programming."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from restonb.formulas.seating._deal import Dealer
from restonb.formulas.seating._stock import stacks, stock

SIZES = [0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5]


def fewest(wanted: list[int], sizes: list[int], counts: list[int], plies: int) -> int | None:
    """Fewest pieces by scipy's HiGHS: one whole number for each foot and size."""
    n, m = len(wanted), len(sizes)
    rows, low, high = [], [], []
    for foot, nm in enumerate(wanted):
        row = np.zeros((n, m))
        row[foot] = np.array(sizes) / 1000
        rows.append(row.ravel()), low.append(nm / 1000), high.append(nm / 1000)
        pieces = np.zeros((n, m))
        pieces[foot] = 1
        rows.append(pieces.ravel()), low.append(0), high.append(plies)
    for size, count in enumerate(counts):
        used = np.zeros((n, m))
        used[:, size] = 1
        rows.append(used.ravel()), low.append(0), high.append(count)
    solved = milp(
        np.ones(n * m),
        constraints=LinearConstraint(np.array(rows), low, high),
        integrality=np.ones(n * m),
        bounds=Bounds(0, plies),
    )
    return round(solved.fun) if solved.success else None


@given(
    st.lists(st.integers(0, 14).map(lambda k: 50_000 * k), min_size=3, max_size=8),
    st.lists(st.integers(1, 3), min_size=len(SIZES), max_size=len(SIZES)),
)
@settings(deadline=None, max_examples=60)
def test_fewest_pieces_is_that_of_integer_programming(wanted, counts) -> None:
    on_hand = stock(SIZES, counts, len(wanted), 3)
    choices = stacks(on_hand, 3, 1_000_000)
    dealer = Dealer(on_hand, choices)
    least = fewest(wanted, [round(s * 1e6) for s in SIZES], counts, 3)
    plan = dealer.deal(wanted, 24)
    assert (None if plan is None else sum(s.plies for s in plan)) == least
    if plan is None or least is None:
        return
    assert [s.nm for s in plan] == wanted
    used = [on_hand.nm[p] for s in plan for p in s.pieces]
    assert all(used.count(round(size * 1e6)) <= count for size, count in zip(SIZES, counts, strict=True))
    assert dealer.deal(wanted, least - 1) is None
