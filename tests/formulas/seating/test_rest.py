"""Which feet carry: against linear programming, the printed geometry and the facts of the trade."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from restonb.errors import FormulaError
from restonb.formulas.seating import rest
from restonb.formulas.seating._footing import TOUCH, Footing, footing, pressed, rocking
from restonb.formulas.seating._footing import rest as states

RECTANGLE = [(0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (0.0, 200.0)]


def by_linear_programming(feet, heights, mass) -> tuple[float, list[float]]:
    """Lowest height of the mass centre, and the gaps, from scipy's solver: shares no code with the package."""
    solved = linprog(
        [mass[0], mass[1], 1.0],
        A_ub=[[-x, -y, -1.0] for x, y in feet],
        b_ub=[-h for h in heights],
        bounds=[(None, None)] * 3,
        method="highs",
    )
    a, b, c = solved.x
    return solved.fun, [a * x + b * y + c - h for (x, y), h in zip(feet, heights, strict=True)]


@st.composite
def seatings(draw: st.DrawFn) -> tuple[Footing, list[float]]:
    """3 to 8 feet anywhere, a mass centre strictly among them, heights of up to half a millimetre."""
    n = draw(st.integers(3, 8))
    places = st.tuples(st.integers(0, 40), st.integers(0, 40))
    feet = draw(st.lists(places, min_size=n, max_size=n, unique=True))
    shares = draw(st.lists(st.integers(1, 9), min_size=n, max_size=n))
    mass = [sum(s * f[axis] * 10 for s, f in zip(shares, feet, strict=True)) / sum(shares) for axis in (0, 1)]
    heights = draw(st.lists(st.integers(0, 500).map(lambda z: -z / 1000), min_size=n, max_size=n))
    try:
        return footing([(x * 10, y * 10) for x, y in feet], mass), heights
    except FormulaError:
        assume(False)
        raise


@given(seatings())
@settings(deadline=None, max_examples=200)
def test_the_lowest_rest_is_that_of_linear_programming(case: tuple[Footing, list[float]]) -> None:
    on, heights = case
    lowest, _ = by_linear_programming(on.feet, heights, on.mass)
    found = states(on, heights)
    assert found
    for state in found:
        shares = state.tripod
        x, y = on.mass
        corners = [on.feet[f] for f in shares.feet]
        matrix = [[cx, cy, 1.0] for cx, cy in corners]
        import numpy as np

        a, b, c = np.linalg.solve(np.array(matrix), [state.plane[f] for f in shares.feet])
        assert a * x + b * y + c == pytest.approx(lowest, abs=1e-7)
        assert min(state.gaps) >= 0
        assert len(state.carrying) >= 3


def corner(feet, foot) -> bool:
    """Whether a foot is a corner of the outline: some line has it alone on one side."""
    angles = sorted(math.atan2(y - feet[foot][1], x - feet[foot][0]) for f, (x, y) in enumerate(feet) if f != foot)
    turns = [b - a for a, b in pairwise([*angles, angles[0] + 2 * math.pi])]
    return max(turns) > math.pi + 1e-6


@given(seatings(), st.floats(-0.01, 0.01), st.floats(-0.01, 0.01), st.floats(-5, 5))
@settings(deadline=None)
def test_gaps_do_not_depend_on_how_the_whole_mount_is_tilted(case, slope_x, slope_y, up) -> None:
    on, heights = case
    tilted = [h + slope_x * x + slope_y * y + up for h, (x, y) in zip(heights, on.feet, strict=True)]
    plain, turned = states(on, heights), states(on, tilted)
    assume(len(plain) == len(turned) == 1)
    assert turned[0].gaps == pytest.approx(plain[0].gaps, abs=1e-6)


@given(seatings())
@settings(deadline=None)
def test_a_foot_leant_on_goes_down_by_no_more_than_its_gap(case) -> None:
    """A corner foot closes its gap; a foot between others may stop short, carried by its neighbours."""
    on, heights = case
    for state in states(on, heights):
        for rock in rocking(on, heights, state):
            down = pressed(on, heights, rock.foot)
            assert rock.drop == pytest.approx(state.gaps[rock.foot] - down.gaps[rock.foot], abs=1e-9)
            if corner(on.feet, rock.foot):
                assert down.gaps[rock.foot] <= TOUCH


@given(st.lists(st.floats(0, 0.5), min_size=3, max_size=3))
@settings(deadline=None)
@pytest.mark.practice
def test_three_feet_never_rock(gaps: list[float]) -> None:
    result = rest([(0, 0), (100, 0), (40, 90)], gaps)
    assert result.firm
    assert result.carrying == (1, 2, 3)
    assert result.gaps == (0, 0, 0)
    assert result.axis == ()


@pytest.mark.practice
@pytest.mark.parametrize(
    ("heights", "mass", "gaps"),
    [
        ([0, 0, -0.2, 0], [140, 90], [0, 0, 0.2, 0]),
        ([0, -0.15, 0, -0.05], [150, 95], [0, 0, 0, 0.2]),
    ],
)
def test_worked_rests(heights, mass, gaps) -> None:
    """Rectangle: the defect is z1 - z2 + z3 - z4, and the foot off the carrying side has all of it."""
    found = states(footing(RECTANGLE, mass), heights)
    assert len(found) == 1
    assert found[0].gaps == pytest.approx(gaps, abs=1e-9)
    assert max(found[0].gaps) == pytest.approx(abs(heights[0] - heights[1] + heights[2] - heights[3]))


