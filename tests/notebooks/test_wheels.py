"""Wheels: run-out and line by hand, which spokes to turn, the decision in each case, and an empty build."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from restonb.bench._values import NotYet, Values
from restonb.decisions.chassis.wheels import highest, lowest, next_steps, spokes
from restonb.measure import Verdicts
from restonb.quantity import Quantity

SHEET = "wheels"


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def dial(**at):
    values = {f"{k[1:].replace('_', ':')}": None if v is None else Quantity(v, "mm") for k, v in at.items()}
    return Values("dial at the rim", values)


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", "")] * 3


def test_run_out_is_the_highest_less_the_lowest_of_one_turn(runs):
    """1.12 - 0 before truing, 0.41 - 0 after; up and down 0.34 + 0.24; the dent 0.86 + 0.05."""
    before, after, _ = (numbers(r) for r in runs)
    assert before["front_side"] == pytest.approx(1.12)
    assert after["front_side"] == pytest.approx(0.41)
    assert after["front_hop"] == pytest.approx(0.58)
    assert after["rear_hop"] == pytest.approx(0.91)
    assert numbers(runs[2])["front_side"] == pytest.approx(0.42)


def test_a_rim_past_the_limit_of_a_trued_one_is_to_be_trued(runs):
    """The mean of the turn is 0.615: 12:00 at 0 lies farther from it than 6:00 at 1.12."""
    said = " ".join(runs[0].filed["decision"])
    assert "The front rim sideways is inside its wear limit, but not as true as a trued rim" in said
    assert "round 12:00, tighten the spokes on the dial's side and slacken those on the other side" in said
    assert "True enough: front rim sideways" in " ".join(runs[1].filed["decision"])


def test_the_line_stays_open_until_it_is_measured(runs):
    assert "offset" not in numbers(runs[2])
    assert any("Lay strings" in line for line in runs[2].filed["decision"])
    assert any("not measured" in line and "string" in line for line in runs[2].filed["open"])


def test_cautions_are_filed(runs):
    said = " ".join(runs[0].filed["cautions"])
    for word in ("tip", "fingers", "cracked rim", "competent"):
        assert word in said.casefold()


def test_on_an_empty_build_it_begins_with_the_bearings(empty):
    run = empty(f"chassis/{SHEET}")
    assert run.state == "good"
    assert run.filed["numbers"] == {}
    assert run.filed["decision"][0].startswith("Rock each wheel across its axle")


@pytest.mark.practice
def test_a_rim_that_comes_to_the_dial_is_pulled_away_by_the_other_side():
    out, away = dial(p12_00=0.0, p6_00=1.0, p3_00=0.1), dial(p12_00=0.0, p6_00=-1.0, p3_00=-0.1)
    assert spokes(out, "side").startswith("round 6:00, slacken the spokes on the dial's side and tighten")
    assert spokes(away, "side").startswith("round 6:00, tighten the spokes on the dial's side and slacken")
    assert spokes(out, "hop").startswith("tighten all spokes round 6:00")
    assert spokes(away, "hop").startswith("slacken all spokes round 6:00")


def test_nothing_is_said_of_spokes_before_the_whole_turn_is_measured():
    assert spokes(dial(p12_00=0.0, p6_00=None), "side") == ""
    assert not highest(dial(p12_00=0.0, p6_00=None))
    assert (highest(dial(p12_00=-0.2, p6_00=0.3)), lowest(dial(p12_00=-0.2, p6_00=0.3))) == (0.3, -0.2)


def decided(judged, play="inside", rim="inside", split=None, line="inside", tread="inside", nuts="inside", off=0.0):
    lines = judged("line", once=line)
    if off:
        lines = Verdicts((replace(lines.rows[0], value=off),))
    rims = {"front rim sideways": (judged("rim", once=rim), split or NotYet(("the dial",)), "slacken these")}
    return next_steps(
        judged("play", front=play, rear="inside"), rims, lines, judged("tread", front=tread), judged("nut", rear=nuts)
    )


ASKEW = SimpleNamespace(total=3.0, eccentricity=1.4)
BENT = SimpleNamespace(total=3.0, eccentricity=0.3)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"play": "outside"}, "Do not true a wheel on worn bearings"),
        ({"play": "too close to call"}, "too close to call at the front wheel"),
        ({"play": "not measured"}, "Rock each wheel"),
        ({"rim": "not measured"}, "Measure the front rim sideways"),
        ({"rim": "too close to call"}, "read it again with care"),
        ({"rim": "outside", "split": ASKEW}, "mostly once per turn: slacken these"),
        ({"rim": "outside", "split": BENT}, "look for a dent, a crack or a loose spoke"),
        ({"rim": "outside"}, "The front rim sideways is outside its limit."),
        ({"rim": "inside"}, "True enough: front rim sideways"),
        ({"line": "not measured"}, "Lay strings"),
        ({"line": "too close to call"}, "in line is too close to call"),
        ({"line": "outside", "off": 10.0}, "stands 5.0 mm to the right"),
        ({"line": "outside", "off": -10.0}, "stands 5.0 mm to the left"),
        ({"tread": "outside"}, "New tyre at the front"),
        ({"tread": "too close to call"}, "plan for a new tyre"),
        ({"tread": "not measured"}, "read the date on the tyres"),
        ({"nuts": "outside"}, "Axle nut outside at the rear"),
        ({"nuts": "not measured"}, "Tighten the axle nuts"),
    ],
)
def test_the_decision_in_each_case(judged, changes, says):
    """Gap left less gap right is twice the offset: 10 mm more on the left is 5 mm to the right."""
    assert any(says in line for line in decided(judged, **changes))


def test_on_worn_bearings_no_rim_is_judged(judged):
    assert len(decided(judged, play="outside", rim="outside")) == 2
