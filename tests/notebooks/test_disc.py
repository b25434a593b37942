"""The disc: run-out split by hand, what is left to the minimum that governs, the decision in each case, and an empty build."""

import math
from types import SimpleNamespace

import pytest

from restonb.decisions.brakes.disc import next_steps, pad_wear
from restonb.decisions.brakes.marks import NO_MARK, amount_of, mark_steps, room, stricter
from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import sentence
from restonb.measure import Characteristic, Verdict, Verdicts
from restonb.quantity import read

SHEET = "disc"
ASKEW = SimpleNamespace(eccentricity=0.094, form=0.01, high_at=172.6)
BENT = SimpleNamespace(eccentricity=0.01, form=0.18, high_at=0.0)


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def filed(run):
    return {step["finding"]: step for step in run.filed["steps"]}


def findings(steps):
    return {step.finding: step.state for step in steps}


def test_it_runs_each_time(runs):
    assert [(r.state, r.reason) for r in runs] == [("good", "")] * 4


def test_the_once_per_turn_part_by_hand(runs):
    """Dial 0, .04, .11, .17, .19, .15, .09, .02 mm: a = (0.7071 (.04 - .17 - .15 + .02) - .19)/4,
    b = (0.7071 (.04 + .17 - .15 - .02) + .11 - .09)/4; the spread is 0.19 mm."""
    a = (math.sqrt(0.5) * -0.26 - 0.19) / 4
    b = (math.sqrt(0.5) * 0.04 + 0.02) / 4
    assert numbers(runs[0])["once_per_turn"] == pytest.approx(math.hypot(a, b))
    step = filed(runs[0])["runout.askew"]
    assert step["state"] == "stop"
    assert step["values"]["once"]["value"] == pytest.approx(2 * math.hypot(a, b))
    assert step["values"]["high"] == "5:45"


def test_what_is_left_to_the_mark_on_the_disc(runs):
    """Thinnest 5.701 mm, marked 5.20 mm; thickest 5.709 mm."""
    found = numbers(runs[-1])
    assert found["left"] == pytest.approx(0.501)
    assert found["variation"] == pytest.approx(0.008)
    rows = {v["position"]: v for v in runs[-1].filed["verdicts"] if v["characteristic"] == "above_minimum"}
    assert min(v["value"] for v in rows.values()) == pytest.approx(0.501)
    assert {v["verdict"] for v in rows.values()} == {"inside"}


def test_the_pads_wear_at_the_rate_between_the_readings(runs):
    """From 31 462 to 31 988 miles the thinner pad went from 5.02 to 4.71 mm: 0.59 mm in 1000 miles, so 3.21 mm to the
    limit of 1.5 mm take about 5400 miles; what is promised is less than that and more than nothing."""
    assert "pads_last_until" not in numbers(runs[0])
    assert 31988 < numbers(runs[-1])["pads_last_until"] < 31988 + 5400


def test_after_the_hub_was_cleaned_it_runs_true_and_in_the_end_nothing_is_open(runs):
    assert filed(runs[1])["runout"]["state"] == "settled"
    assert {v["verdict"] for v in runs[2].filed["verdicts"]} <= {"inside", "no limit"}
    assert runs[2].filed["open"] == []
    assert {step["state"] for step in runs[2].filed["steps"]} == {"settled"}


def test_what_the_rework_did_is_drawn_once_something_is_measured_again(play, runs):
    build, _ = play(SHEET)
    pages = [(build.folder / run.folder / "disc.html").read_text() for run in runs]
    assert "Nothing was measured again yet." in pages[0]
    assert "Nothing was measured again yet." not in pages[1]


def test_on_an_empty_build_it_says_what_to_measure_and_works_nothing_out(empty):
    run = empty(f"brakes/{SHEET}")
    assert (run.state, run.filed["numbers"]) == ("good", {})
    found = filed(run)
    assert found["thickness.measure"]["state"] == "to do"
    assert found["mark.missing"]["state"] == "not known"
    assert not any(step["state"] == "settled" for step in run.filed["steps"])
    cautions = " ".join(run.filed["cautions"])
    for word in ("asbestos", "chlorine", "hot disc", "local codes"):
        assert word in cautions


