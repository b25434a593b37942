"""Shim plans: equal to brute force, to integer programming and to linear programming on what they must share."""

from __future__ import annotations

from itertools import combinations, combinations_with_replacement, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from restonb.errors import FormulaError
from restonb.formulas.seating import shims

RECTANGLE = [(0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (0.0, 200.0)]
SHAPES = {
    "rectangle": (RECTANGLE, (140.0, 90.0)),
    "rectangle, mass in the middle": (RECTANGLE, (150.0, 100.0)),
    "three": ([(0, 0), (300, 0), (100, 200)], (130, 60)),
    "uneven four": ([(0, 0), (310, 30), (260, 240), (-20, 170)], (120, 100)),
    "one foot inside": ([(0, 0), (300, 0), (150, 260), (150, 90)], (150, 80)),
    "five": ([(0, 0), (300, 0), (340, 180), (150, 260), (-30, 150)], (150, 110)),
}


def lowest_rests(feet, heights, mass) -> list[list[float]]:
    """Gaps in every resting state, by solving three equations for each three feet: nothing of the package is used."""
    rests = []
    for three in combinations(range(len(feet)), 3):
        matrix = np.array([[*feet[f], 1.0] for f in three])
        if abs(np.linalg.det(matrix)) < 1e-6:
            continue
        shares = np.linalg.solve(matrix.T, [*mass, 1.0])
        if min(shares) < -1e-9:
            continue
        plane = np.linalg.solve(matrix, [heights[f] for f in three])
        gaps = [float(plane @ [x, y, 1.0]) - h for (x, y), h in zip(feet, heights, strict=True)]
        if min(gaps) > -1e-9:
            rests.append(gaps)
    return rests


def brute_force(feet, gaps, mass, stock, counts, plies, wanted, within):
    """The least (worst residual, shims, thickness) over every plan, tried one by one."""
    stacks = [c for n in range(plies + 1) for c in combinations_with_replacement(range(len(stock)), n)]
    best = None
    for plan in product(stacks, repeat=len(feet)):
        used = [p for stack in plan for p in stack]
        if counts and any(used.count(p) > c for p, c in enumerate(counts)):
            continue
        heights = [sum(stock[p] for p in stack) - g for stack, g in zip(plan, gaps, strict=True)]
        rests = lowest_rests(feet, heights, mass)
        worst = max(max(r) for r in rests)
        if wanted:
            miss = max(abs(r[f] + heights[f] - wanted[f]) for r in rests for f in range(len(feet)))
            worst = max(worst, miss - within)
        key = (round(worst, 7), len(used), round(sum(stock[p] for p in used), 7))
        best = key if best is None or key < best else best
    return best


def worst_of(result, wanted, within):
    worst = result.residual
    if wanted:
        worst = max(worst, result.missed - within)
    return (pytest.approx(worst, abs=2e-6), result.pieces, pytest.approx(result.total, abs=1e-6))


@pytest.mark.parametrize("shape", SHAPES)
@given(data=st.data())
@settings(deadline=None, max_examples=12)
def test_equal_to_trying_every_plan(shape: str, data: st.DataObject) -> None:
    feet, mass = SHAPES[shape]
    sizes = st.sampled_from([0.03, 0.05, 0.08, 0.1, 0.127, 0.2, 0.254, 0.3])
    stock = data.draw(st.lists(sizes, min_size=1, max_size=2 if len(feet) > 4 else 3, unique=True))
    plies = 1 if len(stock) == 3 else data.draw(st.integers(1, 2 if len(feet) < 5 else 1))
    gaps = data.draw(st.lists(st.integers(0, 40).map(lambda g: g / 100), min_size=len(feet), max_size=len(feet)))
    counts = data.draw(st.none() | st.lists(st.integers(0, 3), min_size=len(stock), max_size=len(stock)))
    lift, tilt = (
        data.draw(st.none() | st.integers(0, 30).map(lambda z: z / 100)),
        data.draw(st.sampled_from([0, 0.0005])),
    )
    within = data.draw(st.sampled_from([0.0, 0.05]))
    asked = {} if lift is None else {"lift": lift, "slope_x": tilt, "within": within}
    wanted = None if lift is None else [lift + tilt * (x - mass[0]) for x, y in feet]
    result = shims(feet, gaps, stock, counts, plies, mass, thickest=2.0, fine=0.0, **asked)
    assert result.proved
    assert brute_force(feet, gaps, mass, stock, counts, plies, wanted, within) == worst_of(result, wanted, within)


@given(data=st.data(), shape=st.sampled_from(sorted(SHAPES)))
@settings(deadline=None)
def test_adding_the_shims_and_resting_again_gives_the_stated_residuals(shape, data) -> None:
    feet, mass = SHAPES[shape]
    gaps = data.draw(st.lists(st.floats(0, 0.5).map(lambda g: round(g, 3)), min_size=len(feet), max_size=len(feet)))
    stock = data.draw(
        st.lists(st.sampled_from([0.02, 0.05, 0.1, 0.127, 0.2, 0.5]), min_size=1, max_size=5, unique=True)
    )
    result = shims(feet, gaps, stock, None, 3, mass)
    for stack, thickness in zip(result.stacks, result.thickness, strict=True):
        assert len(stack) <= 3
        assert sum(stack) == pytest.approx(thickness)
        assert set(stack) <= set(stock)
    rests = lowest_rests(feet, [t - g for t, g in zip(result.thickness, gaps, strict=True)], mass)
    assert any(result.residuals == pytest.approx(r, abs=1e-6) for r in rests)
    assert result.residual == pytest.approx(max(max(r) for r in rests), abs=1e-6)


@pytest.mark.parametrize("shape", ["rectangle", "uneven four", "five"])
@pytest.mark.parametrize("step", [0.05, 0.01, 0.005])
def test_a_finer_stock_leaves_less(shape: str, step: float) -> None:
    """With steps of any fineness each foot can be brought within one step of one plane."""
    feet, mass = SHAPES[shape]
    gaps = [0, 0.137, 0, 0.0613, 0.211][: len(feet)]
    stock = [step * 2**k for k in range(7) if step * 2**k < 0.4]
    assert shims(feet, gaps, stock, None, 6, mass).residual <= step


def test_least_lift_is_that_of_linear_programming() -> None:
    """Reference rows: least total of shims that only add, stock fine enough to make it."""
    feet = [*RECTANGLE, (150.0, 100.0)]
    for heights, places, total in [
        ([0, 0, -0.2, 0], RECTANGLE, 0.2),
        ([0, -0.15, 0, -0.05], RECTANGLE, 0.2),
        ([0, -0.1, -0.05, 0, -0.2], feet, 0.225),
    ]:
        n = len(places)
        rows = [[-x, -y, -1.0] for x, y in places]
        sums = [sum(x for x, _ in places), sum(y for _, y in places), n]
        least = linprog(sums, A_ub=rows, b_ub=[-h for h in heights], bounds=[(None, None)] * 3).fun - sum(heights)
        assert least == pytest.approx(total, abs=1e-9)
        gaps = [max(heights) - h for h in heights]
        plan = shims(places, gaps, [0.025, 0.05, 0.1, 0.2], None, 4, (149.0, 99.0))
        assert plan.residual == pytest.approx(0, abs=1e-6)
        assert plan.total >= total - 1e-9


def test_integer_programming_finds_nothing_better() -> None:
    """scipy's HiGHS on the same question, one programme for each three feet that can carry."""
    feet, mass = SHAPES["five"]
    gaps = [0, 0.13, 0, 0.21, 0.08]
    stock = [0.05, 0.127, 0.2, 0.3]
    result = shims(feet, gaps, stock, None, 2, mass, thickest=1.0, fine=0.0)
    best = np.inf
    n, m = len(feet), len(stock)
    for three in combinations(range(n), 3):
        matrix = np.array([[*feet[f], 1.0] for f in three])
        if min(np.linalg.solve(matrix.T, [*mass, 1.0])) < 0:
            continue
        rows, low, high = [], [], []
        for foot in range(n):
            thick = np.zeros((n, m))
            thick[foot] = stock
            share = np.linalg.solve(matrix.T, [*feet[foot], 1.0])
            carried = np.zeros((n, m))
            offset = 0.0
            for f, w in zip(three, share, strict=True):
                carried[f] += w * np.array(stock)
                offset -= w * gaps[f]
            gap = np.append((carried - thick).ravel(), 0.0)
            const = offset + gaps[foot]
            rows.append(gap), low.append(-const - 1e-9), high.append(np.inf)
            rows.append(gap - np.append(np.zeros(n * m), 1.0)), low.append(-np.inf), high.append(-const)
            count = np.append(np.zeros((n, m)).ravel(), 0.0)
            count[foot * m : (foot + 1) * m] = 1
            rows.append(count), low.append(0), high.append(2)
            rows.append(np.append(thick.ravel(), 0.0)), low.append(0), high.append(1.0)
        solved = milp(
            np.append(np.zeros(n * m), 1.0),
            constraints=LinearConstraint(np.array(rows), low, high),
            integrality=np.append(np.ones(n * m), 0),
            bounds=Bounds(0, np.append(np.full(n * m, 2), np.inf)),
        )
        if solved.success:
            best = min(best, solved.fun)
    assert result.residual == pytest.approx(best, abs=2e-6)


@pytest.mark.practice
@pytest.mark.parametrize(
    ("target", "stock", "error", "pieces"),
    [
        (0.37, [0.05, 0.1, 0.2, 0.5], 0.02, [0.05, 0.1, 0.2]),
        (0.62, [0.05, 0.1, 0.2, 0.5], 0.02, [0.1, 0.5]),
        (0.013, [0.002, 0.003, 0.005, 0.01, 0.025], 0.0, [0.003, 0.01]),
    ],
)
def test_one_stack_comes_as_near_as_exhaustive_search(target, stock, error, pieces) -> None:
    """Reference rows (exhaustive search, up to three shims): three feet, so that each foot is a question of its own."""
    feet = [(0, 0), (300, 0), (100, 200)]
    result = shims(feet, [0, 0, 0], stock, None, 3, lift=target, thickest=1.0, fine=0.0)
    assert result.missed == pytest.approx(error, abs=1e-9)
    assert all(sorted(stack) == pytest.approx(pieces) for stack in result.stacks)


@pytest.mark.practice
def test_the_rectangle_takes_its_defect_under_the_foot_with_the_gap() -> None:
    result = shims("0,0; 300,0; 300,200; 0,200", "0, 0, 0.2 mm, 0", "0.05, 0.1, 0.2 mm")
    assert result.shims == ("none", "none", "0.2 mm", "none")
    assert result.residual == 0
    assert result.take == ("1 x 0.2 mm",)


def test_a_coarse_stock_states_what_it_leaves() -> None:
    result = shims(RECTANGLE, [0, 0, 0.2, 0], [0.5], None, 3, (140, 90))
    assert result.residual == pytest.approx(0.2)
    assert result.pieces == 0
    assert "too coarse" in " ".join(result.texts("notes"))


def test_fewer_shims_inside_the_limit_are_offered() -> None:
    result = shims(RECTANGLE, [0, 0, 0.237, 0], [0.02, 0.05, 0.1, 0.2], None, 3, (140, 90))
    assert result.pieces == 3
    assert result.fewest == ("none", "none", "0.2 mm", "none")
    assert result.fewest_stacks == ((), (), (0.2,), ())
    assert result.fewest_residual == pytest.approx(0.037)


def brute_simple(feet, gaps, mass, stock, plies, tell, limit):
    """(shims, worst) of the plan that the documented order wants, every plan tried one by one."""
    stacks = [c for n in range(plies + 1) for c in combinations_with_replacement(range(len(stock)), n)]
    every = []
    for plan in product(stacks, repeat=len(feet)):
        heights = [sum(stock[p] for p in stack) - g for stack, g in zip(plan, gaps, strict=True)]
        every.append((max(max(r) for r in lowest_rests(feet, heights, mass)), sum(map(len, plan))))
    least = min(every)[0]
    if least > limit:
        return min((round(w, 7), n) for w, n in every)[::-1]
    as_good = min(least + tell, max(limit - tell, least))
    pieces = min(n for w, n in every if w <= as_good + 1e-7)
    return pieces, min(w for w, n in every if n == pieces)


@pytest.mark.parametrize("shape", ["rectangle", "uneven four", "three"])
@given(data=st.data())
@settings(deadline=None, max_examples=15)
def test_gaps_that_the_gauge_cannot_tell_apart_take_the_fewest_shims(shape: str, data: st.DataObject) -> None:
    feet, mass = SHAPES[shape]
    stock = data.draw(
        st.lists(st.sampled_from([0.02, 0.05, 0.1, 0.127, 0.2, 0.3]), min_size=1, max_size=3, unique=True)
    )
    gaps = data.draw(st.lists(st.integers(0, 40).map(lambda g: g / 100), min_size=len(feet), max_size=len(feet)))
    gap_u = data.draw(st.sampled_from([0.002, 0.004, 0.010, 0.020]))
    plies = 2 if len(stock) < 3 else 1
    result = shims(feet, gaps, stock, None, plies, mass, thickest=2.0, gap_u=gap_u, fine=0.0)
    pieces, worst = brute_simple(feet, gaps, mass, stock, plies, 2 * gap_u, 0.05)
    assert result.pieces == pieces
    assert result.residual == pytest.approx(worst, abs=1.1e-4)


@pytest.mark.practice
def test_one_shim_instead_of_many_where_no_blade_tells_the_difference() -> None:
    """Foot 1 short by 0.18 mm. With many thin shims 0.014 mm or less stays; one of 0.20 mm leaves 0.02 mm. A feeler that is
    good to 0.01 mm (k = 2) cannot tell these, so the one shim it is; with a gauge that could, or where the least gap is asked for, not."""
    asked = {"feet": [(0, 120), (150, 120), (150, 0), (0, 0)], "gaps": [0.18, 0, 0, 0], "mass": (90, 50),
             "stock": ["0.002 in", "0.05 mm", "0.004 in", "0.10 mm", "0.20 mm", "0.50 mm"]}  # fmt: skip
    simple = shims(**asked, gap_u=0.005)
    assert simple.shims == ("0.2 mm", "none", "none", "none")
    assert simple.residual == pytest.approx(0.02)
    for pure in (shims(**asked, gap_u=0.005, tell=0), shims(**asked)):
        assert pure.pieces > 1
        assert pure.residual < 0.0141
    assert shims(**asked, gap_u=0.001).residual < simple.residual


def test_fewer_shims_never_bring_the_gap_so_near_the_limit_that_it_cannot_be_proved() -> None:
    """0.141 mm: one shim of 0.1 leaves 0.041 mm, 0.1 + 0.02 here and 0.02 at the other end of the diagonal 0.001 mm.

    With a gauge good to 0.04 mm these are the same gap. Against a limit of 0.05 mm, though, only 0.01 mm or less can be proved
    inside with it, against 0.09 mm 0.05 mm or less."""
    asked = {"feet": RECTANGLE, "gaps": [0, 0, 0.141, 0], "stock": [0.02, 0.1], "plies": 2, "mass": (140, 90)}
    careful = shims(**asked, gap_u=0.02, limit=0.05)
    assert (careful.pieces, careful.residual) == (3, pytest.approx(0.001))
    roomy = shims(**asked, gap_u=0.02, limit=0.09)
    assert (roomy.pieces, roomy.residual) == (1, pytest.approx(0.041))


def test_a_difference_below_nothing_is_refused() -> None:
    with pytest.raises(FormulaError, match="tell"):
        shims(RECTANGLE, [0, 0, 0.2, 0], [0.1], tell=-0.01)


def test_counted_pieces_are_shared_between_feet() -> None:
    """Two feet want 0.2 each; with one piece of it the other foot gets two of 0.1."""
    feet, mass = SHAPES["five"]
    asked = {"gaps": [0.0] * 5, "lift": 0.2, "mass": mass, "plies": 2}
    free = shims(feet, stock=[0.1, 0.2], **asked)
    assert free.pieces == 5
    counted = shims(feet, stock=[0.1, 0.2], counts=[4, 3], **asked)
    assert counted.missed == pytest.approx(0, abs=1e-9)
    assert sorted(counted.take) == ["3 x 0.2 mm", "4 x 0.1 mm"]


def test_fitted_shims_are_planned_anew() -> None:
    """0.1 under foot 3 leaves 0.1: with it out, the gap is 0.2 and one piece of 0.2 closes it."""
    result = shims(RECTANGLE, [0, 0, 0.1, 0], [0.1, 0.2], None, 3, (140, 90), fitted=[0, 0, 0.1, 0])
    assert result.shims == ("none", "none", "0.2 mm", "none")
    assert result.residual == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("asked", "heights"),
    [
        ({"lift": 1.0, "slope_x": 0.001, "lift_foot": 1}, [1.0, 1.3, 1.3, 1.0]),
        ({"lift": 1.0, "tilt_y": -0.0572957604, "lift_foot": 1}, [1.0, 1.3, 1.3, 1.0]),
        ({"lift": 1.0, "tilt_x": 0.0572957604, "lift_foot": 1}, [1.0, 1.0, 1.2, 1.2]),
        ({"slope_y": 0.001}, [0.0, 0.0, 0.2, 0.2]),
    ],
)
def test_a_wanted_lift_and_tilt_are_reached(asked, heights) -> None:
    result = shims(RECTANGLE, [0, 0, 0, 0], [0.1, 0.2, 0.3, 1.0], None, 3, (140, 90), **asked)
    assert result.thickness == pytest.approx(heights)
    assert result.missed == pytest.approx(0, abs=1e-6)
    assert result.tilt_x == pytest.approx(
        asked.get("tilt_x", 0) + np.degrees(np.arctan(asked.get("slope_y", 0))), abs=1e-6
    )


