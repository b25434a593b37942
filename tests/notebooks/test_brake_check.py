"""Brakes before the road: the trial by its measured speed, the order of the steps, and an empty build."""

import math
from types import SimpleNamespace

import pytest

from restonb.decisions.brakes.brake_check import Trial, distances, longest, margin, next_steps, trials
from restonb.decisions.steps import sentence
from restonb.measure import Characteristic, Verdict, Verdicts

SHEET = "brake_check"


@pytest.fixture(scope="module")
def run(play):
    (run,) = play(SHEET)[1]
    return run


@pytest.mark.recalled(
    "GTR 3: S = 0.1 V + (Sm - 0.1 Vm) V2/Vm2; Directive 93/14/EEC, app. 1: 0.1 V + V2/115, 0.1 V + V2/75"
)
def test_what_is_left_to_the_distance_of_the_type_test(run):
    """27.9 m from 60.8, 27.1 m from 59.6, 88 ft (26.8224 m) from 59.1 km/h; 44.0, 43.2, 45.1 m from 60.2, 59.4, 61.3 km/h."""
    assert (run.state, run.reason) == ("good", "")
    found = {name: n["value"] for name, n in run.filed["numbers"].items()}

    def at_60(stops):
        return max(6 + (s - 0.1 * v) * 3600 / v**2 for s, v in stops)

    front = at_60([(27.9, 60.8), (27.1, 59.6), (26.8224, 59.1)])
    rear = at_60([(44.0, 60.2), (43.2, 59.4), (45.1, 61.3)])
    assert found["front_margin"] == pytest.approx(6 + 3600 / 115 - front)
    assert found["rear_margin"] == pytest.approx(6 + 3600 / 75 - rear)


def test_each_corrected_stop_is_a_row_of_its_own_with_the_speed_in_its_uncertainty(run):
    """Receiver: 0.8 km/h at most and steps of 0.1; tape: 0.05 m and steps of 0.05 m; all rectangular (JCGM 100, 4.3.7)."""
    rows = {(v["characteristic"], v["position"]): v for v in run.filed["verdicts"]}
    row = rows["front_distance", "run 2"]
    us = math.hypot(0.05, 0.025) / math.sqrt(3)
    uv = math.hypot(0.8, 0.05) / math.sqrt(3)
    s, v = 27.1, 59.6
    by_v = 3600 * (0.1 / v**2 - 2 * s / v**3) * uv
    assert row["value"] == pytest.approx(6 + (s - 0.1 * v) * 3600 / v**2)
    assert row["u"] == pytest.approx(math.hypot(3600 / v**2 * us, by_v), rel=0.01)
    assert {rows[key]["verdict"] for key in rows if key[0].endswith("distance")} == {"inside"}


def test_on_an_empty_build_it_sends_nobody_out(empty):
    run = empty(f"brakes/{SHEET}")
    assert (run.state, run.filed["numbers"], run.filed["verdicts"]) == ("good", {}, [])
    last = run.filed["steps"][-1]
    assert (last["state"], last["finding"], last["safety"]) == ("stop", "stand.first", True)
    assert any("never try brakes in traffic" in line for line in run.filed["cautions"])


# -- what is decided, in each case


def rows(key, unit, *values, upper=None, lower=None, word=None):
    c = Characteristic(SHEET, key, key.replace("_", " "), "runs 3", unit, lower=lower, upper=upper, safety=True)
    return Verdicts(
        tuple(
            Verdict(c, f"run {n}", word or ("not measured" if v is None else "no limit"), v, u=0.01)
            for n, v in enumerate(values, 1)
        )
    )


def tried(*pairs, upper=37.3, allowed=37.304, speed=60.0, brake="front", test="motorcycle, front only", word="inside"):
    """A trial of pairs of distance in m and speed in km/h; the corrected ones judged by the value alone."""
    stops = trials(
        rows("stop", "m", *(s for s, _ in pairs)), speeds := rows("speed", "km/h", *(v for _, v in pairs)), speed, test
    )
    c = Characteristic(SHEET, f"{brake}_distance", "distance", "worked out", "m", upper=upper, safety=True)
    found = [
        Verdict(c, place, word if amount.value <= upper else "outside", amount.value)
        for place, amount in distances(stops).items()
    ]
    found += [Verdict(c, one.row.position, "not measured") for one in stops if one.answer is None]
    answer = longest(stops)
    return Trial(brake, stops, speeds, Verdicts(tuple(found)), margin(allowed, answer.distance) if answer else None)


GOOD = ((28.0, 60.0), (27.5, 59.5), (27.8, 60.5))


@pytest.fixture
def decide(judged):
    good = {
        "faults": judged(hoses="inside", rear_stop_lamp="inside"),
        "reserve": judged(once="inside"),
        "drag": judged(front="inside", rear="inside"),
        "trial": (tried(*GOOD), tried(*GOOD, brake="rear")),
    }
    return lambda **other: next_steps(**{**good, **other})


def findings(steps):
    return {step.finding: step.state for step in steps}


def test_all_good(decide):
    assert set(findings(decide()).values()) == {"settled"}