# -- what is decided, in each case


@pytest.fixture
def decide(judged):
    good = {
        "thickness": judged(a="inside"), "minimum": judged(a="inside"), "spread": judged(a="inside"),
        "runout": judged(a="inside"), "split": ASKEW, "pads": judged(left="inside", right="inside"),
        "torque": judged(bolt_1="inside"), "marked": "5.2 mm", "wear_limit": read("5.2 mm"), "governs": read("5.2 mm"),
    }  # fmt: skip
    return lambda **other: next_steps(**{**good, **other})


def test_good_on_all_counts(decide):
    assert findings(decide()) == dict.fromkeys(("thickness", "spread", "runout", "pads", "torque"), "settled")


def test_a_disc_too_thin_ends_the_matter(decide, judged):
    steps = decide(thickness=judged(**{"12:00": "inside"}) + judged(value=5.0, lower=5.2, **{"3:00": "outside"}))
    assert findings(steps) == {"thickness.below": "stop"}
    assert steps[0].about == (("gap", "3:00"),)


def test_a_disc_thicker_than_new_is_not_worn(decide, judged):
    assert findings(decide(thickness=judged(a="outside", value=7.0, upper=6.1))) == {"thickness.above": "stop"}


def test_below_the_mark_it_is_finished_though_the_spec_book_would_let_it_pass(decide, judged):
    assert findings(decide(minimum=judged(a="outside", value=-0.1, lower=0.0))) == {"minimum.below": "stop"}


@pytest.mark.parametrize(
    ("word", "finding", "state"),
    [
        ("too close to call", "thickness.close", "not known"),
        ("no limit", "thickness.limit", "not known"),
        ("not measured", "thickness.measure", "to do"),
    ],
)
def test_a_thickness_that_is_not_proved(decide, judged, word, finding, state):
    found = findings(decide(thickness=judged(a=word)))
    assert found[finding] == state
    assert "thickness" not in found


def test_an_uneven_disc(decide, judged):
    assert findings(decide(spread=judged(a="outside", value=0.1, upper=0.02)))["spread.above"] == "to do"
    assert findings(decide(spread=judged(a="too close to call")))["spread.close"] == "not known"


def test_askew_is_told_from_bent(decide, judged):
    out = judged(a="outside", value=0.2, upper=0.15)
    assert "runout.askew" in findings(decide(runout=out))
    [bent] = [s for s in decide(runout=out, split=BENT) if s.finding == "runout.bent"]
    assert bent.values["form"].value == pytest.approx(0.18)
    assert "runout.above" in findings(decide(runout=out, split=NotYet(("x",))))
    assert findings(decide(split=NotYet(("at least 5 readings",))))["runout.unproved"] == "not known"
    assert findings(decide(runout=judged(a="too close to call"), split=NotYet(("x",))))["runout.close"] == "not known"
    assert findings(decide(runout=judged(a="not measured")))["runout.measure"] == "to do"


@pytest.mark.parametrize(
    ("words", "finding"),
    [({"left": "outside", "value": 1.0, "lower": 1.5}, "pads.below"), ({"left": "outside", "value": 9.0, "upper": 5.0}, "pads.above"),
     ({"left": "too close to call"}, "pads.close"), ({"left": "not measured"}, "pads.measure")],
)  # fmt: skip
def test_pads(decide, judged, words, finding):
    assert finding in findings(decide(pads=judged(right="inside") + judged(**words)))


def test_too_little_and_too_much_torque_need_different_work(decide, judged):
    assert findings(decide(torque=judged(bolt_1="not measured")))["torque.measure"] == "to do"
    loose, tight = judged(bolt_1="outside", value=10.0, lower=21.0), judged(bolt_2="outside", value=40.0, upper=27.0)
    found = findings(decide(torque=loose + tight))
    assert (found["torque.below"], found["torque.above"]) == ("stop", "stop")


