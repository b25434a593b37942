"""Clutch: the demo's spring force and torque by hand, the decision in each case, an empty build."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from restonb.decisions import NotYet, sentence, worst_state
from restonb.decisions.drivetrain.clutch import Clutch, next_steps, reserve
from restonb.measure import Verdicts

SHEET = "clutch"


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def found(run):
    return {step["finding"]: step for step in run.filed["steps"]}


def by_finding(steps):
    return {step.finding: step for step in steps}


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", ""), ("good", "")]


def test_the_force_and_the_torque_are_those_of_the_hand_calculation(runs):
    """Springs 1.772, 1.768 in, 45.1 mm, 1-3/4 in; plates 3.412, 3.38, 0.1355 in, 3.291, 3.404 mm, new 3.55 mm.
    F = 18 N/mm x Σ(free - 30 - loss); T = 0.12 F x 10 faces x (140 + 110)/4 mm."""
    springs = [1.772 * 25.4, 1.768 * 25.4, 45.1, 1.75 * 25.4]
    loss = 5 * 3.55 - (3.412 + 3.38 + 0.1355 * 25.4 + 3.291 + 3.404)
    force = 18 * sum(s - 30 - loss for s in springs)
    filed = numbers(runs[0])
    assert filed["loss"] == pytest.approx(loss, abs=1e-4)
    assert filed["force"] == pytest.approx(force, rel=1e-4)
    assert filed["held"] == pytest.approx(0.12 * force * 10 * 0.0625, rel=1e-4)
    assert filed["reserve"] == pytest.approx(0.12 * force * 10 * 0.0625 / (35 * 1.96), rel=1e-4)


def test_as_found_the_warped_plate_is_named_and_the_reserve_is_short(runs):
    steps = found(runs[0])
    assert [at for _, at in steps["plain.outside"]["about"]] == ["plate 3"]
    assert steps["friction"]["values"]["most_worn"] == "plate 4"
    assert steps["reserve.small"]["state"] == "to do"


def test_rebuilt_all_is_inside_and_nothing_is_open(runs):
    assert {v["verdict"] for v in runs[1].filed["verdicts"]} == {"inside"}
    assert runs[1].filed["open"] == []
    assert {step["state"] for step in runs[1].filed["steps"]} == {"settled"}


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty(f"drivetrain/{SHEET}")
    assert (run.state, run.reason) == ("good", "")
    assert run.filed["numbers"] == {}
    assert {f: s["state"] for f, s in found(run).items()} == {"parts.measure": "to do"}


def test_the_reserve_needs_engine_and_ratio():
    assert reserve(80.0, "40 N m", 2.0) == pytest.approx(1.0)
    assert reserve(80.0, "29.5 ft-lb", 2.0) == pytest.approx(80 / (2 * 29.5 * 1.3558), rel=1e-4)
    assert isinstance(reserve(80.0, None, 2.0), NotYet)


@pytest.fixture
def parts(judged):
    """A clutch on which all is well; each test spoils one thing."""
    return Clutch(
        friction=judged("friction", plate_1="inside", plate_2="inside", plate_3="inside"),
        plain=judged("plain", plate_1="inside"),
        springs=judged("springs", spring_1="inside"),
        force=SimpleNamespace(weakest=290.0, strongest=300.0),
        reserve=1.3,
        lift=judged("lift", once="inside"),
        split=SimpleNamespace(high_at=172.5),
        play=judged("play", once="inside"),
    )


def test_all_is_well(parts):
    steps = next_steps(parts)
    assert [step.finding for step in steps] == ["friction", "plain", "springs", "reserve", "lift", "play"]
    assert worst_state(steps) == "settled"


@pytest.mark.parametrize(
    ("changes", "finding", "state"),
    [
        ({"friction": {"plate_1": "not measured"}}, "friction.measure", "to do"),
        ({"friction": {"plate_1": "no limit"}}, "friction.limit", "not known"),
        ({"plain": {"plate_1": "too close to call"}}, "plain.close", "not known"),
        ({"plain": {"plate_1": "outside"}}, "plain.outside", "to do"),
        ({"springs": {"spring_1": "no limit"}}, "springs.limit", "not known"),
        ({"lift": {"once": "not measured"}}, "lift.measure", "to do"),
        ({"lift": {"once": "too close to call"}}, "lift.close", "not known"),
        ({"lift": {"once": "outside"}}, "lift.outside", "to do"),
        ({"lift": {"once": "no limit"}}, "lift.limit", "not known"),
        ({"play": {"once": "not measured"}}, "play.measure", "to do"),
        ({"play": {"once": "too close to call"}}, "play.close", "not known"),
        ({"play": {"once": "no limit"}}, "play.limit", "not known"),
    ],
)
def test_the_decision_in_each_case(parts, judged, changes, finding, state):
    spoilt = {name: judged(name, **words) for name, words in changes.items()}
    assert by_finding(next_steps(parts._replace(**spoilt)))[finding].state == state


@pytest.mark.parametrize(
    ("name", "low", "high", "value", "finding"),
    [
        ("friction", 3.25, 3.60, 3.10, "friction.below"),
        ("friction", 3.25, 3.60, 3.75, "friction.above"),
        ("springs", 44.5, 46.5, 43.0, "springs.below"),
        ("springs", 44.5, 46.5, 48.0, "springs.above"),
        ("play", 2.0, 4.0, 0.5, "play.below"),
        ("play", 2.0, 4.0, 9.0, "play.above"),
    ],
)
def test_too_much_and_too_little_are_told_apart(parts, judged, name, low, high, value, finding):
    """A plate that is too thick is not worn, and a lever without play is not one with too much."""
    rows = judged(name, lower=low, upper=high, value=value, plate_1="outside")
    steps = by_finding(next_steps(parts._replace(**{name: rows})))
    assert [f for f in steps if f.startswith(f"{name}.")] == [finding]
    assert steps[finding].state == "to do"


def test_the_side_that_lifts_most_is_named_as_on_a_clock(parts, judged):
    """172.5 deg clockwise from 12:00 are 5 hours and 45 minutes."""
    step = by_finding(next_steps(parts._replace(lift=judged("lift", once="outside"))))["lift.outside"]
    assert step.values["clock"] == "5:45"


def test_a_lift_whose_shape_is_refused_stays_open(parts):
    """Four readings round the clock: the run-out is inside, and what it is made of is not known."""
    steps = by_finding(next_steps(parts._replace(split=NotYet(("give at least 5 readings",)))))
    assert steps["lift.unproved"].state == "not known"


@pytest.mark.parametrize(
    ("times", "finding", "state"),
    [
        (0.9, "reserve.slips", "to do"),
        (1.1, "reserve.small", "to do"),
        (1.2, "reserve", "settled"),
        (NotYet(("ratio",)), "reserve.unknown", "not known"),
    ],
)
@pytest.mark.practice
def test_the_reserve_is_told(parts, times, finding, state):
    assert by_finding(next_steps(parts._replace(reserve=times)))[finding].state == state


@pytest.mark.practice
@pytest.mark.parametrize(("weakest", "finding"), [(269.0, "springs.uneven"), (270.0, "springs")])
def test_springs_inside_their_limits_may_still_press_unevenly(parts, weakest, finding):
    force = SimpleNamespace(weakest=weakest, strongest=300.0)
    assert finding in by_finding(next_steps(parts._replace(force=force)))


def test_the_most_worn_is_named(parts):
    worn = Verdicts(tuple(replace(v, worn_in=w) for v, w in zip(parts.friction, (10.0, 86.4, 0.0), strict=True)))
    values = by_finding(next_steps(parts._replace(friction=worn)))["friction"].values
    assert (values["most_worn"], values["worn"].value) == ("plate 2", 86)


@pytest.mark.parametrize("name", ["friction", "plain", "springs", "lift", "play"])
def test_a_gauge_that_failed_its_check_settles_nothing(parts, name):
    rows = Verdicts(tuple(replace(row, doubt="the gauge failed its check") for row in getattr(parts, name)))
    steps = by_finding(next_steps(parts._replace(**{name: rows})))
    assert steps[f"{name}.doubt"].state == "not known"
    assert name not in steps


def test_the_sentences_are_there_to_be_read(parts, judged):
    """Nothing is compared: run with -s to read them aloud."""
    thick = judged("friction", lower=3.25, upper=3.6, value=3.7, plate_1="outside")
    thin = judged("friction", lower=3.25, upper=3.6, value=3.1, plate_1="outside")
    little = judged("play", lower=2, upper=4, value=1, once="outside")
    askew = parts._replace(lift=judged("lift", once="outside"), play=little)
    for case in (parts, parts._replace(friction=thick), parts._replace(friction=thin), askew):
        for step in next_steps(case):
            assert "{" not in sentence(step)
            print(f"{step.state}: {sentence(step)}")
