"""Wheels: run-out and line by hand, which spokes to turn, the decision in each case, and an empty build."""

import math
from types import SimpleNamespace

import pytest

from restonb.decisions.chassis.wheels import Rim, highest, lowest, next_steps
from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import sentence
from restonb.formulas import brakes, chassis
from restonb.measure import Characteristic, Reading, Verdict, Verdicts
from restonb.quantity import Quantity

SHEET = "wheels"
CLOCK = ("12:00", "1:30", "3:00", "4:30", "6:00", "7:30", "9:00", "10:30")


@pytest.fixture(scope="module")
def runs(play):
    return play(SHEET)[1]


def numbers(run):
    return {name: n["value"] for name, n in run.filed["numbers"].items()}


def filed(run):
    return {step["finding"]: step for step in run.filed["steps"]}


def findings(steps):
    return {step.finding: step.state for step in steps}


def dial(*values):
    return {place: None if v is None else Quantity(v, "mm") for place, v in zip(CLOCK, values, strict=False)}


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


def test_a_rim_inside_its_wear_limit_may_stay_and_is_told_how_to_be_trued(runs):
    """1.12 mm, limit of a trued rim 1, of a worn one 2: high at 6:00, low at 12:00."""
    step = filed(runs[0])["front_side.worn"]
    assert (step["state"], step["values"]["high"], step["values"]["low"]) == ("settled", "6:00", "12:00")
    assert step["values"]["total"]["value"] == pytest.approx(1.12)
    assert filed(runs[1])["front_rim"]["state"] == "settled"


def test_the_line_stays_open_until_it_is_measured(runs):
    assert "offset" not in numbers(runs[2])
    assert filed(runs[2])["line.measure"]["state"] == "to do"
    assert any("not measured" in line and "string" in line for line in runs[2].filed["open"])


def test_tread_and_date_of_the_tyres_are_both_judged(runs):
    """Code 3525 is the week from 25 August 2025: seen on 25 January 2026, some 150 days later."""
    rows = {(v["characteristic"], v["position"]): v for v in runs[1].filed["verdicts"]}
    assert rows["tyre_age", "front"]["value"] == pytest.approx(150 / 365.25, abs=8 / 365.25)
    assert filed(runs[1])["tyres"]["state"] == "settled"


def test_cautions_are_filed(runs):
    said = " ".join(runs[0].filed["cautions"])
    for word in ("tip", "fingers", "cracked rim", "competent", "local codes"):
        assert word in said.casefold()


def test_on_an_empty_build_it_begins_with_the_bearings(empty):
    run = empty(f"chassis/{SHEET}")
    assert (run.state, run.filed["numbers"]) == ("good", {})
    assert run.filed["steps"][0]["finding"] == "play.measure"
    assert "settled" not in {step["state"] for step in run.filed["steps"]}


def test_nothing_is_said_of_a_turn_before_all_of_it_is_measured():
    assert not highest(dial(0.0, None))
    assert not highest({})
    assert (highest(dial(-0.2, 0.3)), lowest(dial(-0.2, 0.3))) == (0.3, -0.2)


# -- what is decided, in each case


def rim(judged, word="inside", values=(0.0,) * 8, wheel="front", way="side", upper=1.0, split="worked out"):
    readings = dial(*values)
    made = brakes.run_out(values) if split == "worked out" else split
    value = max(values) - min(values) if word != "not measured" else None
    return Rim(wheel, way, judged("rim", once=word, value=value, upper=upper), readings, made)


@pytest.fixture
def decide(judged):
    def steps(**other):
        good = {
            "play": judged("play", front="inside", rear="inside"),
            "tension": judged("spokes", front="inside", rear="inside"),
            "runouts": (rim(judged), rim(judged, wheel="rear", way="hop")),
            "line": judged("line", once="inside"),
            "tread": judged("tread", front="inside", rear="inside"),
            "age": judged("tyre age", front="inside", rear="inside"),
            "nuts": judged("nut", front="inside", rear="inside"),
        }
        return next_steps(**{**good, **other})

    return steps


def test_good_on_all_counts(decide):
    names = ("play", "tension", "front_rim", "rear_rim", "line", "tyres", "nuts")
    assert findings(decide()) == dict.fromkeys(names, "settled")