def test_bolts_tightened_with_a_wrench_that_failed_its_check_are_in_doubt(decide):
    row = Characteristic("disc", "disc_bolt_torque", "torque", "bolts 5", "N m", lower=21, upper=27, safety=True)
    doubted = Verdicts((Verdict(row, "bolt 1", "inside", 24.0, doubt="the torque wrench failed its check"),))
    found = findings(decide(torque=doubted))
    assert found["torque.doubt"] == "not known"
    assert "torque" not in found


# -- the mark on the part


def test_the_stricter_of_mark_and_spec_book_governs():
    assert stricter("5.5 mm", read("5.2 mm")).value == 5.5
    assert stricter("5.0 mm", read("5.2 mm")).value == 5.2
    assert stricter("0.2 in", NotYet(("x",))).to("mm").value == pytest.approx(5.08)
    assert stricter("178.3 mm", read("178.8 mm"), largest=True).value == 178.3
    assert stricter(NO_MARK, read("5.2 mm")).value == 5.2
    assert not stricter(None, read("5.2 mm"))
    assert not stricter(NO_MARK, NotYet(("x",)))
    assert (amount_of(NO_MARK), amount_of("5 mm"), amount_of(None)) == (None, "5 mm", None)


def test_what_is_left_keeps_the_uncertainty_of_the_reading():
    row = Characteristic("disc", "thickness", "thickness", "clock 8", "in")
    sizes = Verdicts((Verdict(row, "12:00", "no limit", 0.22, u=0.0001), Verdict(row, "1:30", "not measured")))
    left = room(sizes, read("5.2 mm"))
    assert list(left) == ["12:00"]
    assert (left["12:00"].value, left["12:00"].u) == pytest.approx((0.22 * 25.4 - 5.2, 0.00254))
    assert room(sizes, read("6 mm"), largest=True)["12:00"].value == pytest.approx(6 - 0.22 * 25.4)
    assert not room(sizes, NotYet(("the mark",)))


@pytest.mark.parametrize(
    ("mark", "limit", "finding", "state"),
    [
        (None, "5.2 mm", "mark.missing", "not known"),
        (NO_MARK, None, "mark.no_limit", "not known"),
        ("5.2 mm", None, "mark.unwritten", "to do"),
        ("5.5 mm", "5.2 mm", "mark.differs", "settled"),
    ],
)
def test_what_the_mark_leaves_to_do(mark, limit, finding, state):
    known = read(limit) if limit else NotYet(("x",))
    steps = mark_steps("mark", "the disc", mark, known, stricter(mark, known), "at the rim")
    assert [(s.finding, s.state) for s in steps] == [(finding, state)]


def test_a_mark_that_says_the_same_says_nothing():
    assert mark_steps("mark", "the disc", "5.20 mm", read("5.2 mm"), read("5.2 mm"), "") == []
    assert mark_steps("mark", "the disc", NO_MARK, read("5.2 mm"), read("5.2 mm"), "") == []


# -- parts of it


def test_two_mileages_are_no_trend():
    assert not pad_wear([(100, 5.0), (100, 5.1), (600, 4.9)], read("1.5 mm"), 0.02)


def test_no_verdicts_at_all():
    nothing = Verdicts()
    steps = next_steps(nothing, nothing, nothing, nothing, NotYet(("x",)), nothing, nothing)
    assert "settled" not in {step.state for step in steps}


def test_its_sentences_can_be_read_aloud(decide, judged, capsys):
    """Printed to be read; compared with nothing."""
    out = judged(a="outside", value=0.2, upper=0.15)
    for case in (
        {}, {"marked": None, "governs": None}, {"marked": "5.5 mm", "governs": read("5.5 mm")}, {"runout": out},
        {"runout": out, "split": BENT}, {"torque": judged(bolt_2="outside", value=40.0, upper=27.0)},
        {"torque": judged(bolt_2="outside", value=4.0, lower=27.0)}, {"pads": judged(left="outside", value=1.0, lower=1.5)},
        {"thickness": judged(a="outside", value=7.0, upper=6.1)},
    ):  # fmt: skip
        for step in decide(**case):
            print(step.state, sentence(step))
    assert capsys.readouterr().out
