"""What a gearbox's gaps say to do next: from measured gaps, through the formulas, to words.

Feet are a rectangle, 300 mm by 200 mm, numbered round it; the mass lies a little to the side of foot 1.
"""

import pytest

from restonb.bench._values import NotYet
from restonb.decisions.drivetrain.gearbox_mounting import next_steps, rocking_axis
from restonb.formulas import seating
from restonb.measure import Characteristic, Instrument, Reading, Verdicts, check

FEET = [[0, 0], [300, 0], [300, 200], [0, 200]]
MASS = [140, 90]
FEELER = Instrument("feeler", "feeler", "mm", 0.01, 0.005)


def verdicts(*gaps, key="gap", occasion="after rework"):
    row = Characteristic("s", key, key, "feet 4", "mm", upper=0.05, instrument="feeler")
    found = [
        Reading("s", key, f"foot {n}", gap, "mm", instrument="feeler", occasion=occasion, seq=n)
        for n, gap in enumerate(gaps, 1)
        if gap is not None
    ]
    return check(row, found, {"feeler": FEELER})


def said(loose, stock=(0.05, 0.1, 0.2), shimmed=None, tight=None):
    waits = NotYet(("gaps",))
    known = None not in loose
    rest = seating.rest(FEET, list(loose), mass=MASS) if known else waits
    plan = seating.shims(FEET, list(loose), list(stock), mass=MASS) if known and stock else waits
    found = verdicts(*loose, occasion="as found")
    return next_steps(found, rest, plan, shimmed or found, tight or verdicts(None, None, None, None))


def test_nothing_is_decided_before_all_gaps_are_measured():
    assert said((0, None, 0.2, 0)) == [
        "Measure the gap under every foot with the nuts off (foot 2 still to do). Nothing is decided before that."
    ]
    assert next_steps(Verdicts(), NotYet(("x",)), NotYet(("x",)), Verdicts(), Verdicts())[0].startswith(
        "Measure the gap"
    )


def test_a_gearbox_that_rocks_gets_its_shims():
    lines = said((0, 0, 0.2, 0))
    assert lines[0].startswith("As found it rocks: foot 3 goes down 0.2 mm about feet 2 and 4")
    assert lines[1] == "Put 0.2 mm under foot 3: the largest gap left is 0.000 mm, within the limit of 0.05 mm."


def test_one_that_sits_gets_none():
    lines = said((0, 0, 0, 0))
    assert lines[0] == "As found it stands firm on all its feet."
    assert not any(line.startswith("Put") for line in lines)


def test_a_stock_that_is_too_coarse_is_not_tightened_on():
    lines = said((0, 0, 0.2, 0), stock=(0.5,))
    # Half a millimetre under a foot that hangs by 0.2 mm would only lift another by as much as is too much.
    assert lines[-1].startswith("No stack from this stock leaves less than 0.200 mm: get thinner shims")


def test_without_a_stock_it_asks_for_one():
    assert said((0, 0, 0.2, 0), stock=())[-1].startswith("Write the shims on hand into build.toml")


def test_gaps_that_no_resting_state_has_are_measured_again_before_anything_is_shimmed():
    # Gaps under two neighbouring feet: with the mass in the middle it would have tipped onto one of them.
    lines = said((0.3, 0.3, 0, 0))
    assert all(line.startswith("Do not shim on these gaps") for line in lines)


@pytest.mark.parametrize(
    ("shimmed", "word"),
    [((0, 0, 0.2, 0), "still too large at foot 3"), ((0, 0, 0.05, 0), "Too close to call with this gauge at foot 3")],
)
def test_on_the_shims_it_is_not_tightened_before_every_gap_is_inside(shimmed, word):
    lines = said((0, 0, 0.2, 0), shimmed=verdicts(*shimmed))
    assert word in lines[-2]
    assert lines[-1].startswith("Do not tighten yet")


def test_a_foot_that_moves_when_its_nut_is_slackened_is_named():
    good = verdicts(0, 0, 0, 0)
    assert said((0, 0, 0.2, 0), shimmed=good)[-1].startswith("Tighten to the plan")
    assert "does not flex" in said((0, 0, 0.2, 0), shimmed=good, tight=good)[-1]
    moved = good + verdicts(0.01, 0.2, 0.01, 0.01, key="movement")
    assert "flexes at foot 2" in said((0, 0, 0.2, 0), shimmed=good, tight=moved)[-1]


def test_it_rocks_about_the_other_diagonal():
    # A rectangle can only rock about one of its two diagonals.
    assert rocking_axis(seating.rest(FEET, [0, 0, 0.2, 0], mass=MASS)) == ["foot 2", "foot 4"]
    assert rocking_axis(seating.rest(FEET, [0, 0, 0, 0.2], mass=[160, 90])) == ["foot 1", "foot 3"]
    assert rocking_axis(seating.rest(FEET, [0, 0, 0, 0], mass=MASS)) == []