@pytest.mark.parametrize(
    ("what", "words", "finding", "state"),
    [
        ("faults", {"rear_stop_lamp": "outside", "hoses": "not measured"}, "walk_round.outside", "stop"),
        ("faults", {"hoses": "inside", "rear_stop_lamp": "not measured"}, "walk_round.measure", "to do"),
        ("reserve", {"once": "outside", "value": 10.0, "lower": 20.0}, "reserve.below", "stop"),
        ("reserve", {"once": "outside", "value": 90.0, "upper": 60.0}, "reserve.above", "stop"),
        ("reserve", {"once": "too close to call"}, "reserve.close", "not known"),
        ("reserve", {"once": "not measured"}, "reserve.measure", "to do"),
        ("drag", {"front": "outside", "rear": "inside", "value": 20.0, "upper": 15.0}, "drag.above", "stop"),
        ("drag", {"front": "too close to call", "rear": "inside"}, "drag.close", "not known"),
        ("drag", {"front": "not measured", "rear": "inside"}, "drag.measure", "to do"),
        ("drag", {"front": "no limit", "rear": "inside"}, "drag.limit", "not known"),
    ],
)
def test_nobody_rides_before_the_stand_is_good(decide, judged, what, words, finding, state):
    steps = decide(**{what: judged(**words)})
    assert findings(steps)[finding] == state
    assert (steps[-1].finding, steps[-1].state) == ("stand.first", "stop")
    assert not any("_stop" in step.finding for step in steps)


def test_without_any_run_it_begins_at_walking_pace(decide):
    nothing = tried((None, None), (None, None), (None, None))
    steps = decide(trial=(nothing, nothing))
    assert [step.finding for step in steps[-2:]] == ["walking_pace", "trial"]
    assert {step.state for step in steps[-2:]} == {"to do"}


def test_a_stop_that_is_too_long(decide):
    steps = decide(trial=(tried(*GOOD), tried((39.0, 60.0), *GOOD[1:], brake="rear")))
    assert findings(steps)["rear_stop.above"] == "stop"
    [step] = [one for one in steps if one.finding == "rear_stop.above"]
    assert step.about == (("rear_distance", "run 1"),)


@pytest.mark.parametrize("pair", [(3.4, 60.0), (20.0, 30.0), (30.0, 66.0)])
def test_what_no_tyre_can_do_and_what_began_at_another_speed_is_questioned_not_judged(decide, pair):
    steps = decide(trial=(tried(pair, *GOOD[1:]), tried(*GOOD, brake="rear")))
    [step] = [one for one in steps if one.finding == "front_stop.questioned"]
    assert (step.state, step.safety) == ("not known", True)
    assert (step.values["distance"].value, step.values["speed"].value) == pair
    assert findings(steps)["front_stop.measure"] == "to do"
    assert "front_stop" not in findings(steps)


def test_a_limit_that_belongs_to_another_speed_is_doubted(decide):
    """20 m from 30 km/h, when the limit in the spec book is that of 60 km/h: the type test allows 3 + 900/115 m."""
    allowed = 3 + 900 / 115
    slow = tried((20.0, 30.0), (20.0, 30.0), (20.0, 30.0), speed=30.0, allowed=allowed)
    [step] = [one for one in decide(trial=(slow,)) if one.finding == "front_stop.limit_doubted"]
    assert step.state == "not known"
    assert step.values["left"].value == pytest.approx(20 - allowed)


def test_a_speed_that_was_not_measured_leaves_the_trial_open(decide):
    steps = decide(trial=(tried((28.0, None), *GOOD[1:]), tried(*GOOD, brake="rear")))
    assert findings(steps)["front_speed.measure"] == "to do"
    assert findings(steps)["front_stop.measure"] == "to do"


@pytest.mark.practice
def test_hardly_braking_ends_the_trials_whatever_the_limit(decide):
    """60 km/h in 80 m: 1.74 m/s2, 0.18 g."""
    steps = decide(trial=(tried((80.0, 60.0), upper=100.0, allowed=100.0),))
    [step] = [one for one in steps if one.finding == "front_stop.feeble"]
    assert step.state == "stop"
    assert step.values["slowest"].value == pytest.approx((60 / 3.6) ** 2 / 160)


def test_without_a_type_test_the_plain_square_corrects():
    [stop] = trials(rows("stop", "m", 16.2), rows("speed", "km/h", 41.2), 40.0, None)
    assert stop.answer.distance == pytest.approx(16.2 * (40 / 41.2) ** 2)


def test_margin():
    assert margin(37.3, 27.3) == pytest.approx(10)
    assert not longest(())


def test_its_sentences_can_be_read_aloud(decide, judged, capsys):
    """Printed to be read; compared with nothing."""
    cases = [
        {},
        {"reserve": judged(once="outside", value=90.0, upper=60.0)},
        {"drag": judged(front="outside", value=20.0, upper=15.0)},
        {"trial": (tried((3.4, 60.0), (80.0, 60.0), (28.0, None)),)},
        {"trial": (tried((39.0, 60.0)), tried(*GOOD, brake="rear", allowed=20.0))},
    ]
    for case in cases:
        for step in decide(**case):
            print(step.state, sentence(step))
    assert SimpleNamespace(said=capsys.readouterr().out).said