ONCE = tuple(0.8 * math.cos(math.pi * i / 4) for i in range(8))
TWICE = tuple(0.8 * math.cos(math.pi * i / 2) for i in range(8))
DENT = (0.0, 0.0, 0.0, 1.6, 0.0, 0.0, 0.0, 0.0)


@pytest.mark.parametrize("way", ["side", "hop"])
def test_once_per_turn_has_a_high_and_a_low_side(decide, judged, way):
    [step] = [s for s in decide(runouts=(rim(judged, "outside", ONCE, way=way),)) if s.finding == f"front_{way}.askew"]
    assert (step.state, step.values["high"], step.values["low"]) == ("to do", "12:00", "6:00")
    assert step.values["total"].value == pytest.approx(1.6)


@pytest.mark.parametrize("way", ["side", "hop"])
def test_two_waves_are_no_dent(decide, judged, way):
    [step] = [
        s for s in decide(runouts=(rim(judged, "outside", TWICE, way=way),)) if s.finding == f"front_{way}.two_waves"
    ]
    assert sorted(step.values["high"]) == ["12:00", "6:00"]
    assert sorted(step.values["low"]) == ["3:00", "9:00"]


def test_a_dent_is_looked_at_first(decide, judged):
    [step] = [s for s in decide(runouts=(rim(judged, "outside", DENT),)) if s.finding == "front_side.dent"]
    assert step.values["place"] == "4:30"


def test_too_few_places_to_tell_are_said_so(decide, judged):
    four = Rim(
        "front",
        "side",
        judged("rim", once="outside", value=1.6, upper=1.0),
        dial(0.0, 1.6),
        NotYet(("at least 5 readings",)),
    )
    [step] = [s for s in decide(runouts=(four,)) if s.finding == "front_side.unsplit"]
    assert step.values["why"] == "at least 5 readings"


def test_a_rim_that_was_read_at_too_few_places_is_not_called_true(decide, judged):
    four = Rim(
        "front", "side", judged("rim", once="inside", value=0.4), dial(0.0, 0.4), NotYet(("at least 5 readings",))
    )
    found = findings(decide(runouts=(four, rim(judged, way="hop"))))
    assert found["front_side.too_few"] == "not known"
    assert "front_rim" not in found


def test_true_with_loose_spokes_is_not_left_alone(decide, judged):
    found = findings(decide(tension=judged("spokes", front="outside", rear="inside", value=3.0, upper=0.0)))
    assert found["tension.above"] == "to do"
    assert found["front_rim.unproved"] == "not known"
    assert found["rear_rim"] == "settled"


@pytest.mark.parametrize("word", ["not measured", "no limit"])
def test_true_with_spokes_that_nobody_rang_is_not_left_alone(decide, judged, word):
    assert "front_rim" not in findings(decide(tension=judged("spokes", front=word, rear="inside")))
    assert "front_rim" not in findings(decide(tension=Verdicts()))


def read_at(verdicts, seq, occasion):
    rows = []
    for row in verdicts:
        reading = Reading(SHEET, row.characteristic.key, row.position, 0.0, "mm", seq=seq, occasion=occasion)
        rows.append(Verdict(row.characteristic, row.position, row.verdict, row.value, readings=(reading,)))
    return Verdicts(tuple(rows))


def test_what_was_read_before_the_rim_was_trued_is_read_again(decide, judged):
    side, hop = rim(judged), rim(judged, way="hop")
    side = side._replace(verdicts=read_at(side.verdicts, 20, "after rework"))
    old = hop._replace(verdicts=read_at(hop.verdicts, 10, "as found"))
    rung = read_at(judged("spokes", front="inside"), 11, "as found")
    [step] = [s for s in decide(runouts=(side, old), tension=rung) if s.finding == "front_rim.again"]
    assert step.state == "to do"
    assert step.about == (("rim", "once"), ("spokes", "front"))
    new = hop._replace(verdicts=read_at(hop.verdicts, 30, "as found"))
    rung = read_at(judged("spokes", front="inside"), 31, "as found")
    assert findings(decide(runouts=(side, new), tension=rung))["front_rim"] == "settled"