def test_lowering_is_called_out() -> None:
    result = shims(RECTANGLE, [0, 0, 0.2, 0], [0.1], None, 3, (140, 90), lift=-0.3)
    assert "shims only raise" in result.texts("cautions")[0]
    assert "0.3 mm" in result.texts("cautions")[0]


def test_inches_and_millimetres_agree() -> None:
    inch = shims("0,0; 12 in,0; 12 in,8 in; 0,8 in", "0, 0, 9.3 thou, 0", "2, 4, 8 thou", mass="5.5 in, 3.5 in")
    mm = shims(
        [(0, 0), (304.8, 0), (304.8, 203.2), (0, 203.2)],
        [0, 0, 0.23622, 0],
        [0.0508, 0.1016, 0.2032],
        None,
        3,
        [139.7, 88.9],
    )
    assert inch.thickness == pytest.approx(mm.thickness)
    assert inch.residual == pytest.approx(mm.residual)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"stock": []}, "stock"),
        ({"stock": [0.0]}, "not a shim"),
        ({"stock": [-0.1]}, "not a shim"),
        ({"counts": [1]}, "1 numbers for 2 thicknesses"),
        ({"counts": [1, -1]}, "give 0 or more"),
        ({"plies": 0}, "1 to 6"),
        ({"limit": 0}, "limit"),
        ({"tilt_x": 0.1, "slope_y": 0.001}, "not both"),
        ({"lift_foot": 1}, "needs a 'lift'"),
        ({"lift": 1, "lift_foot": 9}, "foot from 1 to 4"),
        ({"lift": 500}, "check its unit"),
        ({"fitted": [0, 0]}, "fitted"),
        ({"gap_u": -1}, "gap_u"),
    ],
)
def test_impossible_input_is_refused_by_name(change, says) -> None:
    with pytest.raises(FormulaError, match=says):
        shims(**{"feet": RECTANGLE, "gaps": [0, 0, 0.2, 0], "stock": [0.1, 0.2], **change})


def test_pieces_that_ran_out_leave_the_gap() -> None:
    result = shims(RECTANGLE, [0, 0, 0.2, 0], [0.2], [0], 3, (140, 90))
    assert result.pieces == 0
    assert result.residual == pytest.approx(0.2)


def test_a_mass_centre_that_was_not_given_is_said_and_three_feet_need_none() -> None:
    def notes(feet: object, gaps: list[float], mass: object) -> str:
        return " ".join(shims(feet, gaps, [0.1, 0.2], limit=0.05, mass=mass).texts("notes"))

    assert "mass centre not given" in notes(RECTANGLE, [0, 0, 0.2, 0], None)
    assert "mass centre not given" not in notes(RECTANGLE, [0, 0, 0.2, 0], (140, 90))
    assert "mass centre not given" not in notes([(0, 0), (300, 0), (100, 200)], [0, 0, 0], None)
