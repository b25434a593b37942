"""The drum: what is left by hand, the decision in each case, and a build of which nothing is known."""

from types import SimpleNamespace

import pytest

from restonb.bench._values import NotYet
from restonb.decisions.brakes.drum import next_steps, oversize_allowed
from restonb.measure import Characteristic, Verdict, Verdicts
from restonb.quantity import read

SHEET = "drum"
WORN = SimpleNamespace(left=0.4)


def test_what_is_left_of_a_seven_inch_drum(play):
    """7 in is 177.8 mm; the widest axis reads 178.06 mm, 178.80 mm is allowed; axis C is 7.009 in = 178.029 mm."""
    (run,) = play(SHEET)[1]
    assert (run.state, run.reason) == ("good", "")
    found = {name: n["value"] for name, n in run.filed["numbers"].items()}
    assert found == {"largest": pytest.approx(178.06), "left": pytest.approx(0.74)}
    spread = next(v for v in run.filed["verdicts"] if v["characteristic"] == "out_of_round")
    assert spread["value"] == pytest.approx(178.06 - 178.02)
    assert {v["verdict"] for v in run.filed["verdicts"]} == {"inside"}


def test_on_an_empty_build_it_says_what_to_measure(empty):
    run = empty(f"brakes/{SHEET}")
    assert (run.state, run.filed["numbers"], run.filed["verdicts"]) == ("good", {}, [])
    assert run.filed["decision"][0] == "Measure the drum across every axis."
    assert any("asbestos" in line for line in run.filed["cautions"])


def test_the_figure_cast_into_the_drum_goes_before_the_spec_book():
    assert oversize_allowed(None, read("7 in"), read("178.8 mm")) == pytest.approx(1.0)
    assert oversize_allowed("178.3 mm", read("7 in"), read("178.8 mm")) == pytest.approx(0.5)
    assert not oversize_allowed("178.3 mm", NotYet(("nominal",)), read("178.8 mm"))
    assert not oversize_allowed(None, read("7 in"), NotYet(("limit",)))


@pytest.fixture
def decide(judged):
    good = {
        "diameter": judged(A="inside", B="inside"),
        "ovality": judged(once="inside"),
        "worn": WORN,
        "lining": judged(toe="inside", heel="inside"),
        "cam": cam("inside", 85),
        "marked": "178.8 mm",
    }
    return lambda **other: " ".join(next_steps(**{**good, **other}))


def cam(word, value):
    row = Characteristic("s", "cam", "angle", "once", "deg", lower=80, upper=90)
    return Verdicts((Verdict(row, "once", word, value),))


def test_a_good_one(decide):
    assert decide() == (
        "The drum is within its limit, 0.40 mm on the diameter are left. It is round enough. "
        "The linings have enough left. The cam lever stops short of a right angle, where it pulls best."
    )
    assert "Look for a figure cast into the drum" in decide(marked=None)


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("too close to call", "treat it as worn out"),
        ("not measured", "across every axis (B still to do)"),
    ],
)
def test_a_drum_that_is_not_proved(decide, judged, word, said):
    assert said in decide(diameter=judged(A="inside", B=word))


def test_a_drum_without_a_limit(decide, judged):
    assert "Without a largest diameter" in decide(diameter=judged(A="no limit"))


def test_a_drum_that_is_worn_out_ends_the_matter(decide, judged):
    said = decide(diameter=judged(A="outside", B="not measured"))
    assert said.startswith("The drum is worn out")
    assert "lining" not in said
    assert "worn out" in decide(worn=SimpleNamespace(left=-0.1))


def test_out_of_round(decide, judged):
    assert "have it skimmed on its bearings, laced into the wheel while 0.40 mm" in decide(ovality=judged(a="outside"))
    assert "skimmed on its bearings, laced into the wheel, and" in decide(
        ovality=judged(a="outside"), worn=NotYet(("x",))
    )
    assert "too close to call" in decide(ovality=judged(a="too close to call"))


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("outside", "Reline both shoes (toe): always as a pair"),
        ("too close to call", "Reline both shoes (toe)"),
        ("not measured", "(toe still to do)"),
        ("no limit", "above the rivets"),
    ],
)
def test_linings(decide, judged, word, said):
    words = {"toe": word, "heel": word} if word == "no limit" else {"toe": word, "heel": "inside"}
    assert said in decide(lining=judged(**words))


@pytest.mark.parametrize(
    ("word", "value", "said"),
    [
        ("outside", 95, "a cam may turn over"),
        ("outside", 70, "angle at the cam lever is too small"),
        ("too close to call", 90, "a spline back"),
        ("not measured", None, "Measure the angle"),
    ],
)
def test_cam(decide, word, value, said):
    assert said in decide(cam=cam(word, value))