@pytest.mark.parametrize(
    ("what", "words", "finding", "state"),
    [
        ("play", {"front": "too close to call"}, "play.close", "not known"),
        ("play", {"front": "not measured"}, "play.measure", "to do"),
        ("tension", {"front": "not measured"}, "tension.measure", "to do"),
        ("line", {"once": "not measured"}, "line.measure", "to do"),
        ("line", {"once": "too close to call"}, "line.close", "not known"),
        ("line", {"once": "no limit"}, "line.limit", "not known"),
        ("tread", {"front": "outside", "value": 1.0, "lower": 1.6}, "tread.below", "to do"),
        ("tread", {"front": "not measured"}, "tread.measure", "to do"),
        ("tread", {"front": "no limit"}, "tread.limit", "not known"),
        ("age", {"front": "outside", "value": 27.0, "upper": 10.0}, "tyre_age.above", "to do"),
        ("age", {"front": "not measured"}, "tyre_age.measure", "to do"),
        ("nuts", {"rear": "outside", "value": 90.0, "upper": 72.0}, "nuts.above", "stop"),
        ("nuts", {"rear": "outside", "value": 30.0, "lower": 58.0}, "nuts.below", "stop"),
        ("nuts", {"rear": "not measured"}, "nuts.measure", "to do"),
    ],
)
def test_the_decision_in_each_case(decide, judged, what, words, finding, state):
    found = findings(decide(**{what: judged(what, **words)}))
    assert found[finding] == state
    assert finding.partition(".")[0] not in found
    if what in ("tread", "age"):
        assert "tyres" not in found


@pytest.mark.parametrize(
    ("words", "finding"), [({"value": 0.5, "upper": 0.2}, "play.above"), ({"value": 0.0, "lower": 0.02}, "play.below")]
)
def test_on_bad_bearings_no_rim_is_judged(decide, judged, words, finding):
    """Free play in the direction that applies: too much is worn, too little is set too tight."""
    assert list(findings(decide(play=judged("play", front="outside", **words)))) == [finding, "play.first"]


# -- the sign of the line


def gaps(heading, offset, wheelbase=1400.0, string=60.0, half_rim=25.0):
    """Left and right gap at the front rim, right is +: strings beside a rear wheel that points `heading` degrees to the right."""
    moved = wheelbase * math.tan(math.radians(heading))
    return (offset - half_rim) - (moved - string), (moved + string) - (offset + half_rim)


def pivot_to_spindle(heading, length=500.0, spacing=240.0):
    """Left and right distance to the spindle of a wheel that points `heading` degrees to the right: its right end lies back."""
    back = spacing / 2 * math.tan(math.radians(heading))
    return length - back, length + back


@pytest.mark.parametrize(("heading", "offset"), [(0.0, 4.0), (0.0, -4.0), (-0.3, 0.0), (0.3, 0.0)])
def test_side_and_advice_agree_with_the_geometry(decide, heading, offset):
    left, right = gaps(heading, offset)
    row = Characteristic(SHEET, "line", "line", "difference of string_left and string_right", "mm", lower=-6, upper=6)
    line = Verdicts((Verdict(row, "once", "outside", left - right),))
    [step] = [s for s in decide(line=line) if s.finding == "line.outside"]
    seen = offset - 1400 * math.tan(math.radians(heading))
    assert step.values["off"].value == pytest.approx(abs(seen))
    assert step.values["side"] == ("right" if seen > 0 else "left")
    assert chassis.wheel_string(left, right).offset == pytest.approx(seen)
    if heading:
        back = "left" if pivot_to_spindle(heading)[0] > pivot_to_spindle(heading)[1] else "right"
        assert step.values["behind"] == back


def test_its_sentences_can_be_read_aloud(decide, judged, capsys):
    """Printed to be read; compared with nothing."""
    for case in (
        {}, {"play": judged("play", front="outside", value=0.5, upper=0.2)},
        {"runouts": [rim(judged, "outside", v, way=w) for v in (ONCE, TWICE, DENT) for w in ("side", "hop")]},
        {"tension": judged("spokes", front="outside", value=3.0, upper=0.0)}, {"line": judged("line", once="outside", value=9.0, upper=6.0)},
        {"age": judged("age", front="outside", value=27.0, upper=10.0)}, {"nuts": judged("nut", rear="outside", value=90.0, upper=72.0)},
        {"runouts": [rim(judged, "inside", ONCE)._replace(verdicts=Verdicts(tuple(
            Verdict(r.characteristic, r.position, r.verdict, r.value, worn_in=20.0) for r in judged("rim", once="inside", value=1.6))))]},
    ):  # fmt: skip
        for step in decide(**case):
            print(step.state, sentence(step))
    assert SimpleNamespace(said=capsys.readouterr().out).said
