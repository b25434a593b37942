"""Clutch: the demo's spring force and torque by hand, the decision in each case, an empty build."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from restonb.bench._values import NotYet
from restonb.decisions.drivetrain.clutch import Clutch, next_steps, reserve
from restonb.measure import Verdicts

SHEET = "clutch"


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", ""), ("good", "")]


def test_the_force_and_the_torque_are_those_of_the_hand_calculation(runs):
    """Springs 1.772, 1.768 in, 45.1 mm, 1-3/4 in; plates 3.412, 3.38, 0.1355 in, 3.291, 3.404 mm, new 3.55 mm.
    F = 18 N/mm x Σ(free - 30 - loss); T = 0.12 F x 10 faces x (140 + 110)/4 mm."""
    springs = [1.772 * 25.4, 1.768 * 25.4, 45.1, 1.75 * 25.4]
    loss = 5 * 3.55 - (3.412 + 3.38 + 0.1355 * 25.4 + 3.291 + 3.404)
    force = 18 * sum(s - 30 - loss for s in springs)
    found = numbers(runs[0])
    assert found["loss"] == pytest.approx(loss, abs=1e-4)
    assert found["force"] == pytest.approx(force, rel=1e-4)
    assert found["held"] == pytest.approx(0.12 * force * 10 * 0.0625, rel=1e-4)
    assert found["reserve"] == pytest.approx(0.12 * force * 10 * 0.0625 / (35 * 1.96), rel=1e-4)


def test_as_found_the_warped_plate_is_named_and_the_reserve_is_short(runs):
    said = " ".join(runs[0].filed["decision"])
    assert "Outside: plate 3. Replace what is warped" in said
    assert "the most worn is plate 4" in said
    assert "It may slip when hot" in said


def test_rebuilt_all_is_inside_and_nothing_is_open(runs):
    assert {v["verdict"] for v in runs[1].filed["verdicts"]} == {"inside"}
    assert runs[1].filed["open"] == []
    assert runs[1].filed["decision"][-1].startswith("The free play is inside")


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty(f"drivetrain/{SHEET}")
    assert (run.state, run.reason) == ("good", "")
    assert run.filed["numbers"] == {}
    assert run.filed["decision"] == [
        "Measure every friction plate, plain plate and spring first. Nothing is ordered before that."
    ]


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
        force=SimpleNamespace(force=1000.0),
        reserve=1.3,
        lift=judged("lift", once="inside"),
        split=SimpleNamespace(high_at=172.5),
        play=judged("play", once="inside"),
    )


def test_all_is_well(parts):
    said = next_steps(parts)
    assert said[3:5] == [
        "By its springs and plates it holds 1.30 times the torque that arrives.",
        "The pressure plate lifts straight.",
    ]


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        (
            {"friction": {"plate_1": "outside", "plate_2": "inside", "plate_3": "inside"}},
            "Replace the set, or at least these",
        ),
        ({"friction": {"plate_1": "outside", "plate_2": "outside"}}, "plate 1 and plate 2. Replace the set."),
        ({"friction": {"plate_1": "not measured"}}, "Measure the friction plates."),
        ({"plain": {"plate_1": "too close to call"}}, "Too close to call: plate 1"),
        ({"springs": {"spring_1": "outside"}}, "Replace all springs together"),
        ({"lift": {"once": "not measured"}}, "lift it with the lever"),
        ({"lift": {"once": "too close to call"}}, "pressure plate is too close to call"),
        ({"lift": {"once": "outside"}}, "at the side that lifts most (highest reading, near 5:45)"),
        ({"play": {"once": "not measured"}}, "set the free play"),
        ({"play": {"once": "outside"}}, "free play is outside"),
        ({"play": {"once": "too close to call"}}, "free play is too close to call"),
    ],
)
def test_the_decision_in_each_case(parts, judged, changes, says):
    spoilt = {name: judged(name, **words) for name, words in changes.items()}
    assert says in " ".join(next_steps(parts._replace(**spoilt)))


@pytest.mark.parametrize(
    ("times", "says"), [(0.9, "it slips"), (1.1, "It may slip when hot"), (1.2, "holds 1.20 times")]
)
@pytest.mark.practice
def test_the_reserve_is_told(parts, times, says):
    assert says in " ".join(next_steps(parts._replace(reserve=times)))


def test_nothing_is_said_of_a_reserve_that_is_not_known(parts):
    assert "times the torque" not in " ".join(next_steps(parts._replace(reserve=NotYet(("ratio",)))))


def test_the_most_worn_is_named(parts):
    worn = Verdicts(tuple(replace(v, worn_in=w) for v, w in zip(parts.friction, (10.0, 86.4, 0.0), strict=True)))
    said = next_steps(parts._replace(friction=worn))
    assert said[0] == (
        "Every friction plate is inside its limits; the most worn is plate 2, 86 % of the way to its wear limit."
    )
