"""The disc: run-out split by hand, what is left to the minimum, the decision in each case, and an empty build."""

import math
from types import SimpleNamespace

import pytest

from restonb.bench._values import NotYet
from restonb.decisions.brakes.disc import clock_degrees, kept_mark, next_steps, pad_wear
from restonb.measure import Verdicts
from restonb.quantity import read

SHEET = "disc"
ASKEW = SimpleNamespace(eccentricity=0.094, form=0.01, high_at=172.6)
BENT = SimpleNamespace(eccentricity=0.01, form=0.18, high_at=0.0)


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", "")] * 4


def test_the_once_per_turn_part_by_hand(runs):
    """Dial 0, .04, .11, .17, .19, .15, .09, .02 mm: a = (0.7071 (.04 - .17 - .15 + .02) - .19)/4,
    b = (0.7071 (.04 + .17 - .15 - .02) + .11 - .09)/4; the spread is 0.19 mm."""
    a = (math.sqrt(0.5) * -0.26 - 0.19) / 4
    b = (math.sqrt(0.5) * 0.04 + 0.02) / 4
    assert numbers(runs[0])["once_per_turn"] == pytest.approx(math.hypot(a, b))
    said = " ".join(runs[0].filed["decision"])
    assert "mostly once per turn (0.19 mm of it, high at 5:45): it sits askew" in said


def test_what_is_left_to_the_mark_on_the_disc(runs):
    """Thinnest 5.701 mm, marked 5.20 mm; thickest 5.709 mm."""
    found = numbers(runs[-1])
    assert found["left"] == pytest.approx(0.501)
    assert found["variation"] == pytest.approx(0.008)


def test_the_pads_wear_at_the_rate_between_the_readings(runs):
    """From 31 462 to 31 988 miles the thinner pad went from 5.02 to 4.71 mm: 0.59 mm in 1000 miles, so 3.21 mm to the
    limit of 1.5 mm take about 5400 miles; what is promised is less than that and more than nothing."""
    assert "pads_last_until" not in numbers(runs[0])
    assert 31988 < numbers(runs[-1])["pads_last_until"] < 31988 + 5400


def test_after_the_hub_was_cleaned_it_runs_true_and_in_the_end_nothing_is_open(runs):
    assert "It runs true enough on its wheel." in runs[1].filed["decision"]
    assert {v["verdict"] for v in runs[2].filed["verdicts"]} <= {"inside", "no limit"}
    assert runs[2].filed["open"] == []


def test_what_the_rework_did_is_drawn_once_something_is_measured_again(play, runs):
    build, _ = play(SHEET)
    pages = [(build.folder / run.folder / "disc.html").read_text() for run in runs]
    assert "Nothing was measured again yet." in pages[0]
    assert "Nothing was measured again yet." not in pages[1]


def test_on_an_empty_build_it_says_what_to_measure_and_works_nothing_out(empty):
    run = empty(f"brakes/{SHEET}")
    assert (run.state, run.filed["numbers"], run.filed["verdicts"]) == ("good", {}, [])
    assert "Measure the thickness at every point." in run.filed["decision"]
    assert any("asbestos" in line for line in run.filed["cautions"])


# -- what is decided, in each case


@pytest.fixture
def decide(judged):
    good = {
        "thickness": judged(a="inside"), "spread": judged(a="inside"), "runout": judged(a="inside"), "split": ASKEW,
        "pads": judged(left="inside", right="inside"), "torque": judged(bolt_1="inside"),
        "marked": "5.2 mm", "wear_limit": read("5.2 mm"),
    }  # fmt: skip
    return lambda **other: " ".join(next_steps(**{**good, **other}))


def test_good_on_all_counts(decide):
    assert decide() == (
        "The disc is thick enough everywhere. It is evenly thick: the lever will not pulse from this. "
        "It runs true enough on its wheel. The pads have lining left. The bolts of disc and calliper are at their torque."
    )


def test_a_disc_too_thin_ends_the_matter(decide, judged):
    said = decide(thickness=judged(**{"12:00": "inside", "3:00": "outside"}))
    assert said.startswith("The disc is finished at 3:00: fit another one.")
    assert "pads" not in said


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("too close to call", "treat it as finished"),
        ("no limit", "find the mark"),
        ("not measured", "Measure the thickness"),
    ],
)
def test_a_thickness_that_is_not_proved(decide, judged, word, said):
    assert said in decide(thickness=judged(a=word))


@pytest.mark.parametrize(
    ("word", "said"), [("outside", "the lever will pulse"), ("too close to call", "variation of its")]
)
def test_an_uneven_disc(decide, judged, word, said):
    assert said in decide(spread=judged(a=word))


def test_askew_is_told_from_bent(decide, judged):
    assert "turn it on its bolts by one hole" in decide(runout=judged(a="outside"))
    assert "it is bent or warped. Fit another one" in decide(runout=judged(a="outside"), split=BENT)
    assert decide(runout=judged(a="too close to call"), split=NotYet(("x",))).count("too close to call") == 1
    assert "Measure the run-out" in decide(runout=judged(a="not measured"))


@pytest.mark.parametrize(
    ("word", "said"),
    [("outside", "new pads on both sides (left worn out)"), ("too close to call", "new ones on both sides"),
     ("not measured", "thinnest place (left still to do)")],
)  # fmt: skip
def test_pads(decide, judged, word, said):
    assert said in decide(pads=judged(left=word, right="inside"))


def test_bolts(decide, judged):
    assert "until then the joint is open" in decide(torque=judged(bolt_1="not measured"))
    said = decide(torque=judged(bolt_1="too close to call", bolt_2="outside"))
    assert said.endswith("Not at its torque: bolt 2 and bolt 1.")


def test_the_mark_on_the_disc_goes_before_the_spec_book(decide):
    assert "the mark on the part goes first" in decide(marked="5.5 mm")
    assert "as the wear limit" in decide(wear_limit=NotYet(("x",)))
    assert "look for it" in decide(marked=None)
    assert kept_mark("5.5 mm", read("5.2 mm")) == "5.5 mm"
    assert kept_mark(None, read("5.2 mm")) == read("5.2 mm")


def test_positions_that_are_no_clock_times_have_no_angle():
    assert clock_degrees(["12:00", "1:30", "9:00"]) == [0, 45, 270]
    assert not clock_degrees(["left"])
    assert not clock_degrees([])


def test_two_mileages_are_no_trend():
    assert not pad_wear([(100, 5.0), (100, 5.1), (600, 4.9)], read("1.5 mm"), 0.02)


def test_no_verdicts_at_all():
    nothing = Verdicts()
    assert "Measure the thickness" in " ".join(next_steps(nothing, nothing, nothing, NotYet(("x",)), nothing, nothing))
