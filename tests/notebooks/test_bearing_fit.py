"""Bearing fit: the demo's interference cold and running by hand, the decision in each case, an empty build."""

from types import SimpleNamespace

import pytest

from restonb.decisions.drivetrain.bearing_fit import BearingFit, largest_clearance, next_steps

SHEET = "bearing_fit"


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", "")] * 3


def test_the_interference_is_ring_less_housing(runs):
    """Ring 51.994 and 51.993, mean 51.9935; housing as found 52.004, 52.002, 52.006, mean 52.004: 0.0105 mm of clearance.
    After the sleeve 51.976, 51.979, 51.975, mean 51.97667: 0.01683 mm of interference."""
    assert numbers(runs[0])["interference"] == pytest.approx(51.9935 - 52.004, abs=1e-6)
    assert numbers(runs[1])["interference"] == pytest.approx(51.9935 - (51.976 + 51.979 + 51.975) / 3, abs=1e-6)


def test_an_alloy_case_grows_away_from_a_steel_ring(runs):
    """52 mm x (21.5 - 12.5) um/m/K x 70 K = 0.03276 mm."""
    found = numbers(runs[1])
    assert found["interference"] - found["interference_running"] == pytest.approx(52 * 9e-6 * 70)


def test_the_case_is_warmed_until_the_bearing_drops_in(runs):
    """A bearing cooled by 38 K shrinks by 52 x 12.5e-6 x 38 = 0.0247 mm; the case must give the rest of 0.01683 + 0.03 mm."""
    wanted = 51.9935 - (51.976 + 51.979 + 51.975) / 3 + 0.03 - 52 * 12.5e-6 * 38
    assert numbers(runs[1])["heat_to"] == pytest.approx(20 + wanted / (52 * 21.5e-6), abs=0.01)


def test_the_story_is_told_in_order(runs):
    first, second, third = ([*r.filed["decision"]] for r in runs)
    assert len(first) == 1
    assert "too wide at axis A, axis B and axis C" in first[0]
    assert "loose by up to 0.013 mm" in first[0]
    assert "Punch marks" in first[0]
    assert "leaves 0.016 mm of clearance: the ring can creep" in second[1]
    assert second[-1].startswith("Once it is cold")
    assert third[-1].startswith("The bearing is home and turns as freely")


def test_a_gauge_that_is_too_coarse_leaves_the_shaft_open(runs):
    assert len(runs[2].filed["open"]) == 1
    assert "too close to call" in runs[2].filed["open"][0]


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty(f"drivetrain/{SHEET}")
    assert (run.state, run.reason) == ("good", "")
    assert run.filed["numbers"] == {}
    assert run.filed["decision"] == [
        "Measure the housing and bearing's outside first, clean and at 20 degC, at every place. Nothing is heated before that."
    ]


@pytest.mark.published("ISO 286-2: 52 N7 -9/-39 um; ISO 492: 52 mm 0/-13 um: largest clearance 0.004 mm")
def test_the_loosest_fit_that_both_limits_allow():
    assert largest_clearance((51.961, 51.991), (51.987, 52.0)) == pytest.approx(0.004)


@pytest.fixture
def fit(judged):
    """A fit on which all is well; each test spoils one thing."""
    return BearingFit(
        housing=judged("housing", lower=51.961, upper=51.991, value=51.976, axis_A="inside"),
        ring=judged("ring", axis_A="inside"),
        shaft=judged("seat", depth_3mm="inside"),
        seat=SimpleNamespace(most=-0.01),
        cold=0.02,
        hot=0.005,
        running="60 degC",
        assembly=SimpleNamespace(feasible=True, rise=60.0, heat_to=80.0, shrink=0.0),
        seated=judged("gap", place_1="inside"),
        turning=judged("turning", once="inside"),
    )


def test_all_is_well(fit):
    said = next_steps(fit)
    assert said[0].endswith("At 20 degC there is 0.020 mm of interference.")
    assert said[1] == "At 60 degC there is still 0.005 mm of interference: the ring stays put."
    assert said[-1].startswith("The bearing is home")


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"ring": {"axis_A": "outside"}}, "send the bearing back"),
        ({"ring": {"axis_A": "not measured"}}, "Measure the bearing's outside first"),
        ({"shaft": {"depth_3mm": "outside"}}, "Do not fit yet"),
        ({"shaft": {"depth_3mm": "not measured"}}, "Measure the shaft's seat too"),
        ({"shaft": {"depth_3mm": "too close to call"}}, "shaft's seat is too close to call at depth 3mm"),
        (
            {"seated": {"place_1": "not measured"}},
            "Heat the case evenly to at least 80 degC (oven, thermometer): the bearing",
        ),
        ({"seated": {"place_1": "outside"}}, "not home at place 1"),
        ({"turning": {"once": "not measured"}}, "The bearing is home. Measure what it takes to turn it"),
        ({"turning": {"once": "outside"}}, "It turns harder than before"),
        ({"turning": {"once": "too close to call"}}, "is too close to call"),
        ({"housing": {"axis_A": "too close to call"}}, "inside as far as this gauge can tell"),
    ],
)
def test_the_decision_in_each_case(fit, judged, changes, says):
    spoilt = {name: judged(name, **words) for name, words in changes.items()}
    assert says in " ".join(next_steps(fit._replace(**spoilt)))


def test_a_tight_housing_is_not_a_loose_one(fit, judged):
    tight = judged("housing", lower=51.961, upper=51.991, value=51.950, axis_A="outside")
    assert "too tight at axis A" in next_steps(fit._replace(housing=tight))[0]


@pytest.mark.parametrize(
    ("assembly", "says"),
    [
        ({"feasible": False}, "Heat alone does not do it: 80 degC would be needed"),
        ({"rise": 0.0}, "goes in without heat"),
        ({"shrink": 0.025}, "and cool the bearing, which gives 0.025 mm"),
    ],
)
def test_how_it_is_put_in(fit, judged, assembly, says):
    heat = SimpleNamespace(**{**vars(fit.assembly), **assembly})
    said = next_steps(fit._replace(assembly=heat, seated=judged("gap", place_1="not measured")))
    assert says in " ".join(said)


def test_without_materials_it_asks_for_them(fit):
    assert "Write materials and running temperature" in " ".join(next_steps(fit._replace(hot=None, assembly=None)))
