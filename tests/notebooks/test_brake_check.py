"""Brakes before the road: the trial against the published distances, the order of the steps, and an empty build."""

import pytest

from restonb.decisions.brakes.brake_check import margin, next_steps

SHEET = "brake_check"


@pytest.fixture(scope="module")
def run(play):
    (run,) = play(SHEET)[1]
    return run


@pytest.mark.published("Directive 93/14/EEC, app. 1: S = 0.1 V + V2/115 front only, 0.1 V + V2/75 rear only")
def test_what_is_left_to_the_distance_of_the_type_test(run):
    """At 60 km/h; front 27.9, 27.1 m and 88 ft (26.8224 m), rear 44.0, 43.2, 45.1 m."""
    assert (run.state, run.reason) == ("good", "")
    found = {name: n["value"] for name, n in run.filed["numbers"].items()}
    assert found["front_margin"] == pytest.approx(6 + 3600 / 115 - (27.9 + 27.1 + 26.8224) / 3)
    assert found["rear_margin"] == pytest.approx(6 + 3600 / 75 - 44.1)
    assert {v["verdict"] for v in run.filed["verdicts"]} == {"inside"}
    assert run.filed["open"] == []


def test_on_an_empty_build_it_sends_nobody_out(empty):
    run = empty(f"brakes/{SHEET}")
    assert (run.state, run.filed["numbers"], run.filed["verdicts"]) == ("good", {}, [])
    assert run.filed["decision"][-1].startswith("Do not ride it yet")
    assert any("never try brakes in traffic" in line for line in run.filed["cautions"])


def test_margin():
    assert margin(37.3, 27.3) == pytest.approx(10)


@pytest.fixture
def decide(judged):
    good = {
        "faults": judged(hoses="inside", rear_stop_lamp="inside"),
        "reserve": judged(once="inside"),
        "drag": judged(front="inside", rear="inside"),
        "stops": judged(mean_of_3="inside"),
    }
    return lambda **other: next_steps(**{**good, **other})


def test_all_good_is_no_certificate(decide):
    said = decide()
    assert said[:3] == [
        "The walk round found nothing.",
        "The lever keeps its distance from the handlebar.",
        "Both wheels turn freely with the brakes let go.",
    ]
    assert "a competent eye decide about the road" in said[3]


@pytest.mark.parametrize(
    ("what", "words", "said"),
    [
        ("faults", {"rear_stop_lamp": "outside", "hoses": "not measured"}, "found: rear stop lamp."),
        ("faults", {"hoses": "inside", "rear_stop_lamp": "not measured"}, "(rear stop lamp still to do)"),
        ("reserve", {"once": "outside"}, "bleed again"),
        ("reserve", {"once": "too close to call"}, "bleed it again"),
        ("reserve", {"once": "not measured"}, "under a firm pull"),
        ("drag", {"front": "outside", "rear": "inside"}, "drags at front"),
        ("drag", {"front": "too close to call", "rear": "inside"}, "warm it"),
        ("drag", {"front": "not measured", "rear": "inside"}, "(front still to do)"),
    ],
)
def test_nobody_rides_before_the_stand_is_good(decide, judged, what, words, said):
    lines = decide(**{what: judged(**words)})
    assert said in " ".join(lines)
    assert lines[-1].startswith("Do not ride it yet")
    assert not any("It stops" in line for line in lines)


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("outside", "It stops too late"),
        ("too close to call", "repeat the trial"),
        ("not measured", "walking pace, in a closed yard"),
    ],
)
def test_the_trial(decide, judged, word, said):
    assert said in " ".join(decide(stops=judged(mean_of_3=word)))
