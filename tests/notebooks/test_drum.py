"""The drum: what is left by hand, the decision in each case, and a build of which nothing is known."""

from types import SimpleNamespace

import pytest

from restonb.decisions.brakes.drum import next_steps, oversize_allowed
from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import sentence
from restonb.measure import Verdicts
from restonb.quantity import read

SHEET = "drum"
WORN = SimpleNamespace(left=0.4)


def findings(steps):
    return {step.finding: step.state for step in steps}


def test_what_is_left_of_a_seven_inch_drum(play):
    """7 in is 177.8 mm; the widest axis reads 178.06 mm, 178.80 mm is allowed; axis C is 7.009 in = 178.0286 mm."""
    (run,) = play(SHEET)[1]
    assert (run.state, run.reason) == ("good", "")
    found = {name: n["value"] for name, n in run.filed["numbers"].items()}
    assert found == {"largest": pytest.approx(178.06), "left": pytest.approx(0.74)}
    rows = {(v["characteristic"], v["position"]): v for v in run.filed["verdicts"]}
    assert rows["out_of_round", "once"]["value"] == pytest.approx(178.06 - 178.02)
    assert rows["below_maximum", "axis C"]["value"] == pytest.approx(178.80 - 7.009 * 25.4)
    assert {v["verdict"] for v in rows.values()} == {"inside"}


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty(f"brakes/{SHEET}")
    assert (run.state, run.filed["numbers"]) == ("good", {})
    found = {step["finding"]: step["state"] for step in run.filed["steps"]}
    assert (found["diameter.measure"], found["mark.missing"]) == ("to do", "not known")
    assert "settled" not in found.values()
    cautions = " ".join(run.filed["cautions"])
    for word in ("asbestos", "chlorine", "hot drum", "local codes"):
        assert word in cautions


def test_oversize_that_the_largest_diameter_allows():
    assert oversize_allowed(read("178.8 mm"), read("7 in")) == pytest.approx(1.0)
    assert not oversize_allowed(read("178.8 mm"), NotYet(("nominal",)))
    assert not oversize_allowed(NotYet(("limit",)), read("7 in"))


@pytest.fixture
def decide(judged):
    good = {
        "diameter": judged(A="inside", B="inside"),
        "maximum": judged(A="inside", B="inside"),
        "ovality": judged(once="inside"),
        "worn": WORN,
        "lining": judged(toe="inside", heel="inside"),
        "cam": judged(once="inside"),
        "marked": "178.8 mm",
        "wear_limit": read("178.8 mm"),
        "governs": read("178.8 mm"),
    }
    return lambda **other: next_steps(**{**good, **other})


def test_a_good_one(decide):
    steps = decide()
    assert findings(steps) == dict.fromkeys(("diameter", "ovality", "lining", "cam"), "settled")
    assert steps[0].values["left"].value == 0.4


@pytest.mark.parametrize(
    ("word", "finding", "state"),
    [
        ("too close to call", "diameter.close", "not known"),
        ("not measured", "diameter.measure", "to do"),
        ("no limit", "diameter.limit", "not known"),
    ],
)
def test_a_drum_that_is_not_proved(decide, judged, word, finding, state):
    found = findings(decide(diameter=judged(A="inside", B=word)))
    assert found[finding] == state
    assert "diameter" not in found


def test_a_drum_that_is_worn_out_ends_the_matter(decide, judged):
    worn = judged(A="outside", value=179.0, upper=178.8)
    assert findings(decide(diameter=worn)) == {"diameter.above": "stop"}
    assert findings(decide(maximum=judged(A="outside", value=-0.1, lower=0.0))) == {"maximum.below": "stop"}


def test_a_drum_smaller_than_a_new_one_is_not_worn(decide, judged):
    small = judged(A="outside", value=177.0, lower=177.75)
    assert findings(decide(diameter=small)) == {"diameter.below": "stop"}


def test_no_figure_written_down_is_an_open_point(decide):
    assert findings(decide(marked=None, governs=NotYet(("x",))))["mark.missing"] == "not known"


def test_out_of_round(decide, judged):
    oval = judged(a="outside", value=0.3, upper=0.15)
    [step] = [s for s in decide(ovality=oval) if s.finding == "ovality.above"]
    assert (step.state, step.values["left"].value) == ("to do", 0.4)
    [step] = [s for s in decide(ovality=oval, worn=NotYet(("x",))) if s.finding == "ovality.above"]
    assert "left" not in step.values
    assert findings(decide(ovality=judged(a="too close to call")))["ovality.close"] == "not known"


@pytest.mark.parametrize(
    ("words", "finding"),
    [
        ({"toe": "outside", "value": 1.0, "lower": 2.0}, "lining.below"),
        ({"toe": "outside", "value": 7.0, "upper": 5.0}, "lining.above"),
        ({"toe": "too close to call"}, "lining.close"),
        ({"toe": "not measured"}, "lining.measure"),
        ({"toe": "no limit"}, "lining.limit"),
    ],
)
def test_linings(decide, judged, words, finding):
    assert finding in findings(decide(lining=judged(heel="inside") + judged(**words)))


@pytest.mark.parametrize(
    ("words", "finding", "state"),
    [
        ({"once": "outside", "value": 95.0, "upper": 90.0}, "cam.above", "stop"),
        ({"once": "outside", "value": 70.0, "lower": 80.0}, "cam.below", "stop"),
        ({"once": "too close to call"}, "cam.close", "not known"),
        ({"once": "not measured"}, "cam.measure", "to do"),
    ],
)
def test_cam(decide, judged, words, finding, state):
    assert findings(decide(cam=judged(**words)))[finding] == state


def test_no_verdicts_at_all():
    nothing = Verdicts()
    assert "settled" not in {s.state for s in next_steps(nothing, nothing, nothing, NotYet(("x",)), nothing, nothing)}


def test_its_sentences_can_be_read_aloud(decide, judged, capsys):
    """Printed to be read; compared with nothing."""
    for case in (
        {}, {"ovality": judged(a="outside", value=0.3, upper=0.15)}, {"lining": judged(toe="outside", value=7.0, upper=5.0)},
        {"cam": judged(once="outside", value=95.0, upper=90.0)}, {"diameter": judged(A="outside", value=177.0, lower=177.75)},
        {"marked": "178.3 mm", "governs": read("178.3 mm")},
    ):  # fmt: skip
        for step in decide(**case):
            print(step.state, sentence(step))
    assert capsys.readouterr().out
