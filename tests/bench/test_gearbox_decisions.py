"""What a gearbox's gaps say to do next: from measured gaps, through the formulas, to steps.

Feet are a rectangle, 300 mm by 200 mm, numbered round it; the mass lies a little to the side of foot 1.
"""

import pytest

from restonb.decisions import NotYet
from restonb.decisions.drivetrain.gearbox_mounting import carrying_feet, next_steps, rocking_axis
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


def steps(loose, stock=(0.05, 0.1, 0.2), shimmed=None, tight=None):
    waits = NotYet(("gaps",))
    known = None not in loose
    rest = seating.rest(FEET, list(loose), mass=MASS) if known else waits
    plan = seating.shims(FEET, list(loose), list(stock), mass=MASS) if known and stock else waits
    found = verdicts(*loose, occasion="as found")
    made = next_steps(found, rest, plan, shimmed or found, tight or verdicts(None, None, None, None))
    return {step.finding: step for step in made}


def test_nothing_is_decided_before_all_gaps_are_measured():
    (step,) = steps((0, None, 0.2, 0)).values()
    assert (step.finding, step.state, step.about) == ("gap.measure", "to do", (("gap", "foot 2"),))
    (step,) = next_steps(Verdicts(), NotYet(("x",)), NotYet(("x",)), Verdicts(), Verdicts())
    assert step.finding == "gap.measure"


def test_a_gearbox_that_rocks_gets_its_shims():
    made = steps((0, 0, 0.2, 0))
    rocks, put = made["rest.rocks"].values, made["shims.put"].values
    assert (rocks["axis"], rocks["foot"], rocks["drop"].value) == ("foot 2 and foot 4", "foot 3", pytest.approx(0.2))
    assert [piece.value for piece in put["foot_3"]] == [0.2]
    assert put["left"].value == pytest.approx(0, abs=1e-9)


def test_one_that_sits_gets_none():
    assert "shims.put" not in steps((0, 0, 0, 0))


def test_a_stock_that_is_too_coarse_is_not_tightened_on():
    # Half a millimetre under a foot that hangs by 0.2 mm would only lift another by as much as is too much.
    made = steps((0, 0, 0.2, 0), stock=(0.5,))
    assert made["shims.too_coarse"].values["left"].value == pytest.approx(0.2)


def test_without_a_stock_it_asks_for_one():
    assert steps((0, 0, 0.2, 0), stock=())["shims.unknown"].state == "not known"


def test_gaps_that_no_resting_state_has_are_measured_again_before_anything_is_shimmed():
    # Gaps under two neighbouring feet: with the mass in the middle it would have tipped onto one of them.
    assert list(steps((0.3, 0.3, 0, 0))) == ["gap.misfit"]


@pytest.mark.parametrize(
    ("shimmed", "finding"),
    [((0, 0, 0.2, 0), "gap.outside"), ((0, 0, 0.05, 0), "gap.close")],
)
def test_on_the_shims_it_is_not_tightened_before_every_gap_is_inside(shimmed, finding):
    made = steps((0, 0, 0.2, 0), shimmed=verdicts(*shimmed))
    assert list(made) == [finding]
    assert made[finding].about == (("gap", "foot 3"),)


def test_a_foot_that_moves_when_its_nut_is_slackened_is_named():
    good = verdicts(0, 0, 0, 0)
    assert steps((0, 0, 0.2, 0), shimmed=good)["tight.measure"].state == "to do"
    assert steps((0, 0, 0.2, 0), shimmed=good, tight=good)["tight"].state == "settled"
    moved = good + verdicts(0.01, 0.2, 0.01, 0.01, key="movement")
    made = steps((0, 0, 0.2, 0), shimmed=good, tight=moved)
    assert made["tight.outside"].about == (("movement", "foot 2"),)


def test_it_rocks_about_the_other_diagonal():
    # A rectangle can only rock about one of its two diagonals.
    assert rocking_axis(seating.rest(FEET, [0, 0, 0.2, 0], mass=MASS)) == ["foot 2", "foot 4"]
    assert rocking_axis(seating.rest(FEET, [0, 0, 0, 0.2], mass=[160, 90])) == ["foot 1", "foot 3"]
    assert rocking_axis(seating.rest(FEET, [0, 0, 0, 0], mass=MASS)) == []
    assert rocking_axis(NotYet(("gaps",))) == carrying_feet(NotYet(("gaps",))) == []
    assert carrying_feet(seating.rest(FEET, [0, 0, 0.2, 0], mass=MASS)) == ["foot 1", "foot 2", "foot 4"]