@pytest.mark.practice
def test_four_feet_rock_about_the_diagonal_between_the_gap_and_its_opposite() -> None:
    result = rest(RECTANGLE, [0, 0, 0.2, 0], [140, 90])
    assert result.carrying == (1, 2, 4)
    assert result.rocks == ("foot 3 goes down 0.2 mm about feet 2 and 4 while foot 1 lifts 0.2 mm",)
    assert result.axis == (2, 4)
    assert not result.firm


def test_mass_over_the_carrying_diagonal_rests_in_two_states() -> None:
    result = rest(RECTANGLE, [0, 0, 0.2, 0], [150, 100])
    assert result.gaps == pytest.approx((0, 0, 0.2, 0))
    assert result.other_gaps == pytest.approx((0.2, 0, 0, 0))
    assert "two carrying feet" in " ".join(result.texts("notes"))


def test_the_state_that_was_measured_comes_first() -> None:
    assert rest(RECTANGLE, [0.2, 0, 0, 0], [150, 100]).gaps == pytest.approx((0.2, 0, 0, 0))


def test_inches_and_millimetres_agree() -> None:
    inch = rest("0,0; 12 in,0; 12 in,8 in; 0,8 in", "0, 0, 8 thou, 0", "5.5 in, 3.5 in")
    mm = rest([(0, 0), (304.8, 0), (304.8, 203.2), (0, 203.2)], [0, 0, 0.2032, 0], [139.7, 88.9])
    assert inch.gaps == pytest.approx(mm.gaps)
    assert inch.rocks == mm.rocks


def test_uncertainty_agrees_with_random_draws() -> None:
    """JCGM 101: the spread of many resting gaps, each from gaps drawn with their uncertainty."""
    import random

    draw = random.Random(20)
    feet, mass, u = [(0, 0), (310, 20), (280, 220), (-15, 190)], (140, 90), 0.01
    result = rest(feet, [0, 0, 0.3, 0], mass, u)
    on = footing(feet, mass)
    open_gap = [max(states(on, [-g + draw.gauss(0, u) for g in (0, 0, 0.3, 0)])[0].gaps) for _ in range(20_000)]
    mean = math.fsum(open_gap) / len(open_gap)
    spread = math.sqrt(math.fsum((g - mean) ** 2 for g in open_gap) / (len(open_gap) - 1))
    assert result.worst_u == pytest.approx(spread, rel=0.02)


@pytest.mark.parametrize(
    ("gaps", "says"),
    [
        ([0.1, 0.1, 0.1, 0.3], "all feet have a gap"),
        ([0, 0.2, 0, 0.2], "do not come from one resting state"),
    ],
)
def test_gaps_that_no_single_rest_can_show_are_called_out(gaps, says) -> None:
    result = rest(RECTANGLE, gaps, [150, 95])
    assert says in result.texts("cautions")[0]
    assert "measure all gaps" in result.texts("cautions")[0]
    assert result.misfit == pytest.approx(max(gaps[0], gaps[1]))


def test_gaps_within_their_uncertainty_are_one_rest() -> None:
    assert not rest(RECTANGLE, [0.01, 0, 0.01, 0.2], [140, 90], 0.01).texts("cautions")


@pytest.mark.parametrize(
    ("feet", "gaps", "mass", "says"),
    [
        ([(0, 0), (100, 0), (200, 0), (300, 0)], [0] * 4, None, "one line"),
        ([(0, 0), (100, 0)], [0, 0], None, "give 3 to 8"),
        ([(i, i * i) for i in range(9)], [0] * 9, None, "give 3 to 8"),
        ([(0, 0), (100, 0), (100, 0), (0, 100)], [0] * 4, None, "feet 2 and 3 are both"),
        (RECTANGLE, [0, 0, 0], None, "3 values for 4 feet"),
        (RECTANGLE, [0, 0, -0.1, 0], None, "foot 3 is -0.1 mm; a gap is 0 or more"),
        (RECTANGLE, [0, 0, math.nan, 0], None, "finite"),
        (RECTANGLE, [0, 0, 200.0, 0], None, "check its unit"),
        (RECTANGLE, [0, 0, 0.2, 0], [400, 90], "outside the feet"),
        (RECTANGLE, [0, 0, 0.2, 0], [400], "two finite numbers"),
    ],
)
def test_impossible_input_is_refused_by_name(feet, gaps, mass, says) -> None:
    with pytest.raises(FormulaError, match=says):
        rest(feet, gaps, mass)


def test_the_notes_say_what_was_taken_and_why_three_feet_cannot_rock() -> None:
    given, taken = (" ".join(rest(RECTANGLE, [0, 0, 0.2, 0], mass).texts("notes")) for mass in ([140, 90], None))
    assert "mass centre not given" in taken
    assert "mass centre not given" not in given
    for mass in ([40, 30], None):
        three = " ".join(rest([(0, 0), (100, 0), (40, 90)], [0, 0, 0], mass).texts("notes"))
        assert three == "three feet always carry and never rock"
    assert "three feet" not in given + taken
